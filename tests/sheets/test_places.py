from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hydrokit.sheets.places import first_address, first_field, said

if TYPE_CHECKING:
    from hydrokit import Check


@pytest.mark.parametrize(
    ("address", "words"),
    [
        ("lines.intake.membrane", "membrane (intake)"),
        ("lines.intake.membrane.loading", "loading of membrane (intake)"),
        ("lines.intake", "line intake"),
        ("Nothing in lines.to-near.", "Nothing in line to-near."),
        ("lines.intake entrance", "line intake entrance"),
        ("tanks.near", "tank near"),
        ("tanks.near.pressure_rating is a guess", "pressure rating of tank near is a guess"),
        ("site.turbidity is a guess", "turbidity of the site is a guess"),
        ("sources.Mühlteich.surface", "surface of source Mühlteich"),
        ("guidelines.x.y", "guidelines.x.y"),
        ("the rig", "the rig"),
        ("tanks.tank", "the tank"),
        ("tanks.tank.pressure_rating", "pressure rating of the tank"),
        ("vehicle.least_front_share", "least front share of the vehicle"),
        ("lines.intake.pump.npsh_required", "NPSH required of pump (intake)"),
        ("State the dry_run_time of the pump.", "State the dry run time of the pump."),
        ("tanks.my_pressure_rating", "tank my_pressure_rating"),
        ("lines.a.big_tank.bore", "bore of big_tank (a)"),
        ("in mode high_water", "in mode high_water"),
    ],
)
def test_addresses_are_said(address: str, words: str) -> None:
    assert said(address) == words


def test_no_address_is_left_in_what_a_check_says(answer: Check) -> None:
    for finding in answer.findings:
        for text in (finding.place, str(finding.reason), str(finding.advice)):
            assert "lines." not in said(text)


def test_first_address_of_a_part() -> None:
    assert first_address(["lift", "lines.intake entrance", "lines.intake.carbon"]) == "lines.intake.carbon"
    assert first_address(["lift"]) == ""


def test_first_field_that_the_file_writes_in_another_way() -> None:
    assert first_field(["State it.", "State the currents or vacuum_rating."]) == 'vacuum_rating = "0.8 bar vacuum"'
    assert first_field(["State the npsh_required.", "Mind high_water."]) == ""
