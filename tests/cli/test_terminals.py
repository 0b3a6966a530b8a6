"""On terminals: their width, their colours, their encodings."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from collections.abc import Callable

    Runs = Callable[..., subprocess.CompletedProcess[str]]

pty = pytest.importorskip("pty")

HEADS = {"name", "limit", "part", "change", "after"}
"""Heads of first columns, which a table too wide for the terminal does without."""
ESCAPE = "\x1b["


def _on_terminal(*arguments: str, columns: int = 80, **environment: str) -> str:
    """Run the command on a pseudo-terminal and return what it wrote there."""
    command = str(Path(sys.executable).with_name("hydrokit"))
    child, terminal = pty.fork()
    if child == 0:
        kept = {name: value for name, value in os.environ.items() if name not in {"NO_COLOR", "FORCE_COLOR"}}
        os.execve(command, [command, *arguments], {**kept, "TERM": "xterm", "COLUMNS": str(columns), **environment})
    written = b""
    while True:
        try:
            piece = os.read(terminal, 65536)
        except OSError:  # how Linux says that the child has closed its end
            break
        if not piece:
            break
        written += piece
    os.close(terminal)
    os.waitpid(child, 0)
    return written.decode().replace("\r\n", "\n")


def _plain(text: str) -> str:
    return re.sub(r"\x1b\[[0-9;]*m", "", text)


@pytest.mark.filterwarnings("ignore:This process.*is multi-threaded:DeprecationWarning")
def test_colour_only_repeats_what_the_words_say(hydrokit: Runs) -> None:
    failing = ("check", "--set", "lines.intake.lift-pump.height=9 m")
    coloured = _on_terminal(*failing)
    assert ESCAPE in coloured
    assert _plain(coloured) == hydrokit(*failing).stdout
    assert "fails: " in _plain(coloured)


@pytest.mark.filterwarnings("ignore:This process.*is multi-threaded:DeprecationWarning")
@pytest.mark.parametrize("environment", [{"NO_COLOR": "1"}, {"TERM": "dumb"}])
def test_no_colour_where_it_is_not_wanted(environment: dict[str, str]) -> None:
    assert ESCAPE not in _on_terminal("check", **environment)


def test_no_colour_off_terminals(hydrokit: Runs) -> None:
    assert ESCAPE not in hydrokit("check", TERM="xterm").stdout


@pytest.mark.parametrize(
    "arguments",
    [
        ("check", "--all", "--walk"),
        ("check", "--set", "lines.intake.lift-pump.height=9 m", "--units", "imperial"),
        ("catalogue",),
        ("rules",),
    ],
)
def test_everything_fits_and_nothing_is_cut(here: Runs, arguments: tuple[str, ...]) -> None:
    wide = here(*arguments, COLUMNS="100").stdout
    words = set(re.findall(r"[A-Za-z][\w-]{2,}", wide)) - HEADS
    for columns in (30, 40, 60, 80, 200):
        text = here(*arguments, COLUMNS=str(columns)).stdout
        assert max(map(len, text.splitlines())) <= min(columns, 100), columns
        assert "…" not in text, columns
        assert words <= set(re.findall(r"[A-Za-z][\w-]{2,}", text)), columns


@pytest.mark.parametrize(("encoding", "degrees"), [("latin-1", "9 °C"), ("ascii", "9 deg C")])
def test_a_terminal_that_cannot_show_a_letter_shows_another(tmp_path: Path, encoding: str, degrees: str) -> None:
    command = Path(sys.executable).with_name("hydrokit")
    environment = {**os.environ, "PYTHONIOENCODING": encoding, "PYTHONUTF8": "0"}
    for arguments in (["check"], ["check", "--json"]):
        done = subprocess.run([command, *arguments], cwd=tmp_path, env=environment, capture_output=True, check=False)
        assert done.returncode == 0
        if "--json" in arguments:
            assert json.loads(done.stdout.decode("utf-8"))["title"] == "Mill-pond trailer"
        else:
            text = done.stdout.decode(encoding)
            assert degrees in text
            assert "\n-------" in text  # the rule under the heads of a table
            assert "?" not in text


def test_mistakes_are_told_in_ascii_as_well(hydrokit: Runs) -> None:
    done = hydrokit("check", "--set", "site.water_temperature=9 V", PYTHONIOENCODING="ascii")
    assert done.returncode == 2
    assert "write 9 deg C" in done.stderr


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore:This process.*is multi-threaded:DeprecationWarning")
def test_ctrl_c_in_long_work_leaves_no_mess(tmp_path: Path) -> None:
    command = str(Path(sys.executable).with_name("hydrokit"))
    child, terminal = pty.fork()
    if child == 0:
        os.chdir(tmp_path)
        os.execve(command, [command, "bore", "--series", "all"], {**os.environ, "TERM": "xterm", "COLUMNS": "80"})
    written = b""
    while b"Trying bores" not in written:  # the bar shows that the work has begun
        written += os.read(terminal, 4096)
    os.write(terminal, b"\x03")
    with suppress(OSError):  # how Linux says that the child has closed its end
        while piece := os.read(terminal, 4096):
            written += piece
    _, status = os.waitpid(child, 0)
    os.close(terminal)
    assert os.waitstatus_to_exitcode(status) == 130
    assert b"Traceback" not in written
    assert "Mill-pond" not in written.decode()
    assert written.count(b"\x1b[?25l") == written.count(b"\x1b[?25h")  # the cursor is shown again
