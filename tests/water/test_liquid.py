"""Water: the fit against CoolProp, the ends of the range, and what is refused."""

from __future__ import annotations

import subprocess
import sys
from importlib.metadata import version

import numpy as np
import pytest

from hydrokit.errors import RangeError
from hydrokit.water import STANDARD_PRESSURE, Liquid, water, water_at
from hydrokit.water.fit_data import BOILING, COEFFICIENTS, COLDEST, HOT_COEFFICIENTS, WARMEST
from hydrokit.water.generate import fit_coefficients, hot_coefficients, write_fit

PROPERTIES = ("density", "viscosity", "vapour_pressure", "speed_of_sound", "heat_capacity")


@pytest.mark.slow  # CoolProp's import
@pytest.mark.parametrize(("table", "fit"), [(COEFFICIENTS, fit_coefficients), (HOT_COEFFICIENTS, hot_coefficients)])
def test_fit_data_is_what_coolprop_generates_today(table, fit) -> None:
    kept, made = np.array(table), np.array(fit())
    apart = (made - kept) / np.abs(kept).max(axis=1, keepdims=True)
    assert np.abs(apart).max() <= 1e-12  # of the greatest in its row: below that, digits are rounding
    if not version("CoolProp").startswith("7."):  # whose own last digits are others
        assert made == pytest.approx(kept, rel=1e-9, abs=1e-12)


def test_generated_module_reads_back(tmp_path) -> None:
    path = tmp_path / "fit_data.py"
    write_fit(path)
    read: dict[str, object] = {}
    exec(compile(path.read_text(encoding="utf-8"), str(path), "exec"), read)
    assert (read["COLDEST"], read["WARMEST"], read["BOILING"]) == (COLDEST, WARMEST, BOILING)
    assert np.shape(read["COEFFICIENTS"]) == np.shape(COEFFICIENTS)
    assert np.shape(read["HOT_COEFFICIENTS"]) == np.shape(HOT_COEFFICIENTS)


@pytest.mark.parametrize("name", PROPERTIES)
def test_fit_agrees_with_coolprop(name) -> None:
    from CoolProp.CoolProp import PropsSI

    temperature = np.linspace(273.161, BOILING - 1e-3, 1299)  # the high-level call refuses 0 °C
    key = {"density": "D", "viscosity": "V", "speed_of_sound": "A", "heat_capacity": "C"}.get(name)
    expected = (
        PropsSI(key, "T", temperature, "P", 101_325.0, "Water")
        if key
        else PropsSI("P", "T", temperature, "Q", 0, "Water")
    )
    assert getattr(water(temperature), name) == pytest.approx(expected, rel=1e-9)


def test_zero_celsius_density() -> None:
    # Wagner and Pruss, J. Phys. Chem. Ref. Data 31 (2002), table 13.2, 273.15 K at 0.101325 MPa, from memory: 999.843.
    assert water(273.15).density == pytest.approx(999.843, abs=5e-4)


def test_zero_celsius_vapour_pressure() -> None:
    # IAPWS-95 extrapolated from the triple point (611.657 Pa at 273.16 K, IAPWS R6-95) down its slope, 44.4 Pa/K.
    assert water(273.15).vapour_pressure == pytest.approx(611.657 - 0.444, abs=5e-3)


@pytest.mark.parametrize("name", PROPERTIES)
def test_zero_celsius_continues_smoothly(name) -> None:
    near = [getattr(water(273.15 + step), name) for step in (0.0, 0.01, 0.02)]
    assert near[0] == pytest.approx(2 * near[1] - near[2], rel=1e-6)


@pytest.mark.parametrize("name", PROPERTIES)
def test_no_step_at_sixty_celsius(name) -> None:
    below, above = getattr(water(WARMEST), name), getattr(water(WARMEST + 1e-9), name)
    assert above == pytest.approx(below, rel=1e-9)


def test_density_is_greatest_near_four_celsius() -> None:
    temperature = np.linspace(273.15, 290.0, 1686)  # every 0.01 K
    warmest_heavy = temperature[np.argmax(water(temperature).density)]
    assert warmest_heavy == pytest.approx(277.13, abs=0.02)  # 3.98 °C: Tanaka et al., Metrologia 38 (2001) 301


