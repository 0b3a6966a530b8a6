from __future__ import annotations

import re

import pytest

from hydrokit.sheets import render
from hydrokit.studies import hose

LPM = 1.0 / 60_000.0


def _flat(text: str) -> str:
    return re.sub(r"\s+", " ", text)


@pytest.mark.parametrize(
    ("stated", "told"),
    [
        ({"flow": 8 * LPM, "bore": 0.0125}, "6 m of 12.5 mm hose drops {drop:.3g} kPa"),
        ({"flow": 8 * LPM, "drop": 10e3}, "It takes a bore of {bore:.3g} mm to carry 8 L/min through 6 m of hose"),
        ({"bore": 0.0125, "drop": 10e3}, "6 m of 12.5 mm hose carries {flow:.3g} L/min for a drop of 10 kPa"),
    ],
    ids=["drop", "bore", "flow"],
)
def test_the_answer_comes_first(stated: dict[str, float], told: str) -> None:
    answer = hose(length=6.0, **stated)
    figures = {"drop": answer.drop / 1e3, "bore": answer.bore * 1e3, "flow": answer.flow / LPM}
    assert _flat(render(answer)).startswith(f"One hose {told.format(**figures)}")


def test_tails_are_told_with_their_share() -> None:
    told = _flat(render(hose(flow=8 * LPM, bore=0.0125, length=6.0, tail_bore=0.0095)))
    assert re.search(r"Its two tails of 9\.5 mm take [\d.]+ (k?Pa) of that, [\d.]+ %\.", told)


def test_between_laminar_and_turbulent_is_told() -> None:
    answer = hose(flow=2.5 * LPM, bore=0.019, length=6.0, water_temperature=285.0)
    assert answer.range == "between"
    assert "where no source gives a dependable figure" in _flat(render(answer))


@pytest.mark.parametrize("system", ["metric", "US", "imperial"])
def test_it_fits_eighty_columns(system: str) -> None:
    text = render(hose(flow=8 * LPM, bore=0.0125, length=6.0), system=system)
    assert max(map(len, text.splitlines())) <= 80
