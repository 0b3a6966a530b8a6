"""The mass of hose by its bore."""

from __future__ import annotations

from dataclasses import replace

import pytest

from hydrokit.files import hand_check
from hydrokit.parts import Hose
from hydrokit.studies.bores.hose_mass import catalogue_hoses, mass_per_length
from hydrokit.studies.sizing import bore

LISTED = (
    Hose(bore=0.0125, length=1.0, mass_per_length=0.18),
    Hose(bore=0.019, length=1.0, mass_per_length=0.31),
    Hose(bore=0.019, length=1.0, mass_per_length=0.26, vacuum_rating=7e4),
    Hose(bore=0.025, length=1.0),
)


def test_as_stated_at_the_bore_drawn() -> None:
    drawn = Hose(bore=0.0125, length=4.0, mass_per_length=0.2)
    assert mass_per_length(drawn, 0.0125, LISTED) == 0.2
    assert mass_per_length(Hose(bore=0.0125, length=4.0, mass=1.0), 0.0125, LISTED) == pytest.approx(0.25)
    assert mass_per_length(drawn, 0.019, LISTED) == 0.31
    assert mass_per_length(drawn, 0.01905, LISTED) == 0.31


def test_hose_for_suction_is_not_hose_for_delivery() -> None:
    assert mass_per_length(Hose(bore=0.025, length=2.0, vacuum_rating=6e4), 0.019, LISTED) == 0.26
    assert mass_per_length(Hose(bore=0.025, length=2.0, vacuum_rating=6e4), 0.0125, LISTED) is None


def test_what_nothing_states_is_not_known() -> None:
    drawn = Hose(bore=0.0125, length=4.0)
    assert mass_per_length(drawn, 0.016, LISTED) is None
    assert mass_per_length(drawn, 0.025, LISTED) is None
    assert mass_per_length(replace(drawn, material="copper"), 0.0125, LISTED) is None


def test_catalogue_is_read_once() -> None:
    assert catalogue_hoses() is catalogue_hoses()
    assert {hose.length for hose in catalogue_hoses()} == {1.0}


def test_bore_adds_up_what_is_known() -> None:
    rig = hand_check()
    line = rig.lines["intake"]
    parts = (*line.parts[:-1], replace(line.parts[-1], mass_per_length=0.2))
    heavy = replace(rig, lines={"intake": replace(line, parts=parts)})
    by_size = {each.sizes: each.hose_mass for each in bore(heavy, hoses=["lines.intake.delivery-hose"]).candidates}
    assert by_size["12.5 mm",] == pytest.approx(0.8)  # 4 m of it
    unknown = bore(rig, hoses=["lines.intake.delivery-hose"], least=0.003, most=0.0035)
    assert unknown.candidates[0].hose_mass is None
    assert any("mass of hose" in text for text in unknown.trust.unknown)
