"""The report: everything is in it, in the words of the sheets, and it needs nothing from outside."""

from __future__ import annotations

from base64 import b64decode
from typing import TYPE_CHECKING, Any
from xml.etree.ElementTree import fromstring

import pytest

from hydrokit import InputError, SolverError, demonstration, render, report
from hydrokit.sheets.cautions import cautions_for
from hydrokit.sheets.pages import gathered, written

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.rig import Rig
    from hydrokit.sheets.pages import Gathered

SECTIONS = [
    "The rig, from source to tap", "Holds", "Suction side", "Filling the tanks", "Drawing from the tanks, mode tap",
    "As the filters load up", "Hoses to cut", "Parts, with what is stated of each",
    "Site, ends, lines and modes, with what is stated of each", "Where the limits come from", "How this was reached", "Cautions",
]  # fmt: skip
"""Some of the headings, in order; those of the check are in the order of its sheet."""


def _in_order(page: Any) -> list[str]:
    return [heading for heading in page.in_tag("h2") if heading in SECTIONS]


def _flat(text: str) -> str:
    return " ".join(text.split())


def _first(answer: Any) -> str:
    """Return the sentences of an answer, as the text on a terminal has them."""
    return _flat(render(answer, width=100).split("\n\n")[1])


def test_everything_stands_in_order(whole: str, parse: Callable[[str], Any]) -> None:
    page = parse(whole)
    assert _in_order(page) == SECTIONS
    others = {"Where the head goes", "What to change first", "Pump", "Battery", "Log reductions credited"}
    assert others <= set(page.in_tag("h2"))


def test_the_words_are_those_of_the_command_line(whole: str, material: Gathered, parse: Callable[[str], Any]) -> None:
    text = _flat(parse(whole).text)
    for answer in (material.check, material.lift, material.fill, material.draw, material.wear):
        assert _first(answer) in text
    for caution in cautions_for(material.check.kinds):
        assert caution in text
    assert f"Solved in {material.check.trust.steps} step" in text
    assert "guesses: turbidity of the site," in text
    assert "Budget of the suction side" in text
    assert "All data invented for this demonstration" in text


def test_every_rule_that_judged_has_its_source(whole: str, material: Gathered, parse: Callable[[str], Any]) -> None:
    text = _flat(parse(whole).text).partition("Where the limits come from")[2]
    for finding in material.check.findings:
        assert finding.rule in text
        assert _flat(finding.source) in text


def test_nothing_comes_from_outside_and_nothing_runs(whole: str, parse: Callable[[str], Any]) -> None:
    page = parse(whole)
    tags = {tag for tag, _ in page.elements}
    assert not tags & {"script", "link", "iframe", "object", "embed", "form", "base", "a"}
    for _, attributes in page.elements:
        assert not any(name.startswith("on") or name in {"href", "xlink:href", "style"} for name in attributes)
        assert (attributes.get("src") or "data:image/svg+xml;base64,").startswith("data:image/svg+xml;base64,")
    style = " ".join(page.in_tag("style"))
    assert "url(" not in style
    assert "@import" not in style


def test_who_reads_aloud_or_on_a_small_screen_is_served(whole: str, parse: Callable[[str], Any]) -> None:
    page = parse(whole)
    found = dict(page.elements)
    assert whole.startswith('<!DOCTYPE html>\n<html lang="en">')
    assert page.in_tag("title")[0] == "Mill-pond trailer, filling"
    assert [tag for tag, _ in page.elements].count("h1") == 1
    assert found["svg"]["role"] == "img"
    assert ("meta", {"name": "viewport", "content": "width=device-width, initial-scale=1"}) in page.elements
    pictures = [attributes["alt"] for tag, attributes in page.elements if tag == "img"]
    assert len(pictures) == 6
    assert all(pictures)
    heads = [attributes.get("scope") for tag, attributes in page.elements if tag == "th"]
    assert set(heads) == {"row", "col"}
    style = " ".join(page.in_tag("style"))
    for word in ("@page", "@media print", "table-header-group", "break-inside: avoid", "overflow-x: auto"):
        assert word in style


