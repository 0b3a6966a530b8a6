from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.errors import InputError, RangeError
from hydrokit.laws.ct_tables import GIARDIA_CHLORINE, GIARDIA_CT, GIARDIA_PH, TEMPERATURES, VIRUS_CT
from hydrokit.laws.disinfection import (
    BAFFLING,
    chlorine_credit,
    chlorine_dose,
    chlorine_residual,
    contact_ct,
    contact_time,
    ct_wanted,
    product_volume,
)

GIARDIA = np.array(GIARDIA_CT, dtype=np.float64)
MG_MIN = 0.06
DEGREES = st.floats(0.0, 40.0)
PH = st.floats(6.0, 9.0)
CHLORINE = st.floats(0.05e-3, 3e-3)


def test_warmer_tables_are_the_shares_of_the_one_for_5_degrees_that_they_were_made_by() -> None:
    # EPA's guidance to the rule: above 5 degC Ct halves for every 10 degC, straight between (from memory). An entry
    # remembered wrongly in one table would have to be wrong alike in all five to pass.
    for row, share in enumerate((0.75, 0.5, 0.375, 0.25), start=2):
        assert np.abs(GIARDIA[row] - share * GIARDIA[1]).max() <= 0.75


def test_the_coldest_table_is_the_one_for_5_degrees_times_much_the_same_factor() -> None:
    # Clark's regression behind the tables goes as temperature to the power -0.147 (from memory): 1.40 from 5 to 0.5 degC.
    ratio = GIARDIA[0] / GIARDIA[1]
    assert np.median(ratio) == pytest.approx(10.0**0.147, rel=0.02)
    assert np.abs(ratio / np.median(ratio) - 1.0).max() < 0.035


def test_ct_rises_with_cold_ph_and_residual_everywhere() -> None:
    assert GIARDIA.shape == (len(TEMPERATURES), len(GIARDIA_CHLORINE), len(GIARDIA_PH))
    assert (np.diff(GIARDIA, axis=0) < 0.0).all()
    assert (np.diff(GIARDIA, axis=1) >= 0.0).all()
    assert (np.diff(GIARDIA, axis=2) > 0.0).all()


def test_one_entry_alone_breaks_the_run_of_its_neighbours() -> None:
    # The note on published values names it: 0.5 degC, pH 7.5, 2.2 mg/L.
    bend = np.abs(np.diff(GIARDIA, 2, axis=1))
    worst = np.unravel_index(bend.argmax(), bend.shape)
    entry = TEMPERATURES[worst[0]], GIARDIA_CHLORINE[worst[1] + 1], GIARDIA_PH[worst[2]]
    assert entry == (0.5, 2.2, 7.5)
    assert np.sort(bend.ravel())[-2] <= 5.0


def test_the_published_regression_lies_just_above_every_entry() -> None:
    # Smith, Clark and others, 3 log (from memory): on the safe side of the tables.
    degrees, chlorine, ph = np.meshgrid(TEMPERATURES, GIARDIA_CHLORINE, GIARDIA_PH, indexing="ij")
    cold = 0.353 * 3.0 * (12.006 + np.exp(2.46 - 0.073 * degrees + 0.125 * chlorine + 0.389 * ph))
    warm = 0.361 * 3.0 * (-2.261 + np.exp(2.69 - 0.065 * degrees + 0.111 * chlorine + 0.361 * ph))
    share = GIARDIA / np.where(degrees < 12.5, cold, warm)
    assert share.max() < 1.0
    assert share.min() > 0.85


def test_virus_ct_halves_every_10_degrees_to_the_whole_number_above() -> None:
    # EPA's guidance: viruses, twofold for 10 degC from 5 to 15 to 25 degC.
    table = np.array([VIRUS_CT[logs] for logs in (2, 3, 4)])
    assert table[2, 1::2, 0].tolist() == [8, 4, 2]
    assert table[2, 1::2, 1].tolist() == [60, 30, 15]
    assert (np.diff(table, axis=0) >= 0).all()
    assert (np.diff(table, axis=1) <= 0).all()


VIRUS_PHS = st.sampled_from([6.0, 7.5, 9.0, 9.5, 10.0])


