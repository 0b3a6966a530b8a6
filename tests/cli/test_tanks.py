"""The commands ``fill`` and ``draw``."""

from __future__ import annotations

import json

import pytest

from hydrokit.files import demonstration
from hydrokit.studies import draw, fill
from hydrokit_cli.main import main


def as_json(capsys, *arguments: str) -> tuple[int, dict]:
    code = main([*arguments, "--json"])
    return code, json.loads(capsys.readouterr().out)


def test_fill_is_that_of_the_library(capsys) -> None:
    code, data = as_json(capsys, "fill")
    assert code == 0
    assert data["full_after"]["value"] == fill(demonstration()).full_after


def test_an_order_and_a_first(capsys) -> None:
    _, turns = as_json(capsys, "fill", "--order", "far", "--order", "near")
    assert turns["order"] == ["far", "near"]
    _, listed = as_json(capsys, "fill", "--order", "far, near")
    assert listed["order"] == ["far", "near"]
    assert turns["spilled"]["value"] == 0.0
    _, first = as_json(capsys, "fill", "--first")
    assert first["ends"] == "first full"


def test_a_limit_of_time_has_a_unit(capsys) -> None:
    _, data = as_json(capsys, "fill", "--for", "5 min")
    assert data["followed_for"]["value"] == 300.0
    assert main(["fill", "--for", "5"]) == 2
    assert "--for" in capsys.readouterr().err


def test_fill_fails_where_a_limit_does(capsys) -> None:
    assert main(["fill", "--set", "sources.pond.surface=-7 m"]) == 1
    assert "does not work as drawn" in " ".join(capsys.readouterr().out.split())


def test_draw_is_that_of_the_library(capsys) -> None:
    code, data = as_json(capsys, "draw", "--use", "10 L/day", "--persons", "4")
    assert code == 0
    expected = draw(demonstration(), use=10e-3 / 86_400.0, persons=4.0)
    assert data["empty_after"]["value"] == expected.empty_after
    assert data["days"]["value"] == pytest.approx(expected.days)
    assert data["mode"] == "tap"


def test_wrong_words_are_refused(capsys) -> None:
    assert main(["fill", "--order", "nere"]) == 2
    assert "near" in capsys.readouterr().err
    assert main(["draw", "--use", "10"]) == 2
    assert "--use" in capsys.readouterr().err


def test_both_say_what_they_are_about_first(capsys) -> None:
    for command in ("fill", "draw"):
        main([command])
        assert capsys.readouterr().out.startswith("Built-in demonstration rig")
