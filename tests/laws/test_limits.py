"""Every law refuses what no rig can have: nothing at all known, no end to it, or less than nothing."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

import hydrokit.laws
from hydrokit.errors import InputError
from hydrokit.laws.media import DropFit
from hydrokit.laws.pump_duty import Duty
from hydrokit.laws.ultraviolet import LampRating

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

POINTS = [(0.0, 8.0), (0.5e-3, 6.0), (1.0e-3, 2.0)]
# One ordinary value for each argument, whatever the law; `but` says where a law means something else by the word.
ORDINARY: dict[str, Any] = {
    "action": "rotodynamic",
    "kind": "rotodynamic",
    "organism": "giardia",
    "law": "cake",
    "wall": "metal",
    "flow": 2e-4,
    "pump_flow": 2e-4,
    "take": 1e-4,
    "velocity": 0.8,
    "velocity_change": 0.8,
    "speed": 150.0,
    "bore": 0.019,
    "hose_before": 0.019,
    "hose_after": 0.025,
    "before": 0.019,
    "after": 0.025,
    "other": 0.025,
    "passage": 0.012,
    "tail": 0.015,
    "pipe_bore": 0.05,
    "valve_bore": 0.019,
    "inlet_bore": 0.025,
    "outlet_bore": 0.025,
    "run_bore": 0.025,
    "branch_bore": 0.019,
    "edge_radius": 0.002,
    "radius": 0.06,
    "length": 5.0,
    "depth": 0.5,
    "width": 0.05,
    "level": 0.1,
    "lift": 2.0,
    "dry_lift": 6.0,
    "distance": 2.0,
    "centre": 1.0,
    "first": 0.0,
    "second": 2.0,
    "rise": 0.5,
    "fall": 0.1,
    "path": 0.02,
    "height": 0.5,
    "gauge_height": 0.1,
    "end_depth": 0.1,
    "slope": 0.05,
    "angle": 1.0,
    "small": 0.012,
    "large": 0.019,
    "area": 4e-6,
    "screen_area": 1e-3,
    "volume": 0.02,
    "air_volume": 1e-3,
    "water_volume": 0.1,
    "water_mass": 1.0,
    "stroke_volume": 5e-4,
    "stroke_time": 1.5,
    "drawdown": 5e-3,
    "displacement": 1e-4,
    "dose": 400.0,
    "particle": 1e-3,
    "current": 6.0,
    "running_current": 6.0,
    "rated_current": 6.0,
    "voltage": 12.0,
    "supply_voltage": 12.5,
    "rated_voltage": 12.0,
    "resistance": 0.05,
    "winding_resistance": 0.1,
    "resistivity": 1.8e-8,
    "joints": 1e-3,
    "power": 60.0,
    "power_in": 50.0,
    "other_power": 5.0,
    "shaft_power": 40.0,
    "person_power": 60.0,
    "torque": 0.5,
    "energy": 7e4,
    "charge": 6e3,
    "capacity": 3.6e5,
    "rating_time": 72e3,
    "time": 600.0,
    "closing_time": 0.1,
    "age": 1e6,
    "life": 1e7,
    "exponent": 1.2,
    "usable": 0.5,
    "charge_efficiency": 0.8,
    "cold_loss": 0.01,
    "drop_fraction": 0.03,
    "margin": 1.25,
    "ratio": 1.2,
    "pump_efficiency": 0.5,
    "motor_efficiency": 0.7,
    "drive_efficiency": 0.9,
    "speed_ratio": 0.9,
    "diameter_ratio": 0.95,
    "liquid_factor": 1.4,
    "chambers": 3,
    "temperature": 290.0,
    "heat_capacity": 4190.0,
    "density": 999.0,
    "air_density": 1.2,
    "viscosity": 1.1e-3,
    "kinematic_viscosity": 1.1e-6,
    "bed_density": 1500.0,
    "solid_density": 2650.0,
    "bulk_modulus": 2.1e9,
    "wall_modulus": 1e9,
    "restraint": 1.0,
    "wave_speed": 400.0,
    "mass": 300.0,
    "first_load": 1e3,
    "second_load": 2e3,
    "vapour_pressure": 1200.0,
    "air_pressure": 1.0e5,
    "surface_pressure": 1.0e5,
    "inlet_pressure": 3e5,
    "pressure_drop": 1e4,
    "pressure_rise": 1e5,
    "greatest_pressure": 2e5,
    "precharge_gauge": 1e5,
    "cut_in_gauge": 1.2e5,
    "cut_out_gauge": 2.5e5,
    "shut_off_gauge": 3e5,
    "pressure_gauge": 2e3,
    "back_pressure_gauge": 1e3,
    "gauge_pressure": -2e4,
    "critical_pressure": 22.064e6,
    "rating_air_pressure": 101325.0,
    "end_drop": 5e4,
    "rating_vapour_pressure": 2339.0,
    "head": 3.0,
    "friction_head": 0.5,
    "npsh_required": 2.0,
    "k": 0.5,
    "valve_k": 0.5,
    "kv": 2e-3,
    "seat": 0.017,
    "blockage": 0.2,
    "open_fraction": 0.4,
    "gap_reynolds": 500.0,
    "friction_factor": 0.025,
    "relative_roughness": 1e-3,
    "reynolds": 2e4,
    "roughness": 1e-6,
    "discharge_coefficient": 0.61,
    "approach_bore": 0.05,
    "recovery": 0.9,
    "inlet_angle": 1.0,
    "outlet_angle": 1.0,
    "voidage": 0.4,
    "intercept": 1e5,
    "chlorine": 1e-3,
    "residual": 1e-3,
    "demand": 5e-4,
    "decay_rate": 1e-5,
    "ph": 7.0,
    "strength": 0.05,
    "baffling_factor": 0.5,
    "logs": 2.0,
    "loading": 0.3,
    "loading_viscous": 1e9,
    "solids_share": 0.5,
    "end_ratio": 5.0,
    "end_flow": 2e-4,
    "transmittance": 0.8,
    "output": 0.8,
    "end_output": 0.6,
    "run_flow": 1e-4,
    "branch_flow": 1e-4,
    "points": POINTS,
    "fit": DropFit(1e9, 1e9, 0.0, one_flow=False),
    "rating": LampRating(dose=400.0, flow=2e-4, transmittance=0.7),
    "duty": Duty(1e-3, 10.0, 100.0),
}
BUT: dict[str, dict[str, Any]] = {
    "bed_coefficients": {"area": 0.1},
    "chlorine_residual": {"dose": 2e-3},
    "fit_drop": {"points": POINTS[1:]},
    "fuse_bounds": {"rating": 20.0},
    "horizontal_tank_volume": {"bore": 0.5, "ends": "conical"},
    "next_size": {"sizes": (2.5e-6, 4e-6, 6e-6)},
    "non_return_k": {"pattern": "lift"},
    "npsh_wanted": {"margin": 1.0},
    "product_volume": {"dose": 2e-3},
    "require_bore": {"name": "bore"},
    "tee_k": {"flow": "joining"},
    "wall_force": {"area": 0.2},
    "wave_speed": {"wall": 0.003},
}
UNCHECKED = {"alike", "bore_area", "elementwise", "plain"}  # curves, whatever else, kernels: not checked here
EITHER_SIGN = {
    *("flow", "velocity", "velocity_change", "k", "lift", "level", "distance", "slope", "centre", "first", "second"),
    *("rise", "gauge_height", "gauge_pressure", "height", "head_difference", "ph"),
}
EITHER_SIGN_HERE = {
    *("bed_velocity-pressure_drop", "centre_from_loads-first_load", "centre_from_loads-second_load"),
    *("efficiency-pressure_rise", "electrical_power-shaft_power", "hydraulic_power-pressure_rise", "k_flow-head"),
    *("rise_of_head-head", "shaft_power-pressure_rise", "speed_ratio-voltage"),
    *("temperature_rise-pressure_rise", "torque_power-speed", "torque_power-torque", "wall_force-pressure_gauge"),
    *("weir_flow-head", "wet_lift_limit-margin"),
}


SHARES = {
    *("blockage", "baffling_factor", "charge_efficiency", "drive_efficiency", "drop_fraction", "end_output"),
    *("motor_efficiency", "open_fraction", "output", "pump_efficiency", "recovery", "solids_share", "transmittance"),
    *("usable", "voidage"),
}


@dataclass(frozen=True)
class Case:
    """One argument of one law."""

    law: Callable[..., Any]
    argument: str

    def __str__(self) -> str:
        return f"{self.law.__name__}-{self.argument}"

    def call(self, value: Any) -> Any:
        wanted = inspect.signature(self.law).parameters
        known = {**ORDINARY, **BUT.get(self.law.__name__, {})}
        arguments = {name: known[name] for name in wanted if name in known} | {self.argument: value}
        positional = [arguments.pop(name) for name, one in wanted.items() if one.kind is one.POSITIONAL_OR_KEYWORD]
        return self.law(*positional, **arguments)

    @property
    def ordinary(self) -> Any:
        return {**ORDINARY, **BUT.get(self.law.__name__, {})}[self.argument]

    @property
    def has_either_sign(self) -> bool:
        return self.argument in EITHER_SIGN or str(self) in EITHER_SIGN_HERE


def _cases() -> Iterator[Case]:
    for module in pkgutil.iter_modules(hydrokit.laws.__path__):
        room = importlib.import_module(f"hydrokit.laws.{module.name}")
        for law in (getattr(room, name) for name in room.__all__):
            if not inspect.isfunction(law) or law.__name__ in UNCHECKED:
                continue
            for name, parameter in inspect.signature(law).parameters.items():
                if str(parameter.annotation).startswith(("Real", "float", "int")):
                    yield Case(law, name)


CASES = list(_cases())
each = pytest.mark.parametrize("case", CASES, ids=str)


@each
def test_an_ordinary_value_is_taken(case: Case) -> None:
    case.call(case.ordinary)


@each
def test_what_has_no_end_is_refused_by_its_name(case: Case) -> None:
    for value in (np.nan, np.inf, -np.inf, 1e40, -1e40):
        with pytest.raises(InputError, match=rf"\b{case.argument}\b"):
            case.call(value)


@each
def test_what_is_no_number_is_refused_by_its_name(case: Case) -> None:
    for value in ("1.5", [0.1, 0.2], (), {}, 1j, True, b"1", object(), np.array(["1"]), np.array([None])):
        with pytest.raises(InputError, match=rf"\b{case.argument}\b"):
            case.call(value)


@each
def test_an_array_gives_what_its_numbers_give(case: Case) -> None:
    one = case.call(case.ordinary)
    with suppress(InputError):  # what takes single numbers only says so
        case.call(np.array([]))
        many = case.call(np.full(3, case.ordinary))
        if isinstance(one, float):
            assert type(one) is float
            np.testing.assert_allclose(many, np.full(3, one), rtol=1e-12)


@pytest.mark.parametrize("case", [case for case in CASES if not case.has_either_sign], ids=str)
def test_less_than_nothing_is_refused_by_its_name(case: Case) -> None:
    with pytest.raises(InputError, match=rf"\b{case.argument}\b"):
        case.call(-1e-12)


@pytest.mark.parametrize("case", [case for case in CASES if case.argument in SHARES], ids=str)
def test_more_than_the_whole_is_refused_by_its_name(case: Case) -> None:
    with pytest.raises(InputError, match=rf"\b{case.argument}\b"):
        case.call(1.0 + 1e-6)
