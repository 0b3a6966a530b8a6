"""Published resistances of copper cable, the boat cable rule, and a battery's time."""

from __future__ import annotations

import numpy as np
import pytest

from hydrokit.laws.battery import run_time
from hydrokit.laws.electricity import (
    VEHICLE_GAUGES,
    area_for_drop,
    copper_factor,
    next_size,
    resistance_per_length,
)
from hydrokit.units.wire import gauge_area


def test_cable_awg_a(published) -> None:
    """NBS Handbook 100, copper wire tables: annealed copper at 20 degC, 6, 10 and 14 AWG."""
    example = published("cable-awg-a")
    area = np.array([gauge_area(gauge) for gauge in example.plain("gauges")])
    resistance = resistance_per_length(area=area, temperature=example.given("temperature"), stranding="solid")
    example.agrees("resistance_per_length", resistance)


def test_cable_iec_60228_a(published) -> None:
    """IEC 60228: greatest resistance at 20 degC of plain copper, classes 2 and 5."""
    example = published("cable-iec-60228-a")
    for quantity, stranding in (("class_2", "class 2"), ("class_5", "class 5")):
        resistance = resistance_per_length(
            area=example.given("areas"), temperature=example.given("temperature"), stranding=stranding
        )
        example.agrees(quantity, resistance)


def test_cable_temperature_a(published) -> None:
    """IEC 60228, annex: factors from the temperature of measurement to 20 degC."""
    example = published("cable-temperature-a")
    example.agrees("correction_factor", 1.0 / copper_factor(example.given("temperatures")))


def test_cable_boat_3_percent(published) -> None:
    """ABYC E-11: 10 A, 21 ft there and back, 12 V, 3 %."""
    example = published("cable-boat-3-percent")
    area = area_for_drop(
        current=example.given("current"),
        length=example.given("round_length") / 2.0,
        voltage=example.given("voltage"),
        drop_fraction=example.given("drop_fraction"),
    )
    example.agrees("area", area)
    circular_mil = np.pi / 4.0 * 25.4e-6**2
    stated = dict(item.split(":") for item in example.plain("minimum_areas").split())
    assert {gauge: round(area / circular_mil) for gauge, area in VEHICLE_GAUGES.items()} == {
        int(gauge): int(mils) for gauge, mils in stated.items()
    }
    chosen = next_size(area=area, sizes=VEHICLE_GAUGES.values())
    example.agrees("gauge", next(gauge for gauge, size in VEHICLE_GAUGES.items() if size == chosen))


def test_battery_peukert_a(published) -> None:
    """electrotechnik.net, note on Peukert's law: t = Cp / I^k, the charge being that at 1 A."""
    example = published("battery-peukert-a")
    capacity = example.given("capacity_one_hour")
    time = run_time(
        capacity=capacity,
        rating_time=capacity / 1.0,
        current=example.given("current"),
        exponent=example.plain("exponent"),
    )
    example.agrees("time", time)
    assert time / 3600.0 == pytest.approx(100.0 / 5.0**1.2, rel=1e-12)


def solid_wire(example) -> np.ndarray:
    """Return the resistance per length of the gauges and temperature that an entry states."""
    area = np.array([gauge_area(gauge) for gauge in example.plain("gauges")])
    return resistance_per_length(area=area, temperature=example.given("temperature"), stranding="solid")


def test_cable_iec_60228_b(published) -> None:
    """IEC 60228, more sizes (from memory)."""
    example = published("cable-iec-60228-b")
    for quantity, stranding in (("class_2", "class 2"), ("class_5", "class 5")):
        resistance = resistance_per_length(
            area=example.given("areas"), temperature=example.given("temperature"), stranding=stranding
        )
        example.agrees(quantity, resistance)


def test_cable_awg_b(published) -> None:
    """NBS Handbook 100: 18, 12, 8 and 4 AWG (from memory)."""
    example = published("cable-awg-b")
    example.agrees("resistance_per_length", solid_wire(example))


def test_cable_nec_8(published) -> None:
    """NFPA 70, chapter 9, table 8: solid copper at 75 degC (from memory)."""
    example = published("cable-nec-8")
    example.agrees("resistance_per_length", solid_wire(example))


def test_cable_iec_60028(published) -> None:
    """IEC 60028: copper of standard conductivity (from memory)."""
    example = published("cable-iec-60028")
    resistance = resistance_per_length(
        area=example.given("area"), temperature=example.given("temperature"), stranding="solid"
    )
    example.agrees("resistance_per_length", resistance)
    example.agrees("warm_factor", copper_factor(example.given("warm")))


def test_battery_peukert_b(published) -> None:
    """Encyclopedia article on Peukert's law: twice the rated current for less than half the time (from memory)."""
    example = published("battery-peukert-b")
    time = run_time(
        capacity=example.given("capacity"),
        rating_time=example.given("rating_time"),
        current=example.given("current"),
        exponent=example.plain("exponent"),
    )
    example.agrees("time", time)
