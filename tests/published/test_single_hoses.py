"""Published pipes asked as a builder asks: two of flow, bore and drop through ``hose``, a pump's height through ``limit``.

The entries are those of the tests named after them; here they go through the questions that need no rig file.
"""

from __future__ import annotations

import pytest

from hydrokit.studies import hose, limit
from hydrokit.water import STANDARD_GRAVITY

_DENSITY = 1000.0  # where a source gives heads and kinematic viscosity alone, any density will do


def test_bore_wanted_for_a_head_to_spend(published) -> None:
    """Massey and Ward-Smith, example 7.3."""
    example = published("pipe-massey-7-3")
    answer = hose(
        flow=example.given("flow"),
        drop=example.given("head_loss") * _DENSITY * STANDARD_GRAVITY,
        length=example.given("length"),
        density=_DENSITY,
        viscosity=example.given("kinematic_viscosity") * _DENSITY,
        roughness=example.given("roughness"),
    )
    assert answer.found == "bore"
    example.agrees("bore", answer.bore)


def test_drop_of_a_water_pipe(published) -> None:
    """Cengel and Cimbala, example 8-3: water at 15 °C in 5 cm stainless pipe."""
    example = published("pipe-cengel-8-3")
    answer = hose(
        flow=example.given("flow"),
        bore=example.given("bore"),
        length=example.given("length"),
        density=example.given("density"),
        viscosity=example.given("viscosity"),
        roughness=example.given("roughness"),
    )
    example.agrees("darcy_friction_factor", answer.friction_factor)
    example.agrees("pressure_drop", answer.drop)
    example.agrees("head_loss", answer.head)
    example.agrees("power", answer.flow * answer.drop)


def test_flow_for_the_drop_that_the_book_found(published) -> None:
    """Cengel and Cimbala, example 8-3, read backward: the drop printed there carries the flow given there."""
    example = published("pipe-cengel-8-3")
    drop = 96.5e3  # printed; ± 0.6 %, and flow goes with drop to the power 0.55 or so
    answer = hose(
        drop=drop,
        bore=example.given("bore"),
        length=example.given("length"),
        density=example.given("density"),
        viscosity=example.given("viscosity"),
        roughness=example.given("roughness"),
    )
    assert answer.flow == pytest.approx(example.given("flow"), rel=0.006)
    for quantity in example.unchecked:
        example.leaves_out(quantity, because="read forward in the test before")


def test_laminar_pipe(published) -> None:
    """Cengel and Cimbala, example 8-2: cold water in a 3 mm pipe, laminar."""
    example = published("pipe-cengel-8-2")
    bore = example.given("bore")
    answer = hose(
        flow=example.given("velocity") * 3.141592653589793 * bore**2 / 4.0,
        bore=bore,
        length=example.given("length"),
        density=example.given("density"),
        viscosity=example.given("viscosity"),
    )
    assert answer.range == "laminar"
    example.agrees("head_loss", answer.head)
    example.agrees("pressure_drop", answer.drop)
    example.agrees("power", answer.flow * answer.drop)


def test_greatest_height_of_a_pump(published) -> None:
    """Munson, Young and Okiishi, example 12.3: at the greatest height nothing is left of the NPSH."""
    example = published("npsh-munson-12-3")
    height = 7.65 * 0.3048  # printed; what is left over there is checked against nothing
    answer = limit(
        flow=example.given("flow"),
        bore=example.given("bore"),
        length=1e-3,  # the book's K holds the pipe as well
        k=example.given("k"),
        altitude=0.0,
        water_temperature=(80.0 + 459.67) / 1.8,
        npsh_required=example.given("npsh_required"),
        lift=height,
    )
    assert answer.budget is not None
    assert answer.budget.margin is not None
    example.agrees("greatest_height", height + answer.budget.margin)


def test_head_of_the_air_at_altitude(published) -> None:
    """Davis, table 3-7: what the air gives at 1000 m and 3000 m."""
    example = published("lift-davis-3-7-a")
    answers = [
        limit(flow=8 / 60_000, bore=0.019, length=6.0, altitude=float(altitude), water_temperature=277.15, lift=0.0)
        for altitude in example.given("altitudes")
    ]
    example.agrees("air_head", [answer.budget.air_head for answer in answers if answer.budget is not None])
    example.agrees("air_pressure", [answer.surroundings.air_pressure for answer in answers])