@pytest.mark.parametrize("logs", [2, 3, 4])
@pytest.mark.parametrize(("column", "ph"), [(0, 7.0), (1, 10.0)])
def test_whole_logs_of_viruses_ask_for_what_is_printed(logs: int, column: int, ph: float) -> None:
    water = {"organism": "virus", "temperature": np.array(TEMPERATURES) + 273.15, "ph": ph, "chlorine": 1e-3}
    printed = np.array(VIRUS_CT[logs], np.float64)[:, column]
    assert ct_wanted(logs=float(logs), **water) / MG_MIN == pytest.approx(printed, rel=1e-12)
    credit = chlorine_credit(time=printed * 60.0, **water)
    same = np.array(
        [max(each for each in VIRUS_CT if VIRUS_CT[each][row][column] <= ct) for row, ct in enumerate(printed)]
    )
    assert credit == pytest.approx(same)  # two rows may be printed alike


@given(DEGREES, VIRUS_PHS, st.floats(1e-6, 4.0))
def test_between_the_rows_for_viruses_the_dearer_reading_counts(degrees: float, ph: float, logs: float) -> None:
    water = {"organism": "virus", "temperature": degrees + 273.15, "ph": ph, "chlorine": 1e-3}
    rows = [ct_wanted(logs=each, **water) for each in (0.0, 2.0, 3.0, 4.0)]
    wanted = ct_wanted(logs=logs, **water)
    assert wanted >= np.interp(logs, [0.0, 2.0, 3.0, 4.0], rows) * (1.0 - 1e-12)
    above = min(place for place, each in enumerate((0.0, 2.0, 3.0, 4.0)) if each >= logs)
    assert wanted >= (logs / (1.0, 2.0, 3.0, 4.0)[above] * rows[above]) * (1.0 - 1e-12)  # logs go as Ct
    assert wanted <= rows[above] * (1.0 + 1e-12)


@given(DEGREES, VIRUS_PHS, st.floats(0.0, 4.0), st.floats(0.0, 6000.0))
def test_credit_for_viruses_never_passes_what_is_asked_for(degrees: float, ph: float, logs: float, time: float) -> None:
    water = {"organism": "virus", "temperature": degrees + 273.15, "ph": ph, "chlorine": 1e-3}
    assert chlorine_credit(time=ct_wanted(logs=logs, **water) / 1e-3, **water) >= logs - 1e-8
    credit = min(chlorine_credit(time=time, **water), 4.0)
    assert ct_wanted(logs=credit, **water) <= 1e-3 * time * (1.0 + 1e-8)


@given(DEGREES, PH, CHLORINE)
def test_giardia_is_entered_on_the_dearer_side(degrees: float, ph: float, chlorine: float) -> None:
    found = ct_wanted(organism="giardia", logs=3.0, temperature=degrees + 273.15, ph=ph, chlorine=chlorine) / MG_MIN
    row = max([i for i, edge in enumerate(TEMPERATURES) if edge <= degrees + 1e-9], default=0)
    line = min(i for i, edge in enumerate(GIARDIA_CHLORINE) if edge >= chlorine * 1e3 - 1e-9)
    column = min(i for i, edge in enumerate(GIARDIA_PH) if edge >= ph - 1e-9)
    assert found == pytest.approx(GIARDIA[row, line, column], rel=1e-12)


def test_beyond_the_tables_nothing_is_known_and_nothing_credited() -> None:
    edge = {"temperature": 283.15, "organism": "giardia"}
    assert np.isnan(ct_wanted(logs=3.0, ph=9.1, chlorine=1e-3, **edge))
    assert np.isnan(ct_wanted(logs=3.0, ph=7.0, chlorine=3.1e-3, **edge))
    assert chlorine_credit(ph=9.1, chlorine=1e-3, time=1e6, **edge) == 0.0
    for ph in (5.9, 10.1):
        assert np.isnan(ct_wanted(organism="virus", logs=4.0, temperature=283.15, ph=ph, chlorine=1e-3))
        assert chlorine_credit(organism="virus", chlorine=1e-3, time=1e6, temperature=283.15, ph=ph) == 0.0


def test_more_than_3_mg_counts_as_3_against_giardia() -> None:
    contact = {"organism": "giardia", "time": 600.0, "temperature": 283.15, "ph": 7.0}
    assert chlorine_credit(chlorine=5e-3, **contact) == chlorine_credit(chlorine=3e-3, **contact) > 0.0


