"""The sheets of ``fill`` and ``draw``."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from hydrokit.files import demonstration
from hydrokit.parts import Hose, Source, Tank
from hydrokit.rig import Line, Rig
from hydrokit.sheets import render
from hydrokit.studies import draw, fill

HOSE = Hose(length=2.0, bore=0.0125)


def flat(text: str) -> str:
    return re.sub(r"\s+", " ", text)


def header(surface: float, **tank: object) -> Rig:
    return Rig(
        title="header",
        sources={"header": Source(surface=surface)},
        tanks={"tank": Tank(**({"volume": 0.06, "floor": 1.0, "depth": 0.45} | tank))},
        lines={"down": Line(start="header", end="tank", parts=(HOSE,))},
    )


@pytest.fixture(scope="module")
def filled():
    return fill(demonstration())


def test_a_pump_that_its_switch_stops_is_not_told_to_be_held_back_by_suction() -> None:
    worn = {f"lines.intake.{part}.loading": 1.0 for part in ("sediment-20", "sediment-5", "carbon", "membrane")}
    told = flat(render(fill(demonstration(), changed=worn)))
    assert "The pressure switch or relief valve lets only 80 % of the flow counted on here through:" in told
    assert "Suction allows" not in told


def test_one_tank_alone_has_no_share() -> None:
    assert "share" not in render(fill(header(3.0))).partition("Tanks\n")[2].partition("Over time")[0]


@pytest.fixture(scope="module")
def drawn():
    return draw(demonstration(), use=30e-3 / 86_400.0, persons=2)


def test_fill_answers_first_in_sentences(filled) -> None:
    told = flat(render(filled))
    minutes = f"{filled.full_after / 60.0:.3g}"
    assert told.startswith(
        f"Mill-pond trailer, filling Tanks near and far are full after {minutes} min. Tank near is full first"
    )
    assert f"Tank near runs over meanwhile: {filled.spilled * 1e3:.3g} L in all." in told


def test_fill_says_the_charge_at_both_ends_and_whether_it_lasts(filled) -> None:
    table = render(filled).partition("\nBatteries\n")[2]
    assert re.search(r"^main +82 % +79 % +50 % +yes$", table, re.MULTILINE)
    assert "does not last" not in render(filled)
    short = flat(render(fill(demonstration(), changed={"batteries.main.charge": 0.51})))
    assert "Battery main does not last: it starts at 51 % and ends at 48 %, where 50 % must be left in it." in short


def test_fill_says_what_lacks_to_know_whether_a_battery_lasts() -> None:
    rig = demonstration()
    bare = replace(rig, batteries={"main": replace(rig.batteries["main"], capacity=None)})
    told = render(fill(bare))
    assert re.search(r"^main +82 % +not known +50 % +not known$", told, re.MULTILINE)
    assert "State capacity and chemistry of a battery" in told
    assert "\nBatteries\n" not in render(fill(header(3.0)))


def test_draw_answers_first_in_sentences(drawn) -> None:
    told = flat(render(drawn))
    assert f"{drawn.first_flow * 6e4:.3g} L/min comes out of tap at first" in told
    assert f"Drawn without a pause it lasts {drawn.empty_after / 60.0:.3g} min. Tank near is empty first" in told
    assert "112 L stands above the outlets and can be drawn; at 60 L a day that is water for 1.87 days." in told
    assert "The default mode draws from no tank; tap is the first that does." in told


def test_tables_hold_what_the_answer_holds(filled) -> None:
    told = render(filled)
    for tank in filled.tanks:
        row = next(line for line in told.splitlines() if re.match(rf"{tank.tank} +[\d.]", line))
        assert f"{tank.full_after / 60.0:.1f}" in row
        assert f"{100.0 * tank.share:.1f} %" in row
    for line in filled.lines:
        assert any(
            row.startswith(f"line {line.line} ") and f"{line.volume * 1e3:.0f}" in row for row in told.splitlines()
        )


@pytest.mark.parametrize("system", ["metric", "US", "imperial"])
def test_both_fit_eighty_columns_in_every_system(filled, drawn, system: str) -> None:
    for answer in (filled, drawn):
        assert max(map(len, render(answer, system=system).splitlines())) <= 80


def test_a_tank_that_never_fills_is_said_to() -> None:
    assert "tank is never full: no water arrives." in flat(render(fill(header(1.2))))
    halfway = flat(render(fill(header(1.3, inlet="bottom"))))
    assert re.search(
        r"tank is not full after .*, when nothing moves any more\. .* at first, nothing at the end", halfway
    )
    limited = flat(render(fill(header(4.0), time_limit=10.0)))
    assert "tank is not full after 10 s, when the time allowed is up." in limited


def test_a_tank_alone_and_one_that_is_full_already() -> None:
    alone = fill(header(4.0))
    assert f"tank is full after {alone.full_after / 60.0:.3g} min. Nothing spills." in flat(render(alone))
    assert "Everything is full from the start." in flat(render(fill(header(4.0, level=0.45))))


def test_suction_that_holds_back_and_limits_that_fail_are_told() -> None:
    told = flat(render(fill(demonstration(), changed={"sources.pond.surface": -7.0})))
    assert (
        "Suction allows nothing of the flow counted on here: how long it takes is not known. With pipes that stay full"
        in told
    )
    assert "But it does not work as drawn:" in told


def test_nothing_drawn_is_said() -> None:
    told = flat(render(draw(demonstration(), "filling", time_limit=60.0)))
    assert "Nothing comes out of any outlet." in told


def test_how_well_the_volumes_close_is_told(filled, drawn) -> None:
    for answer in (filled, replace(drawn, imbalance=1e-9)):
        assert f"is at most {max(answer.imbalance, 1e-12):.1g} of all that moved." in flat(render(answer))
