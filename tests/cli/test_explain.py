from __future__ import annotations

import json
from typing import TYPE_CHECKING

from hydrokit.terms import words_by_group
from hydrokit_cli import exits
from hydrokit_cli.main import main

if TYPE_CHECKING:
    from collections.abc import Sequence

    import pytest


def _said(capsys: pytest.CaptureFixture[str], arguments: Sequence[str], code: int = exits.HOLDS) -> tuple[str, str]:
    assert main(["explain", *arguments]) == code
    told = capsys.readouterr()
    return told.out, told.err


def test_words_need_no_quotes(capsys: pytest.CaptureFixture[str]) -> None:
    assert _said(capsys, ["dry", "lift"]) == _said(capsys, ["dry lift"])


def test_without_a_word_all_are_listed_and_fit(capsys: pytest.CaptureFixture[str]) -> None:
    text, _ = _said(capsys, [])
    assert all(group in text.splitlines() for group in words_by_group())
    assert max(map(len, text.splitlines())) <= 80
    listed = json.loads(_said(capsys, ["--json"])[0])
    assert listed["words"] == {group: list(words) for group, words in words_by_group().items()}


def test_a_rule_says_its_formula_and_source(capsys: pytest.CaptureFixture[str]) -> None:
    text, _ = _said(capsys, ["suction velocity"])
    assert "Formula: 4 flow / (π bore^2) <= 1.5 m/s\n" in text
    assert "Source: 0.6 to 1.5 m/s: common practice, no source\n" in text
    assert "Advice only: it can be close, and never fails\n" in text


def test_an_unknown_word_gets_the_nearest_and_exit_2(capsys: pytest.CaptureFixture[str]) -> None:
    text, told = _said(capsys, ["npsx"], exits.WRONG_INPUT)
    assert text == ""
    assert "write NPSH" in told
    document = json.loads(_said(capsys, ["npsx", "--json"], exits.WRONG_INPUT)[0])
    assert document["mistakes"][0]["found"] == "'npsx'"
