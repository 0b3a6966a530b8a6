"""Texts of a rig stay texts, whatever they hold, and long words do no harm."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from hydrokit.files import read_rig
from hydrokit.sheets.pages import gathered, written

if TYPE_CHECKING:
    from collections.abc import Callable

EVIL = "</p></style></title><script>alert(1)</script><img src=x onerror=alert(2)> \\\"quotes\\\" 'single' & &lt; &#106; --> ]]> {x} %s"
PLAIN = f"{'plain words ' * 8}{'w' * 40}"
"""As long as the other, so that cells of either are parted alike."""
LONG = "a" * 180
LONG_NAME = "b" * 53

_FILE = """format = 1
title = "{text}"
note = "{text}"
[site]
altitude = "10 m"
origin = {{ altitude = "{text}" }}
[sources.{name}-pond]
surface = "0 m"
note = "{text}"
[tanks.{name}-can]
volume = "60 L"
floor = "1 m"
depth = "40 cm"
note = "{text}"
[vehicle]
front = "{text}"
note = "{text}"
[lines.{name}-intake]
from = "{name}-pond"
to = "{name}-can"
note = "{text}"
parts = [
  {{ part = "hose", name = "{name}-hose", bore = "19 mm", length = "6 m", note = "{text}", vacuum_rating = "0.7 bar vacuum" }},
  {{ use = "diaphragm-pump-11", name = "{name}-pump", height = "1.2 m", note = "{text}" }},
  {{ part = "filter", name = "{name}-filter", points = [["8 L/min", "10 kPa"]], note = "{text}", origin = {{ points = "{text}" }} }},
]
[modes.{name}-mode]
note = "{text}"
"""


def _report(text: str, name: str = "x") -> str:
    return written(gathered(read_rig(_FILE.format(text=text, name=name))))


def test_no_element_and_no_attribute_stems_from_a_rig(parse: Callable[[str], Any], no_plots: None) -> None:
    evil, plain = parse(_report(EVIL)), parse(_report(PLAIN))
    assert evil.elements == plain.elements
    told = EVIL.replace('\\"', '"')
    assert evil.text.count(told) > 10
    assert next(text for tag, text in evil.texts if tag == "title") == f"{told}, x-mode"


@pytest.mark.slow
def test_pictures_take_no_markup_either(parse: Callable[[str], Any]) -> None:
    def bare(text: str) -> list[Any]:
        return [(tag, sorted(attributes)) for tag, attributes in parse(_report(text)).elements]

    assert bare(EVIL) == bare(PLAIN)


def test_characters_that_html_cannot_hold_are_replaced(no_plots: None) -> None:
    made = gathered(read_rig(_FILE.format(text="plain", name="x")))
    odd = written(replace(made, check=replace(made.check, title="bell \x07 and escape \x1b[31m")))
    assert "bell \ufffd and escape \ufffd[31m" in odd
    assert not any(letter in odd for letter in "\x07\x1b")


def test_long_words_are_parted(parse: Callable[[str], Any], no_plots: None) -> None:
    text = _report(LONG, LONG_NAME)
    page = parse(text)
    style = " ".join(page.in_tag("style"))
    assert "overflow-wrap: anywhere" in style
    cells = [attributes for tag, attributes in page.elements if tag in {"td", "th"}]
    assert cells
    for tag, words in page.texts:
        if LONG in words or LONG_NAME in words:
            assert tag in {"title", "h1", "h2", "h3", "p", "li", "td", "th", "text"}
    assert not [words for tag, words in page.texts if tag == "text" and LONG_NAME in words]
    assert ".long { overflow-wrap: anywhere; }" in style
    assert sum(attributes.get("class") == "long" for attributes in cells) > 20


def test_names_in_other_scripts_are_kept(parse: Callable[[str], Any], no_plots: None) -> None:
    made = gathered(read_rig(_FILE.format(text="Brunnen – Größe µ ✓ 水", name="x")))
    assert "Brunnen – Größe µ ✓ 水" in parse(written(made)).text


def test_braces_in_texts_are_no_gaps(parse: Callable[[str], Any], no_plots: None) -> None:
    assert "{reason} {0} {}" in parse(_report("{reason} {0} {}")).text
