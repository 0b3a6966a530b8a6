"""Files that are wrong: exit 2, every mistake told, no traceback."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    import subprocess
    from collections.abc import Callable
    from pathlib import Path

    Runs = Callable[..., subprocess.CompletedProcess[str]]

TEXTS = {
    "misspelt key": ('bore = "19 mm"', 'boer = "19 mm"', "lines.intake.hose-1.boer", "'boer'", "bore"),
    "wrong unit": ('"6 m"', '"6 kg"', "lines.intake.hose-1.length", "kg is a unit of mass", '"6 m"'),
    "missing end": ('to = "near"', 'to = "neer"', "lines.intake.to", "'neer'", "near"),
    "two parts with one name": (
        'height = "1.2 m"',
        'height = "1.2 m", name = "hose-1"',
        "lines.intake",
        "2 parts called hose-1",
        "",
    ),
    "negative bore": ('"19 mm"', '"-19 mm"', "lines.intake.hose-1.bore", "'-19 mm'", '"19 mm"'),
    "curve with one point": (
        'use = "diaphragm-pump-11"',
        'part = "diaphragm pump", points = [["8 L/min", "1 bar"]]',
        "lines.intake.diaphragm-pump-1.points",
        "1 point",
        '[["8 L/min", "1.5 bar"], …]',
    ),
    "unknown part": ('part = "hose"', 'part = "hoze"', "lines.intake.part-1.part", "'hoze'", '"hose"'),
    "not TOML": ("format = 1", "format = = 1", "rig.toml", "a line that cannot be read", ""),
}


def _told(here: Runs, name: str) -> list[dict[str, object]]:
    done = here("check", name, "--json")
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    document = json.loads(done.stdout)
    assert (document["format"], document["file"]) == (1, name)
    assert document["mistakes"]
    for mistake in document["mistakes"]:
        assert set(mistake) == {"place", "line", "found", "expected", "instead"}
        assert mistake["place"]
        assert mistake["found"]
        assert mistake["expected"]
        for word in (mistake["place"], mistake["instead"]):
            assert word.split(" ")[0] in done.stderr
    return list(document["mistakes"])


@pytest.mark.parametrize("kind", TEXTS)
def test_texts(here: Runs, rig_file: Path, small: str, kind: str) -> None:
    old, new, place, found, instead = TEXTS[kind]
    assert old in small
    rig_file.write_text(small.replace(old, new, 1), encoding="utf-8")
    mistakes = _told(here, rig_file.name)
    mistake = next(each for each in mistakes if str(each["place"]).endswith(place))
    assert found in str(mistake["found"])
    assert mistake["instead"] == instead


@pytest.mark.parametrize(
    ("content", "found", "expected"),
    [
        (b"", "nothing, the file is empty", "a rig"),
        (b"# " + 5_000_000 * b"x", "more than 1 MiB", "at most 1 MiB"),
        (b'format = 1\ntitle = "\xff"', "the byte 0xFF, which is not UTF-8", "UTF-8"),
    ],
    ids=["empty", "too long", "not UTF-8"],  # they go into the environment, which holds no 5 MB
)
def test_contents(here: Runs, tmp_path: Path, content: bytes, found: str, expected: str) -> None:
    path = tmp_path / "some.toml"
    path.write_bytes(content)
    (mistake,) = _told(here, path.name)
    assert found in str(mistake["found"])
    assert expected in str(mistake["expected"])


def test_a_directory_and_nothing_at_all(hydrokit: Runs) -> None:
    (directory,) = _told(hydrokit, ".")
    assert directory["found"] == "a directory"
    (missing,) = _told(hydrokit, "nowhere.toml")
    assert missing["found"] == "no such file"


def test_all_mistakes_of_a_file_stand_on_standard_error(hydrokit: Runs, rig_file: Path, small: str) -> None:
    rig_file.write_text(small.replace("60 L", "60 bar").replace('"6 m"', '"6,5 m"').replace("near]", "nearr]"), "utf-8")
    done = hydrokit("check", rig_file.name)
    assert (done.returncode, done.stdout) == (2, "")
    lines = done.stderr.splitlines()
    assert lines[0].endswith("mistakes in rig.toml; nothing was computed.")
    assert "line 5, tanks.nearr.volume" in lines
    assert "line 12, lines.intake.hose-1.length" in lines
    assert '  write "6.5 m"' in lines or "  write 6.5 m" in lines
