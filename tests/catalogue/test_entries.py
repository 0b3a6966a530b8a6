from __future__ import annotations

import pytest

from hydrokit.catalogue import Entry, generic_parts, hose_bores, part
from hydrokit.catalogue.entries import DATA
from hydrokit.errors import InputError
from hydrokit.parts import DiaphragmPump, Filter, Hose, HoseTail, Part

ENTRIES = pytest.mark.parametrize("entry", generic_parts().values(), ids=generic_parts())


def _part(entry: Entry) -> Part:
    return part(entry.name, **({"length": "1 m"} if entry.kind == "hose" else {}))


def _entries(kind: str) -> list[Entry]:
    return [entry for entry in generic_parts().values() if entry.kind == kind]


@ENTRIES
def test_each_entry_makes_its_part(entry: Entry) -> None:
    assert _part(entry).kind == entry.kind


@ENTRIES
def test_each_entry_says_where_its_figures_come_from(entry: Entry) -> None:
    assert any(word in entry.source for word in ("invented", "from memory", "ISO", "Crane", "full bore"))


@ENTRIES
def test_names_can_stand_in_an_address(entry: Entry) -> None:
    assert all(letter.isalnum() or letter == "-" for letter in entry.name)


def test_page_of_sources_names_each_table() -> None:
    page = (DATA / "README.md").read_text(encoding="utf-8")
    assert all(f"`{path.name}`" in page for path in DATA.glob("*.toml"))


def test_hoses_have_standard_bores() -> None:
    bores = {bore for _, bore in hose_bores("metric")}
    assert {_part(entry).bore for entry in _entries("hose")} <= bores  # type: ignore[attr-defined]


@pytest.mark.parametrize(("hose", "low", "high"), [("10", 7, 7), ("12-5", 9, 9.5), ("19", 15, 15), ("25", 20, 20)])
def test_tails_are_narrower_than_their_hose(hose: str, low: float, high: float) -> None:
    """Bores of tails in 10, 12.5, 19 and 25 mm hose: common practice, from memory."""
    tail = part(f"tail-{hose}")
    assert isinstance(tail, HoseTail)
    assert low <= tail.bore * 1000 <= high


def test_diaphragm_pumps_are_within_what_is_usual() -> None:
    """12 V diaphragm pumps: 4 to 20 L/min open, falling 12 to 20 % of it per bar, cut-out 1.4 to 4.1 bar, dry lift 1 to 3 m (common practice, from memory)."""
    for entry in _entries("diaphragm pump"):
        pump = _part(entry)
        assert isinstance(pump, DiaphragmPump)
        assert pump.points is not None
        assert pump.cut_out is not None
        assert pump.dry_lift is not None
        open_flow = pump.points[0][0]
        assert 4 <= open_flow * 60_000 <= 20
        for (more, low), (less, high) in zip(pump.points, pump.points[1:], strict=False):
            assert 0.12 <= (more - less) / open_flow / (high - low) * 1e5 <= 0.20
        assert 1.4e5 <= pump.cut_out <= 4.1e5
        assert 1.0 <= pump.dry_lift <= 3.0


@pytest.mark.parametrize(
    ("name", "low", "high"),
    [
        ("filter-sediment-5", 5, 15),
        ("filter-sediment-1", 10, 30),
        ("filter-carbon-block", 20, 100),
        ("lamp-small", 2, 10),
    ],
)
def test_drops_at_8_litres_a_minute_are_within_what_is_usual(name: str, low: float, high: float) -> None:
    """Makers' sheets of 250 mm elements and small chambers, from memory. [kPa]"""
    made = part(name)
    drops = dict(made.points)  # type: ignore[attr-defined]
    assert low <= drops[8 / 60_000] / 1000 <= high


def test_fields_may_be_added_and_changed() -> None:
    hose = part("suction-hose-19", length="6 m", bore="3/4 in")
    assert isinstance(hose, Hose)
    assert (hose.length, hose.bore, hose.vacuum_rating) == (6.0, 0.01905, 7e4)


def test_all_mistakes_are_told_at_once() -> None:
    with pytest.raises(InputError) as caught:
        part("hose-19", bore="19 kg", lenth="3 m")
    assert [mistake.place for mistake in caught.value.mistakes] == ["hose-19.bore", "hose-19.lenth", "hose-19.length"]
    assert [mistake.instead for mistake in caught.value.mistakes] == ['"19 mm"', "length", '"6 m"']


@pytest.mark.parametrize(
    ("word", "close"), [("filter-sedimnt-5", "filter-sediment-5"), ("zzz", ""), ("x" * 10_000, "")]
)
def test_unknown_part_names_the_nearest(word: str, close: str) -> None:
    with pytest.raises(InputError) as caught:
        part(word)
    assert caught.value.mistakes[0].instead == close
    assert len(caught.value.mistakes[0].found) < 100


def test_the_catalogue_cannot_be_changed() -> None:
    with pytest.raises(TypeError):
        generic_parts()["x"] = None  # type: ignore[index]
    assert generic_parts() is generic_parts()
    assert isinstance(part("filter-carbon-block"), Filter)