def test_hot_water_below_boiling() -> None:
    # CRC Handbook, water at 80 °C, from memory: 971.8 kg/m^3, 0.354 mPa s, 47.4 kPa.
    hot = water(353.15)
    assert hot.density == pytest.approx(971.8, abs=0.05)
    assert hot.viscosity == pytest.approx(0.354e-3, abs=0.5e-6)
    assert hot.vapour_pressure == pytest.approx(47.4e3, abs=50.0)


def test_float_gives_float() -> None:
    assert all(type(getattr(water(290.0), name)) is float for name in PROPERTIES)
    assert all(type(getattr(water(350.0), name)) is float for name in PROPERTIES)


@pytest.mark.parametrize("shape", [(4,), (4, 1)])
def test_array_gives_the_same_numbers(shape) -> None:
    temperature = np.array([273.15, 300.0, 333.15, 360.0])
    many = water(temperature.reshape(shape))
    for name in PROPERTIES:
        assert getattr(many, name).shape == shape
        assert getattr(many, name).ravel() == pytest.approx(
            [getattr(water(float(kelvin)), name) for kelvin in temperature], rel=1e-13
        )


@pytest.mark.parametrize("kelvin", [273.1499, 373.13, 380.15, float("nan"), float("inf"), -5.0])
def test_ice_steam_and_nonsense_are_refused(kelvin) -> None:
    with pytest.raises(RangeError, match=r"temperature: found .* K, expected 273\.15 to 373\.124 K"):
        water(kelvin)


def test_one_bad_temperature_among_many_is_named() -> None:
    with pytest.raises(RangeError, match="found 400 K"):
        water(np.array([280.0, 400.0]))


def test_steam_at_the_stated_pressure_is_refused() -> None:
    with pytest.raises(RangeError, match="at most 361") as caught:
        water_at(np.array([300.0, 362.0]), 65e3)  # 88 °C boils at 65 kPa, some 3 600 m up
    assert caught.value.mistakes[0].place == "temperature"


def test_pressure_raises_the_boiling_point() -> None:
    # Saturated water at 120 °C, steam tables, from memory: 943.1 kg/m^3, 198.5 kPa.
    assert water_at(393.15, 200e3).density == pytest.approx(943.1, abs=0.1)


def test_zero_celsius_at_low_pressure() -> None:
    assert water_at(273.15, 80e3).density == pytest.approx(water(273.15).density, rel=2e-5)


@pytest.mark.parametrize("pressure", [0.0, 600.0, 3e8, float("nan")])
def test_impossible_pressure_is_refused(pressure) -> None:
    with pytest.raises(RangeError, match="pressure"):
        water_at(290.0, pressure)


def test_one_atmosphere_is_the_fit() -> None:
    for name in PROPERTIES:
        assert getattr(water_at(285.0, STANDARD_PRESSURE), name) == pytest.approx(getattr(water(285.0), name), rel=1e-9)


def test_stated_liquid_tells_every_mistake_at_once() -> None:
    with pytest.raises(RangeError) as caught:
        Liquid(density=-1.0, viscosity=float("nan"), vapour_pressure=np.array([1.0, -2.0]), speed_of_sound=0.0)
    assert [mistake.place for mistake in caught.value.mistakes] == [
        "density",
        "viscosity",
        "vapour_pressure",
        "speed_of_sound",
    ]


def test_bulk_modulus_of_water() -> None:
    # About 2.2 GPa near 20 °C in every handbook; isentropic. Unknown for a liquid with no speed of sound.
    assert water(293.15).bulk_modulus == pytest.approx(2.2e9, rel=0.02)
    assert Liquid(density=865.0, viscosity=6e-4, vapour_pressure=26_200.0).bulk_modulus is None


def test_import_loads_no_heavy_library() -> None:
    code = (
        "import sys, hydrokit.water as w; w.water(290.0); w.water(373.12); w.air_pressure(0.0);"
        "print(sorted({'CoolProp', 'fluids', 'scipy', 'pint'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("density", [None, [1000.0], "1000 kg/m³"])
def test_a_liquid_is_made_of_numbers_and_arrays(density) -> None:
    with pytest.raises(RangeError, match="density: found"):
        Liquid(density=density, viscosity=1e-3, vapour_pressure=1e3)
