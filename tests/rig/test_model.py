"""A rig as data: what fits together, what does not, and modes."""

from __future__ import annotations

import copy
import pickle
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from hydrokit.errors import InputError, NetworkError, RangeError
from hydrokit.files import demonstration
from hydrokit.parts import DiaphragmPump, Hose, HoseTail, Joint, Outlet, Source, Tank
from hydrokit.rig import AS_DRAWN, Line, Mode, Rig, Site

if TYPE_CHECKING:
    from collections.abc import Callable

POND = {"pond": Source(surface=0.0)}
TANK = {"near": Tank(volume=0.06, floor=1.0, depth=0.4)}
HOSE = Hose(bore=0.019, length=2.0)
PUMP = DiaphragmPump(name="pump", points=((1e-4, 2e5), (2e-4, 0.0)))


def rig(**more: Any) -> Rig:
    lines = {"intake": Line(start="pond", end="near", parts=(HOSE, PUMP, HOSE))}
    return Rig(**{"sources": POND, "tanks": TANK, "lines": lines, **more})


def told(**more: Any) -> str:
    with pytest.raises(NetworkError) as caught:
        rig(**more)
    return str(caught.value)


def test_parts_without_a_name_are_counted_by_kind_from_one() -> None:
    line = Line(start="a", end="b", parts=(HOSE, HoseTail(bore=0.015), replace(HOSE, name="own"), HOSE))
    assert line.labels() == ("hose-1", "hose-tail-1", "own", "hose-2")


def test_parts_given_as_a_list_become_a_tuple() -> None:
    assert Line(start="a", end="b", parts=[HOSE]).parts == (HOSE,)  # type: ignore[arg-type]


def test_ends_that_are_listed_nowhere_are_joints() -> None:
    lines = {
        "one": Line(start="pond", end="split", parts=(HOSE,)),
        "two": Line(start="split", end="near", parts=(HOSE,)),
    }
    assert list(rig(lines=lines).ends()) == ["pond", "near", "split"]
    assert rig(lines=lines).ends()["split"] == Joint()


def test_pumps_by_address() -> None:
    assert rig().pumps() == {"lines.intake.pump": PUMP}


def test_a_rig_needs_a_line() -> None:
    assert "lines: found none, expected at least one line" in told(lines={})


def test_a_rig_needs_somewhere_for_water_to_come_from() -> None:
    lines = {"one": Line(start="a", end="b", parts=(HOSE,)), "two": Line(start="b", end="a", parts=(HOSE,))}
    assert "sources: found none, expected somewhere for water to come from" in told(sources={}, tanks={}, lines=lines)


def test_a_misspelt_end_is_told_with_the_nearest_word() -> None:
    lines = {"intake": Line(start="ponde", end="near", parts=(HOSE,))}
    assert told(lines=lines).splitlines() == [
        (
            "lines.intake.from: found 'ponde', which nothing else meets, expected a source, tank, outlet or a joint of at"
            " least two lines; write pond"
        ),
    ]


def test_a_stated_joint_may_be_the_end_of_one_line() -> None:
    lines = {"intake": Line(start="pond", end="bucket", parts=(HOSE,))}
    assert rig(tanks={}, joints={"bucket": Joint(demand=1e-5)}, lines=lines).ends()["bucket"] == Joint(demand=1e-5)


def test_a_line_joins_two_different_ends() -> None:
    assert "found both ends at pond" in told(lines={"intake": Line(start="pond", end="pond", parts=(HOSE,))})


def test_no_line_starts_from_an_outlet() -> None:
    text = told(outlets={"tap": Outlet(height=1.0)}, lines={"intake": Line(start="tap", end="near", parts=(HOSE,))})
    assert (
        "lines.intake.from: found the outlet tap, expected an end that water can come from; write it under to" in text
    )


def test_ends_of_two_kinds_may_not_share_a_name() -> None:
    text = told(outlets={"near": Outlet(height=1.0)})
    assert "outlets.near: found a second end called near, expected a name other than that of tanks.near" in text


def test_parts_of_a_line_may_not_share_a_name() -> None:
    named = replace(HOSE, name="hose-1")
    text = told(lines={"intake": Line(start="pond", end="near", parts=(HOSE, named))})
    assert "lines.intake: found 2 parts called hose-1, expected one name for each part of a line" in text


@pytest.mark.parametrize("name", ["", "a b", "a.b", "a{b}", "a/b"])
def test_names_are_letters_digits_and_dashes_wherever_they_stand(name: str) -> None:
    expected = "expected a name of letters, digits, - and _; write lift-pump"
    assert expected in told(lines={name: Line(start="pond", end="near", parts=(HOSE,))})
    assert expected in told(sources={name: Source(surface=0.0), **POND})
    pair = {"one": Line(start="pond", end=name, parts=(HOSE,)), "two": Line(start=name, end="near", parts=(HOSE,))}
    assert expected in told(lines=pair)


def test_what_is_no_part_is_refused_before_anything_else() -> None:
    text = told(lines={"intake": Line(start="pond", end="near", parts=(HOSE, "hose"))}, tanks={"near": HOSE})  # type: ignore[arg-type]
    assert text.splitlines() == [
        "tanks.near: found Hose, expected a Tank",
        "lines.intake: found str as part 2, expected a part, such as Hose",
    ]
    assert "lines.intake: found str, expected a Line" in told(lines={"intake": "pond to near"})


