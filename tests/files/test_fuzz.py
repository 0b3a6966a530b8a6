"""Files and command lines that are wrong, torn or unlikely, through the whole program; ``make fuzz`` runs a hundred thousand."""

from __future__ import annotations

import json
import math
import time
import warnings
from random import Random
from typing import TYPE_CHECKING, TypeVar

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hydrokit.errors import InputError
from hydrokit.files import load_rig, read_pumps, read_readings, read_rig, write_rig
from hydrokit_cli import exits
from tests.fuzz.attacks import QUANTITIES
from tests.fuzz.cases import drawn_case
from tests.fuzz.documents import PUMPS, READINGS, bases, document
from tests.fuzz.judge import Case, Outcome, Place, faults_of, run

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

Read = TypeVar("Read")
few = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large], database=None)
GENERATORS = st.randoms(use_true_random=False)


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Place]:
    with warnings.catch_warnings():
        warnings.simplefilter("error", RuntimeWarning)
        yield Place(tmp_path_factory.mktemp("fuzz").resolve())


@settings(few, max_examples=60)
@given(random=GENERATORS)
def test_any_command_line_about_any_file(place: Place, random: Random) -> None:
    case = drawn_case(random, quick=True)
    assert faults_of(case, run(case, place)) == []


@pytest.mark.parametrize("seed", range(3))
def test_the_cases_of_the_long_run(place: Place, seed: int) -> None:
    for number in range(10_000_000 + 40 * seed, 10_000_040 + 40 * seed):
        case = drawn_case(Random(number), quick=True)
        assert faults_of(case, run(case, place)) == [], number


def read_or_refused(read: Callable[[str], Read], text: str) -> Read | None:
    """Return what is read; None where it is refused, in printable words that say what was found and expected."""
    try:
        return read(text)
    except InputError as error:
        told = error
    assert told.mistakes
    assert all(mistake.found and mistake.expected for mistake in told.mistakes)
    assert str(told).replace("\n", "").isprintable()
    return None


@settings(few, max_examples=100)
@given(GENERATORS)
def test_a_file_changed_in_its_structure_is_refused_or_reads_back(random: Random) -> None:
    rig = read_or_refused(read_rig, document(random, random.choice(bases()[3:])))
    assert rig is None or read_rig(write_rig(rig)) == rig


@settings(few, max_examples=60)
@given(GENERATORS)
def test_lists_of_pumps_and_readings(random: Random) -> None:
    read_or_refused(read_pumps, document(random, PUMPS))
    read_or_refused(read_readings, document(random, READINGS))


@settings(few, max_examples=150)
@given(st.text(max_size=300))
def test_any_text_is_read_or_refused(text: str) -> None:
    read_or_refused(read_rig, text)
    read_or_refused(read_rig, f"format = 1\n{text}")


@settings(few, max_examples=60)
@given(st.text(max_size=40))
def test_any_path_is_loaded_or_refused(path: str) -> None:
    read_or_refused(load_rig, path)


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_what_attacks_units_is_a_number_or_refused(quantity: str) -> None:
    surface = json.dumps(quantity)  # its escapes are TOML's
    text = (
        f"format = 1\n[sources.a]\nsurface = {surface}\n[outlets.b]\nheight = '0 m'\n[lines.c]\nfrom = 'a'\nto = 'b'\n"
    )
    rig = read_or_refused(read_rig, f"{text}parts = [{{ part = 'hose', bore = '19 mm', length = '1 m' }}]\n")
    assert rig is None or math.isfinite(rig.sources["a"].surface)


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 10_000 + "]" * 10_000,
        "a = " + "{a=" * 10_000 + "1" + "}" * 10_000,
        ".".join(["a"] * 10_000) + " = 1",
        "lines = [" + "0," * 500_000 + "]",
        "# " + "x" * 10_000_000,
        "a = " + "9" * 900_000,
        'title = "' + "x" * 900_000 + '"',
        "[lines.a]\nparts = [" + '{ part = "hose" },' * 5000 + "]",
    ],
    ids=["arrays", "tables", "dots", "long array", "10 MB", "digits", "letters", "mistakes"],
)
def test_what_is_huge_is_refused_at_once(place: Place, text: str) -> None:
    (place.work / "huge.toml").write_text(f"format = 1\n{text}\n", "utf-8")
    took = []
    for _ in range(2):  # whichever was less held up by what else the machine does
        start = time.process_time()
        with pytest.raises(InputError):
            load_rig(place.work / "huge.toml")
        took.append(time.process_time() - start)
    assert min(took) < 1.0
    (place.work / "huge.toml").unlink()


def test_a_late_refusal_is_told_unless_a_stream_that_takes_nothing_is_its_cause() -> None:
    late = Outcome(exits.WRONG_INPUT, b"", b"1 mistake", 4.0)
    assert faults_of(Case(("bore",), {}), late) == ["refused after 4.0 s"]
    assert faults_of(Case(("bore",), {}, ends=("full", "")), late) == []


def test_a_file_full_of_mistakes_tells_them_all() -> None:
    items = "".join(f'  {{ part = "hose", bore = "{i} kg", lenght{i} = 3 }},\n' for i in range(500))
    text = f'format = 1\n[sources.pond]\nsurface = "0 m"\n[lines.intake]\nfrom = "pond"\nto = "near"\nparts = [\n{items}]\n'
    with pytest.raises(InputError) as caught:
        read_rig(text)
    assert len(caught.value.mistakes) >= 1500
