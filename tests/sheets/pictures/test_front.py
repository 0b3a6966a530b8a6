"""The front of pictures: what may be asked for, files, and what is said where they cannot be had."""

from __future__ import annotations

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from hydrokit import check, demonstration, hose, plot
from hydrokit.errors import InputError, MissingExtra, OutputError, RangeError
from hydrokit.sheets.pictures import check_destination, check_picture, figures_of, save_plot, svg_of

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path


def test_svg_is_the_same_each_time_and_needs_no_name_twice(answers: Callable[..., Any]) -> None:
    answer = answers("check", "gravity")
    one, other = (svg_of(plot(answer, "heads")) for _ in range(2))
    assert one == other
    assert one.startswith("<svg")
    assert one.endswith("</svg>")
    assert "<dc:date" not in one
    names = [part.partition('"')[0] for part in one.split(' id="')[1:]]
    assert names
    assert len(set(names)) == len(names)
    assert all(name.startswith("p") for name in names)
    assert ' id="b1"' in svg_of(plot(answer, "heads"), "b")


def test_figures_made_in_threads_are_those_made_alone(answers: Callable[..., Any]) -> None:
    answer = answers("check", "gravity")
    with ThreadPoolExecutor(3) as threads:
        made = list(threads.map(lambda _: svg_of(plot(answer, "heads")), range(3)))
    assert set(made) == {svg_of(plot(answer, "heads"))}


@pytest.mark.parametrize(("ending", "begins"), [("png", b"\x89PNG"), ("svg", b"<?xml"), ("pdf", b"%PDF")])
def test_files_are_written_whole(answers: Callable[..., Any], tmp_path: Path, ending: str, begins: bytes) -> None:
    file = tmp_path / f"picture.{ending.upper()}"
    file.write_bytes(b"old")
    save_plot(answers("check", "gravity"), file, width=0.08)
    assert file.read_bytes().startswith(begins)
    assert list(tmp_path.iterdir()) == [file]


def test_pdf_has_a_page_for_each_picture(answers: Callable[..., Any], tmp_path: Path) -> None:
    save_plot(answers("check", "gravity"), tmp_path / "a.pdf", width=0.08)
    assert (tmp_path / "a.pdf").read_bytes().count(b"/Type /Page\n") in (0, 2)
    assert b"/Count 2" in (tmp_path / "a.pdf").read_bytes()


def test_a_file_that_cannot_be_written_is_refused_first(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"expected a file name that ends in \.png, \.svg, \.pdf; write a\.png"):
        check_destination("a.pgn")
    with pytest.raises(OutputError, match="there is no directory"):
        check_destination(tmp_path / "none" / "a.png")
    (tmp_path / "b.svg").mkdir()
    with pytest.raises(OutputError, match="is a directory"):
        check_destination(tmp_path / "b.svg")
    check_destination(tmp_path / "a.PDF")


def test_one_picture_or_all_on_one_sheet(answers: Callable[..., Any]) -> None:
    answer = answers("check", "gravity")
    assert len(plot(answer).get_axes()) == 2
    assert len(plot(answer, "heads").get_axes()) == 1
    assert plot(answer).get_figheight() > plot(answer, "heads").get_figheight()
    with pytest.raises(InputError, match="found 'haeds', expected one of way, heads; write heads"):
        plot(answer, "haeds")


def test_what_has_no_picture_says_so(answers: Callable[..., Any]) -> None:
    with pytest.raises(InputError, match="system: found 'SI', expected one of metric, US, imperial"):
        figures_of(answers("check", "gravity"), system="SI")
    with pytest.raises(RangeError, match="width"):
        figures_of(answers("check", "gravity"), width=100.0)
    nothing = hose(length=6.0, flow=1e-4, bore=0.0125)
    assert figures_of(nothing) == {}
    with pytest.raises(
        InputError, match="answer: found one of hose, with nothing to draw, expected one of check, lift"
    ):
        plot(nothing)


def test_an_answer_that_might_have_been_drawn_is_not_told_to_be_another(answers: Callable[..., Any]) -> None:
    with pytest.raises(InputError, match="nothing to draw, expected one with something in it to draw"):
        plot(replace(answers("check", "gravity"), head_shares=(), profiles=(), curves=()))


def test_curves_are_only_worked_out_where_they_are_asked_for() -> None:
    assert list(figures_of(check(demonstration()))) == ["heads"]


def test_without_matplotlib_the_extra_is_named(
    monkeypatch: pytest.MonkeyPatch, answers: Callable[..., Any], tmp_path: Path
) -> None:
    answer = answers("check", "gravity")
    monkeypatch.setitem(sys.modules, "matplotlib", None)
    for ask in (plot, figures_of, lambda each: save_plot(each, tmp_path / "a.png")):
        with pytest.raises(MissingExtra, match=r"this needs matplotlib: pip install 'hydrokit\[plots\]'"):
            ask(answer)


def test_pictures_load_matplotlib_only_when_they_are_drawn_and_never_pyplot() -> None:
    code = (
        "import sys, hydrokit.sheets.pictures.gallery, hydrokit.sheets, hydrokit as h; a = h.check(h.demonstration());"
        "assert 'matplotlib' not in sys.modules; h.plot(a); assert 'matplotlib.pyplot' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


@pytest.mark.parametrize("picture", ["pump", "pump 2", "pump 12"])
def test_a_picture_may_be_counted(picture: str) -> None:
    check_picture("lift", picture)


@pytest.mark.parametrize("picture", ["", " ", "pump2", "pump ", "pump two", "pump ²", "heads", "heads 1", " 1"])
def test_another_is_none_of_its_question(picture: str) -> None:
    with pytest.raises(InputError, match="expected one of depth, pump"):
        check_picture("lift", picture)