def test_a_mode_names_lines_pumps_and_numbers_that_there_are() -> None:
    mode = Mode(
        closed=("lines.intak",), off=("lines.intake.pumpe",), values={"tanks.near.levl": 0.1, "site.altitude": 1e6}
    )
    assert told(modes={"filling": mode}).splitlines() == [
        "modes.filling.closed: found 'lines.intak', expected the address of a line; write lines.intake",
        "modes.filling.off: found 'lines.intake.pumpe', expected the address of a pump; write lines.intake.pump",
        (
            "modes.filling.values: found 'tanks.near.levl', expected the address of a number in this rig; write"
            " tanks.near.level"
        ),
        "modes.filling.values.site.altitude: found 1e+06 m, expected -500 to 9000 m",
    ]


def test_origins_and_tolerances_are_of_values_that_there_are() -> None:
    text = told(
        origins={"lines.intake.pump.points": "data sheet", "tanks.near.shape": "guess"},
        tolerances={"tanks.near.note": 1.0, "tanks.near.level": -0.1, "tanks.near.depth": 0.01},
    )
    assert [line.split(":")[0] for line in text.splitlines()] == [
        "origins",
        "tolerances",
        "tolerances.tanks.near.level",
    ]


def test_a_site_refuses_the_impossible_and_says_where() -> None:
    with pytest.raises(RangeError, match=r"^site\.altitude: found 20000"):
        Site(altitude=20_000.0)


def test_the_first_mode_is_the_default_and_a_rig_without_has_one_of_its_own() -> None:
    assert rig().mode() == rig().mode(AS_DRAWN) == (AS_DRAWN, Mode())
    modes = {"filling": Mode(), "tap": Mode(closed=("lines.intake",))}
    assert rig(modes=modes).mode()[0] == "filling"
    assert rig(modes=modes).mode("tap") == ("tap", modes["tap"])
    assert rig(modes=modes).mode_names() == ("filling", "tap")


@pytest.mark.parametrize("word", ["fillng", AS_DRAWN])
def test_an_unknown_mode_is_told_with_those_there_are(word: str) -> None:
    with pytest.raises(InputError, match="expected one of filling, tap"):
        rig(modes={"filling": Mode(), "tap": Mode()}).mode(word)


def test_rigs_compare_by_value() -> None:
    assert rig() == rig()
    assert rig() != rig(site=Site(altitude=1.0))
    assert rig() != rig(lines={"intake": Line(start="pond", end="near", parts=(HOSE, PUMP))})
    assert rig() != "a rig"


def test_rigs_with_another_default_mode_are_not_equal() -> None:
    filling, tap = Mode(), Mode(closed=("lines.intake",))
    assert rig(modes={"filling": filling, "tap": tap}) != rig(modes={"tap": tap, "filling": filling})


def test_nothing_of_a_rig_can_be_changed_in_place() -> None:
    given = dict(POND)
    made = rig(sources=given, modes={"m": Mode(values={"site.altitude": 1.0})})
    given["other"] = Source(surface=1.0)
    assert list(made.sources) == ["pond"]
    with pytest.raises(TypeError):
        made.sources["other"] = Source(surface=1.0)  # type: ignore[index]
    with pytest.raises(TypeError):
        made.modes["m"].values["site.altitude"] = 2.0  # type: ignore[index]
    with pytest.raises(AttributeError):
        made.title = "other"  # type: ignore[misc]


@pytest.mark.parametrize("copied", [copy.deepcopy, copy.copy, lambda each: pickle.loads(pickle.dumps(each))])
def test_rigs_survive_pickling_and_copying(copied: Callable[[Rig], Rig]) -> None:
    whole = demonstration()
    whole.ends(), whole.by_address
    again = copied(whole)
    assert again == whole
    assert again.mode_names() == whole.mode_names()
    with pytest.raises(TypeError):
        again.tanks["other"] = None  # type: ignore[index]


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda: Rig(tanks=[1]), r"tanks: found \[1\], expected a mapping"),
        (lambda: Rig(tanks={"near": Site()}), "tanks.near: found .*, expected a Tank"),
        (
            lambda: Rig(lines={"a": Line(start="pond", end="tap", parts="hose")}),
            r"parts: found 'hose', expected a tuple",
        ),
        (lambda: Line(start=None, end="tap"), "start: found None, expected text"),
        (lambda: Mode(closed="lines.tap"), r"closed: found 'lines.tap', .* write \['lines.tap'\]"),
        (lambda: Mode(values=[0.1]), r"values: found \[0.1\], expected a mapping"),
        (lambda: Mode(note=1), "note: found 1, expected text"),
    ],
)
def test_what_is_of_the_wrong_kind_is_refused(make: Callable[[], object], told: str) -> None:
    with pytest.raises(InputError, match=told):
        make()


def test_names_are_texts_and_those_of_modes_are_names_too() -> None:
    assert "lines: found the name 3, expected text" in told(lines={3: Line(start="pond", end="near")})
    assert "modes.my mode: found 'my mode', expected a name of letters" in told(modes={"my mode": Mode()})
