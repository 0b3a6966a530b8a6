"""Standard atmosphere: against the fluids library, the printed table, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest
from fluids.atmosphere import ATMOSPHERE_1976

from hydrokit.errors import RangeError
from hydrokit.water import air_density, air_pressure, air_temperature


@pytest.mark.parametrize("altitude", [-500.0, -430.0, 0.0, 140.0, 1609.344, 3000.0, 5000.0, 8848.86, 11_000.0])
def test_agrees_with_fluids(altitude) -> None:
    reference = ATMOSPHERE_1976(altitude)
    assert air_pressure(altitude) == pytest.approx(reference.P, rel=1e-12)
    assert air_temperature(altitude) == pytest.approx(reference.T, rel=1e-12)
    assert air_density(altitude) == pytest.approx(reference.rho, rel=1e-12)


def test_printed_table_above_the_published_checks() -> None:
    # U.S. Standard Atmosphere, 1976, main table, geometric altitude 5000 m, from memory: 54 048 Pa, 255.676 K.
    assert air_pressure(5000.0) == pytest.approx(54_048.0, abs=0.5)
    assert air_temperature(5000.0) == pytest.approx(255.676, abs=5e-4)


def test_array_in_array_out() -> None:
    altitude = np.array([[0.0], [2000.0]])
    assert air_pressure(altitude).shape == (2, 1)
    assert air_pressure(altitude)[1, 0] == pytest.approx(air_pressure(2000.0), rel=1e-15)


@pytest.mark.parametrize("function", [air_pressure, air_temperature, air_density])
def test_float_gives_float(function) -> None:
    assert type(function(140.0)) is float


@pytest.mark.parametrize("function", [air_pressure, air_temperature, air_density])
@pytest.mark.parametrize("altitude", [-501.0, 11_001.0, float("nan"), np.array([0.0, 20_000.0])])
def test_outside_the_lowest_layer_is_refused(function, altitude) -> None:
    with pytest.raises(RangeError, match=r"altitude: found .* expected -500 to 11000 m"):
        function(altitude)