def test_pictures_are_whole(whole: str, parse: Callable[[str], Any]) -> None:
    for tag, attributes in parse(whole).elements:
        if tag == "img":
            tree = fromstring(b64decode(attributes["src"].partition(",")[2]))
            assert tree.tag == "{http://www.w3.org/2000/svg}svg"


def test_without_matplotlib_it_says_so_and_goes_on(
    material: Gathered, parse: Callable[[str], Any], no_plots: None
) -> None:
    page = parse(written(material))
    assert _in_order(page) == SECTIONS
    assert "The report has no plots: this needs matplotlib: pip install 'hydrokit[plots]'." in page.text
    assert "img" not in {tag for tag, _ in page.elements}
    headings = page.in_tag("h3")
    for wanted in ("Over time", "How high it could lift, limit by limit"):  # the numbers that the pictures show
        assert wanted in headings
    assert any(heading.startswith("As the litres pass") for heading in headings)


@pytest.mark.slow
def test_reports_of_ten_rigs(ten_rigs: dict[str, Rig], parse: Callable[[str], Any], no_plots: None) -> None:
    for name, rig in ten_rigs.items():
        found = gathered(rig)
        page = parse(written(found))
        assert _first(found.check) in _flat(page.text), name
        headings = page.in_tag("h2")
        assert ("Suction side" in headings) == any(duty.static_lift is not None for duty in found.check.duties), name
        assert any(heading.startswith("Filling the tanks") for heading in headings) == (found.fill is not None), name
        assert any(heading.startswith("Drawing from") for heading in headings) == (found.draw is not None), name
        assert found.unanswered == {}


def test_what_a_rig_has_not_is_not_asked(ten_rigs: dict[str, Rig]) -> None:
    gravity, looped = gathered(ten_rigs["gravity"]), gathered(ten_rigs["looped"])
    assert gravity.lift is None
    assert gravity.fill is None
    assert gravity.draw is not None
    assert looped.draw is None
    assert looped.wear is None


def test_a_failing_rig_says_what_fails_and_what_is_not_known(
    ten_rigs: dict[str, Rig], parse: Callable[[str], Any]
) -> None:
    page = parse(report(ten_rigs["high"]))
    headings = page.in_tag("h2")
    assert headings.index("Fails") < headings.index("Not known, and so not judged")
    assert "fails: pump primes, pump (lift)" in page.text


def test_a_question_without_answer_is_told(
    parse: Callable[[str], Any], monkeypatch: pytest.MonkeyPatch, no_plots: None
) -> None:
    def fill(*_: object, **__: object) -> None:
        raise SolverError("tanks change to and fro")

    monkeypatch.setattr("hydrokit.sheets.pages.gathering.fill", fill)
    page = parse(report(demonstration()))
    assert _in_order(page) == SECTIONS
    assert "No answer was reached: tanks change to and fro" in page.text


def test_units_and_changes_are_the_readers(parse: Callable[[str], Any], no_plots: None) -> None:
    text = parse(report(demonstration(), changed={"lines.intake.suction-hose.length": 9.0}, system="US")).text
    assert "US gpm" in text
    assert "L/min" not in text
    assert "length 29.5276 ft ± 0.656168 ft (changed for this report)" in text


def test_a_mode_is_kept_to(parse: Callable[[str], Any], no_plots: None) -> None:
    page = parse(report(demonstration(), "tap"))
    assert page.in_tag("h1") == ["Mill-pond trailer, tap"]
    assert "Drawing from the tanks" in page.in_tag("h2")
    assert not any(heading.startswith("Filling") for heading in page.in_tag("h2"))


@pytest.mark.parametrize(("words", "place"), [({"mode": "fliling"}, "mode"), ({"system": "metrisch"}, "system")])
def test_what_is_unknown_is_refused(words: dict[str, str], place: str) -> None:
    with pytest.raises(InputError) as refused:
        report(demonstration(), **words)  # type: ignore[arg-type]
    assert [mistake.place for mistake in refused.value.mistakes] == [place]


def test_a_report_is_the_same_each_time(material: Gathered, no_plots: None) -> None:
    assert written(material) == written(gathered(demonstration()))