@given(DEGREES, PH, CHLORINE, st.floats(0.0, 3.0))
def test_the_wanted_contact_earns_the_wanted_credit(degrees: float, ph: float, chlorine: float, logs: float) -> None:
    water = {"organism": "giardia", "temperature": degrees + 273.15, "ph": ph, "chlorine": chlorine}
    time = ct_wanted(logs=logs, **water) / chlorine
    assert chlorine_credit(time=time, **water) == pytest.approx(logs, abs=1e-9)


def test_no_credit_beyond_the_tables_however_long_the_contact() -> None:
    contact = {"chlorine": 2e-3, "time": 1e6, "temperature": 293.15, "ph": 7.0}
    assert chlorine_credit(organism="giardia", **contact) == 3.0
    assert chlorine_credit(organism="virus", **contact) == 4.0
    assert chlorine_credit(organism="cryptosporidium", **contact) == 0.0
    assert np.isnan(ct_wanted(organism="cryptosporidium", logs=3.0, temperature=293.15, ph=7.0, chlorine=2e-3))


@given(st.floats(0.0, 5e-3), st.floats(0.0, 5e-3), st.floats(0.0, 5e-5), st.floats(0.0, 86_400.0))
def test_dose_leaves_its_residual(residual: float, demand: float, decay_rate: float, time: float) -> None:
    spent = {"demand": demand, "decay_rate": decay_rate, "time": time}
    dose = chlorine_dose(residual=residual, **spent)
    assert chlorine_residual(dose=dose, **spent) == pytest.approx(residual, abs=1e-12)


def test_no_dose_outlasts_a_decay_without_end() -> None:
    with pytest.raises(RangeError, match="decay_rate"):
        chlorine_dose(residual=1e-3, demand=0.0, decay_rate=10.0, time=3600.0)


def test_demand_above_the_dose_leaves_none() -> None:
    assert chlorine_residual(dose=1e-3, demand=2e-3, decay_rate=0.0, time=0.0) == 0.0


def test_product_holds_the_dose() -> None:
    assert product_volume(dose=2e-3, water_volume=0.12, strength=50.0) * 50.0 == pytest.approx(2e-3 * 0.12)


def test_a_plain_tank_gives_a_tenth_of_the_time_of_a_pipe() -> None:
    # Baffling factors 0.1 and 1.0: EPA, and Colorado's guidance manual of 2014 (from memory).
    plain_tank, pipe = (
        contact_time(volume=0.06, flow=1e-4, baffling_factor=BAFFLING[name]) for name in ("unbaffled", "pipe")
    )
    assert pipe == pytest.approx(600.0)
    assert plain_tank == pytest.approx(60.0)
    assert contact_ct(residual=1e-3, time=pipe) / MG_MIN == pytest.approx(10.0)


def test_more_logs_than_the_table_has_are_refused() -> None:
    with pytest.raises(RangeError, match="logs: found 4, expected 0 to 3"):
        ct_wanted(organism="giardia", logs=4.0, temperature=283.15, ph=7.0, chlorine=1e-3)


def test_an_unknown_organism_is_refused_with_the_nearest() -> None:
    with pytest.raises(InputError, match=r"organism: found 'viruses', expected one of .*; write virus"):
        chlorine_credit(organism="viruses", chlorine=1e-3, time=1.0, temperature=283.15, ph=7.0)  # type: ignore[arg-type]


def test_ice_is_refused() -> None:
    with pytest.raises(RangeError, match=r"^temperature: found 270 K"):
        ct_wanted(organism="virus", logs=4.0, temperature=270.0, ph=7.0, chlorine=1e-3)


def test_float_in_float_out_and_arrays_broadcast() -> None:
    water = {"organism": "giardia", "temperature": 283.15, "chlorine": 1e-3}
    assert type(ct_wanted(logs=3.0, ph=7.0, **water)) is float
    assert type(chlorine_credit(time=60.0, ph=7.0, **water)) is float
    assert chlorine_credit(time=np.array([[60.0], [120.0]]), ph=np.array([6.0, 7.0, 8.0]), **water).shape == (2, 3)
