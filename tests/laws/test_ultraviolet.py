from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.errors import InputError, RangeError
from hydrokit.laws.ultraviolet import (
    DOSE_LOGS,
    DOSES,
    LampRating,
    credited_dose,
    dose_credit,
    dose_wanted,
    inside_rating,
    lamp_dose,
    lamp_output,
    water_factor,
)

ORGANISMS = sorted(DOSES)
RATING = LampRating(dose=400.0, flow=10.0 / 60e3, transmittance=0.75, output=0.8)


@pytest.mark.parametrize("organism", ORGANISMS)
def test_doses_rise_with_the_logs_and_each_row_earns_its_logs(organism) -> None:
    doses = np.array(DOSES[organism])
    assert doses.shape == (len(DOSE_LOGS),)
    assert (np.diff(doses) > 0.0).all()
    assert np.array_equal(dose_credit(organism=organism, dose=doses * 10.0), DOSE_LOGS)
    assert np.array_equal(dose_credit(organism=organism, dose=doses * 9.99), [0.0, *DOSE_LOGS[:-1]])
    assert dose_wanted(organism=organism, logs=np.array(DOSE_LOGS)) == pytest.approx(doses * 10.0)


def test_the_purifier_dose_covers_protozoa_and_hardly_viruses() -> None:
    # The project's trade notes after UVDGM table 1.4: 40 mJ/cm2 is over 4 log protozoa but 0.5 log on the virus scale.
    credits = {organism: dose_credit(organism=organism, dose=400.0) for organism in ORGANISMS}
    assert credits == {"cryptosporidium": 4.0, "giardia": 4.0, "virus": 0.5}


@given(st.sampled_from(ORGANISMS), st.floats(0.0, 4.0))
def test_a_wanted_dose_earns_at_least_the_wanted_logs(organism, logs: float) -> None:
    assert dose_credit(organism=organism, dose=dose_wanted(organism=organism, logs=logs)) >= logs - 1e-9


def test_no_dose_earns_more_than_the_table() -> None:
    assert dose_credit(organism="virus", dose=1e6) == 4.0
    with pytest.raises(RangeError, match="logs: found 5, expected 0 to 4"):
        dose_wanted(organism="virus", logs=5.0)


@given(st.floats(0.05, 0.999), st.floats(0.001, 0.2))
def test_water_factor_is_the_mean_of_beer_and_lambert(transmittance: float, path: float) -> None:
    middle = (np.arange(20_000) + 0.5) / 20_000 * path * 100.0
    assert water_factor(transmittance=transmittance, path=path) == pytest.approx(
        np.mean(transmittance**middle), rel=1e-5
    )


def test_perfectly_clear_water_dims_nothing() -> None:
    assert water_factor(transmittance=1.0, path=0.05) == 1.0
    assert water_factor(transmittance=1.0 - 1e-9, path=0.05) == pytest.approx(1.0, abs=1e-8)


def test_dose_at_the_rating_is_the_rated_dose() -> None:
    dose = lamp_dose(RATING, flow=RATING.flow, transmittance=0.75, path=0.02, output=0.8)
    assert dose == pytest.approx(400.0, rel=1e-12)


def test_dose_goes_inversely_with_flow_and_with_output() -> None:
    here = {"transmittance": 0.75, "path": 0.02}
    full = lamp_dose(RATING, flow=RATING.flow, output=0.8, **here)
    assert lamp_dose(RATING, flow=0.5 * RATING.flow, output=0.8, **here) == pytest.approx(2.0 * full)
    assert lamp_dose(RATING, flow=RATING.flow, output=0.4, **here) == pytest.approx(0.5 * full)
    assert lamp_dose(RATING, flow=RATING.flow, output=0.8, transmittance=0.6, path=0.02) < full


def test_credit_never_exceeds_the_rated_dose_and_ends_at_each_edge() -> None:
    flow = np.array([0.2, 1.0, 1.001, 1.0, 1.0]) * RATING.flow
    transmittance = np.array([0.95, 0.75, 0.75, 0.749, 0.75])
    output = np.array([1.0, 0.8, 0.8, 0.8, 0.79])
    here = {"flow": flow, "transmittance": transmittance, "output": output}
    assert np.array_equal(credited_dose(RATING, **here), [400.0, 400.0, 0.0, 0.0, 0.0])
    assert np.array_equal(inside_rating(RATING, **here), [True, True, False, False, False])
    assert lamp_dose(RATING, path=0.02, **here)[0] > 400.0  # an estimate above the rating earns no more


def test_a_lamp_past_its_life_is_credited_with_nothing() -> None:
    output = lamp_output(age=np.array([0.0, 4500.0, 9000.0, 9001.0]), life=9000.0, end_output=0.8)
    assert output == pytest.approx([1.0, 0.9, 0.8, 0.0])
    credit = credited_dose(RATING, flow=0.5 * RATING.flow, transmittance=0.9, output=output)
    assert np.array_equal(credit, [400.0, 400.0, 400.0, 0.0])


def test_an_unknown_organism_is_refused_with_the_nearest() -> None:
    with pytest.raises(InputError, match=r"organism: found 'giardi', expected one of .*; write giardia"):
        dose_credit(organism="giardi", dose=400.0)  # type: ignore[arg-type]


def test_an_impossible_rating_is_refused() -> None:
    with pytest.raises(RangeError, match=r"^transmittance: found 75"):
        LampRating(dose=400.0, flow=1e-4, transmittance=75.0)
