"""What the drawing shows: every part once, at its height, with its numbers; nothing of a rig can become markup."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING
from xml.etree.ElementTree import fromstring

import pytest

from hydrokit import Check, Verdict, check, demonstration, replaced
from hydrokit.bounds import Dimension
from hydrokit.parts import Hose, Outlet, Source, Tank
from hydrokit.rig import Line, Rig
from hydrokit.sheets.findings import of_verdict
from hydrokit.sheets.schematic import rig_drawing
from hydrokit.units import show

if TYPE_CHECKING:
    from collections.abc import Callable
    from xml.etree.ElementTree import Element

SVG = "{http://www.w3.org/2000/svg}"


def _texts(drawing: str) -> list[str]:
    return [text.text or "" for text in fromstring(drawing).iter(f"{SVG}text")]


def _of_class(drawing: str, tag: str, kind: str) -> list[Element]:
    return [found for found in fromstring(drawing).iter(f"{SVG}{tag}") if found.attrib["class"] == kind]


def _places(drawing: str, kind: str = "hose") -> list[list[tuple[float, float]]]:
    found = []
    for line in _of_class(drawing, "polyline", kind):
        pairs = [pair.split(",") for pair in line.attrib["points"].split()]
        found.append([(float(x), float(y)) for x, y in pairs])
    return found


def test_every_part_line_and_end_is_named(ten_rigs: dict[str, Rig], drawn: Callable[..., str]) -> None:
    for rig in ten_rigs.values():
        told = "".join(_texts(drawn(rig)))
        for name, line in rig.lines.items():
            assert f"line {name}" in told
            assert [label for label in line.labels() if label not in told] == []
        assert [name for name in rig.ends() if name not in told] == []


def test_flows_and_pressures_stand_beside_lines_and_parts(answer: Check, drawn: Callable[..., str]) -> None:
    texts = _texts(drawn(demonstration()))
    first = next(stop for stop in answer.stops if stop.line == "intake")
    assert show(first.flow, Dimension.FLOW) in texts
    after = {stop.after: stop.gauge_pressure for stop in answer.stops if stop.line == "intake"}
    suction, last = (1e-5 * (after[name] or 0.0) for name in ("suction-hose hose", "membrane filter"))
    assert f"{-suction:.2f} bar vacuum" in texts
    assert f"{last:.2f} bar" in texts  # all of them in one unit, that of the greatest
    assert not [text for text in texts if text.endswith(" Pa") or " kPa" in text]


def test_what_holds_back_most_is_framed_and_says_so(drawn: Callable[..., str]) -> None:
    drawing = drawn(demonstration())
    texts = _texts(drawing)
    at = texts.index("membrane")
    assert "holds back most:" in texts[at : at + 5]
    assert len(_of_class(drawing, "rect", "frame")) == 1


def test_where_the_height_holds_back_more_the_drawing_says_that_it_speaks_of_parts(
    single: Callable[..., Rig], drawn: Callable[..., str]
) -> None:
    rig = single(3, 0.0, 20.0)
    assert check(rig).head_shares[0].place not in rig.by_address
    assert "holds back most of the parts:" in " ".join(_texts(drawn(rig)))


def test_a_small_pressure_is_not_told_to_be_none(answer: Check, drawn: Callable[..., str]) -> None:
    last = [stop for stop in answer.stops if stop.after == "hose-tail-4 hose tail"]
    assert 1.0 < (last[0].gauge_pressure or 0.0) < 500.0
    texts = _texts(drawn(demonstration()))
    assert texts[texts.index("hose-tail-4") + 1] == "<0.01 bar"
    assert "0 bar" in texts  # where the water leaves a hose into the air


def test_what_fails_is_framed_and_says_so(too_high: Check) -> None:
    rig = replaced(demonstration(), {"lines.intake.lift-pump.height": 9.0})
    drawing = rig_drawing(rig, too_high)
    texts = _texts(drawing)
    failing = [finding for finding in of_verdict(too_high, Verdict.FAILS) if finding.place == "lines.intake.lift-pump"]
    assert failing
    at = texts.index("lift-pump")
    for finding in failing[:2]:
        assert f"fails: {finding.rule}" in " ".join(texts[at : at + 6])
    assert len(_of_class(drawing, "rect", "frame")) > 1
    assert "Suction lets nothing through" not in drawing
    assert "0 L/min is what its suction side allows." in " ".join(texts)


def test_no_vacuum_is_deeper_than_the_air(single: Callable[..., Rig], drawn: Callable[..., str]) -> None:
    texts = _texts(drawn(single(20, 0.0, 100.0)))
    assert "under vapour pressure" in " ".join(texts)
    assert [text for text in texts if text.endswith("kPa vacuum") and float(text.split()[0]) > 101.4] == []


def test_heights_are_to_scale() -> None:
    """A hose that climbs twice as far is drawn twice as tall, and the scale beside it agrees."""
    parts = (
        Hose(name="one", bore=0.02, length=1.0), Hose(name="two", bore=0.02, length=2.0),
    )  # fmt: skip
    rig = Rig(
        sources={"high": Source(surface=3.0)}, outlets={"low": Outlet(height=0.0)},
        lines={"down": Line(start="high", end="low", parts=parts)},
    )  # fmt: skip
    drawing = rig_drawing(rig, check(rig))
    (_, start), (_, middle) = _places(drawing)[0]
    (_, same), (_, end) = _places(drawing)[1]
    assert middle == same
    assert end - middle == pytest.approx(2.0 * (middle - start), abs=0.21)  # a tenth is written
    marks = {text.text: float(text.attrib["y"]) for text in fromstring(drawing).iter(f"{SVG}text")}
    assert marks["0 m"] - marks["3 m"] == pytest.approx(end - start, abs=0.21)


def test_the_water_of_a_tank_stands_at_its_level() -> None:
    rig = Rig(
        tanks={"can": Tank(volume=0.1, floor=1.0, depth=1.0, level=0.25)}, outlets={"tap": Outlet(height=0.0)},
        lines={"down": Line(start="can", end="tap", parts=(Hose(bore=0.02, length=2.0),))},
    )  # fmt: skip
    drawing = rig_drawing(rig, check(rig))
    box = _of_class(drawing, "rect", "shape")[0].attrib
    top, tall = float(box["y"]), float(box["height"])
    (_, water), _ = _places(drawing, "surface")[0]
    assert (top + tall - water) / tall == pytest.approx(0.25, abs=0.005)
    assert "water at 1.25 m" in _texts(drawing)


def test_water_that_goes_back_is_drawn_the_way_it_goes() -> None:
    rig = Rig(
        sources={"up": Source(surface=2.0)}, outlets={}, tanks={"can": Tank(volume=0.1, floor=0.0, depth=1.0, inlet="bottom")},
        lines={
            "back": Line(start="can", end="up", parts=(Hose(name="near", bore=0.02, length=1.0), Hose(name="far", bore=0.02, length=1.0)))
        },
    )  # fmt: skip
    answer = check(rig)
    assert answer.stops[0].flow < 0.0
    texts = _texts(rig_drawing(rig, answer))
    order = [texts.index(name) for name in ("up", "line back", "far", "near", "can")]
    assert order == sorted(order)
    assert show(-answer.stops[0].flow, Dimension.FLOW) in texts


def test_shut_lines_say_so(drawn: Callable[..., str]) -> None:
    rig = demonstration()
    shut = list(rig.mode()[1].closed)
    assert shut
    assert _texts(drawn(rig)).count("shut") == len(shut)


def test_a_tank_is_drawn_whole_once_and_dashed_after_that(ten_rigs: dict[str, Rig], drawn: Callable[..., str]) -> None:
    drawing = drawn(ten_rigs["looped"])
    assert len(_of_class(drawing, "circle", "again")) == 3  # a, c and b, where further lines meet them
    assert "What is dashed round its edge is drawn once more" in " ".join(_texts(drawing))


def test_a_crest_is_drawn_between_the_ends_of_its_hose() -> None:
    rig = Rig(
        sources={"high": Source(surface=1.0)}, outlets={"low": Outlet(height=0.0)},
        lines={"over": Line(start="high", end="low", parts=(Hose(bore=0.02, length=5.0, high_point=2.0),))},
    )  # fmt: skip
    (_, start), (_, top), (_, end) = _places(rig_drawing(rig, check(rig)))[0]
    assert start - top == pytest.approx(end - start, abs=0.21)


def test_text_of_a_rig_stays_text(answer: Check) -> None:
    evil = replace(answer, title='<script>alert(1)</script> & "quotes" ]]> \x00\x1b <b>', mode="filling")
    drawing = rig_drawing(demonstration(), evil)
    root = fromstring(drawing)
    tags = {element.tag for element in root.iter()}
    assert tags <= {f"{SVG}{tag}" for tag in ("svg", "title", "style", "text", "polyline", "path", "rect", "circle")}
    assert "".join(_texts(drawing)).startswith('<script>alert(1)</script> & "quotes" ]]>')


@pytest.mark.parametrize(("system", "unit"), [("metric", "L/min"), ("US", "US gpm"), ("imperial", "imperial gpm")])
def test_units_are_the_readers(system: str, unit: str, answer: Check) -> None:
    texts = _texts(rig_drawing(demonstration(), answer, system=system))
    shown = show(answer.stops[0].flow, Dimension.FLOW, system)
    assert shown in texts
    assert unit in shown


def test_a_drawing_is_the_same_each_time(drawn: Callable[..., str]) -> None:
    assert drawn(demonstration()) == drawn(demonstration())


def test_it_is_black_and_white(drawn: Callable[..., str]) -> None:
    style = fromstring(drawn(demonstration())).findtext(f"{SVG}style") or ""
    colours = {word.rstrip(";") for word in style.split() if word.startswith("#")}
    assert colours == {"#000", "#fff", "#bbb"}
