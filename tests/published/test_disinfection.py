"""Published contact of chlorine and doses of ultraviolet light."""

from __future__ import annotations

import numpy as np
import pytest

from hydrokit.laws.disinfection import BAFFLING, chlorine_credit, contact_time, ct_wanted
from hydrokit.laws.log_reduction import share_passing
from hydrokit.laws.ultraviolet import dose_credit, dose_wanted


def test_ct_giardia_a(published) -> None:
    """US EPA 815-R-20-003, table B-1: 3 log of Giardia."""
    example = published("ct-giardia-a")
    wanted = ct_wanted(
        organism="giardia",
        logs=3.0,
        temperature=example.given("temperatures"),
        ph=example.given("ph"),
        chlorine=example.given("chlorine"),
    )
    example.agrees("ct", wanted)


def test_ct_virus_a(published) -> None:
    """US EPA 815-R-20-003, table B-2: 4 log of viruses, pH 6 to 9."""
    example = published("ct-virus-a")
    for ph in (6.0, 7.5, 9.0):
        wanted = ct_wanted(organism="virus", logs=4.0, temperature=example.given("temperatures"), ph=ph, chlorine=1e-3)
        example.agrees("ct", wanted)


def test_ct_log_scaling(published) -> None:
    """US EPA 815-R-20-003: half the logs, half the Ct; Giardia at 0.5 degC, pH 8, 1 mg/L."""
    example = published("ct-log-scaling")
    water = {"organism": "giardia", "temperature": 273.65, "ph": 8.0, "chlorine": 1e-3}
    assert ct_wanted(logs=3.0, **water) == pytest.approx(example.given("ct_3log"), rel=1e-12)
    wanted = ct_wanted(logs=example.plain("logs"), **water)
    example.agrees("ct", wanted)
    assert chlorine_credit(time=wanted / 1e-3, **water) == pytest.approx(example.plain("logs"), rel=1e-12)


def test_uv_a(published) -> None:
    """US EPA, UV Disinfection Guidance Manual, 2006, table 1.4."""
    example = published("uv-a")
    for short, organism in (("crypto", "cryptosporidium"), ("giardia", "giardia"), ("virus", "virus")):
        logs = example.given(f"{short}_logs")
        dose = dose_wanted(organism=organism, logs=logs)
        example.agrees(f"{short}_dose", dose)
        assert (dose_credit(organism=organism, dose=dose) == logs).all()


def test_ct_giardia_b(published) -> None:
    """US EPA 815-R-20-003, table B-1, more rows (from memory)."""
    example = published("ct-giardia-b")
    wanted = ct_wanted(
        organism="giardia",
        logs=3.0,
        temperature=example.given("temperatures"),
        ph=example.given("ph"),
        chlorine=example.given("chlorine"),
    )
    example.agrees("ct", wanted)


def test_ct_virus_b(published) -> None:
    """US EPA 815-R-20-003, table B-2: 2, 3 and 4 log (from memory)."""
    example = published("ct-virus-b")
    temperature = example.given("temperatures")
    for quantity, logs, rows in (
        ("ct_2_log", 2.0, temperature),
        ("ct_3_log", 3.0, temperature[:1]),
        ("ct_3_log_at_10_degrees", 3.0, temperature[1:]),
        ("ct_4_log", 4.0, temperature),
    ):
        wanted = ct_wanted(organism="virus", logs=logs, temperature=rows, ph=7.0, chlorine=1e-3)
        example.agrees(quantity, wanted)


def test_ct_baffling(published) -> None:
    """US EPA 815-R-20-003, baffling factors (from memory)."""
    example = published("ct-baffling")
    volume, flow = example.given("volume"), example.given("flow")
    times = [
        contact_time(volume=volume, flow=flow, baffling_factor=BAFFLING[condition])
        for condition in example.plain("conditions").split()
    ]
    example.agrees("factor", np.array(times) / (volume / flow))


def test_uv_b(published) -> None:
    """US EPA, UV Disinfection Guidance Manual, 2006, table 1.4, more rows (from memory)."""
    example = published("uv-b")
    for short, organism in (("crypto", "cryptosporidium"), ("giardia", "giardia"), ("virus", "virus")):
        example.agrees(f"{short}_dose", dose_wanted(organism=organism, logs=example.given(f"{short}_logs")))


def test_logs_epa_percent(published) -> None:
    """US EPA 815-R-20-003: logs as a percentage (from memory)."""
    example = published("logs-epa-percent")
    example.agrees("percent", 100.0 * (1.0 - np.asarray(share_passing(example.given("logs")))))
    example.agrees("half_percent", 100.0 * (1.0 - np.asarray(share_passing(example.given("half_logs")))))
