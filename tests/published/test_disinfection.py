"""Published contact of chlorine and doses of ultraviolet light."""

from __future__ import annotations

import pytest

from hydrokit.laws.disinfection import chlorine_credit, ct_wanted
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
