"""``new --ask``: the questions on a pipe, on a terminal, broken off, and the file that they make."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from pathlib import Path

import pytest

from hydrokit.files import load_rig
from hydrokit.files.questions import QUESTIONS
from hydrokit_cli.asking import _prompt
from hydrokit_cli.main import main

pty = pytest.importorskip("pty")

COMMAND = str(Path(sys.executable).with_name("hydrokit"))
TYPED = [
    "Duck trailer", "river", "?", "250", "250 m", "", "8 NTU", "", "b", "suction-hos-25", "suction-hose-25", "4,5 m",
    "<", "suction-hose-25", "4.5 m", "diaphragm-pump-11", "1.2 m", "y", "n",
]  # fmt: skip
ENOUGH = "\n".join([*TYPED, *[""] * 60])


def _answering(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, typed: str) -> int:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "stdin", io.StringIO(typed))
    return main(["new", "mine.toml", "--ask"])


def test_a_pipe_of_answers_makes_a_file_that_checks(tmp_path: Path) -> None:
    done = subprocess.run(
        [COMMAND, "new", "mine.toml", "--ask"], cwd=tmp_path, input=ENOUGH, capture_output=True, text=True, check=False,
        encoding="utf-8", env={**os.environ, "PYTHONWARNINGS": "error", "COLUMNS": "80"},
    )  # fmt: skip
    assert (done.returncode, done.stdout) == (0, "")
    assert "write 250 m, or with another unit" in done.stderr
    assert "write suction-hose-25" in done.stderr
    assert done.stderr.endswith("mine.toml is written from your answers. Next: hydrokit check mine.toml\n")
    assert max(map(len, done.stderr.splitlines())) <= 80
    rig = load_rig(tmp_path / "mine.toml")
    assert (rig.title, rig.site.altitude, rig.site.turbidity) == ("Duck trailer", 250.0, 8.0)
    assert rig.by_address["lines.filling.suction-hose-25"].length == 4.5
    assert main(["check", str(tmp_path / "mine.toml"), "--brief"]) == 0


def test_an_end_of_the_input_writes_nothing(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _answering(monkeypatch, tmp_path, "Duck trailer\nriv") == 2
    told = capsys.readouterr().err
    assert "1 mistake; nothing was written." in told
    assert "found the end of the input" in told
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("columns", ["1", "2", "19", "-3"])
def test_questions_are_asked_however_narrow_a_terminal_says_it_is(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str], columns: str
) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    assert _answering(monkeypatch, tmp_path, ENOUGH) == 0
    assert "fault" not in capsys.readouterr().err
    assert (tmp_path / "mine.toml").exists()


def test_nothing_is_asked_for_a_file_that_is_there(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "mine.toml"
    path.write_text("mine", encoding="utf-8")
    assert _answering(monkeypatch, tmp_path, ENOUGH) == 2
    told = capsys.readouterr().err
    assert "exists already" in told
    assert "--force" in told
    assert "What do you call it" not in told
    assert path.read_text(encoding="utf-8") == "mine"
    monkeypatch.setattr(sys, "stdin", io.StringIO(ENOUGH))
    assert main(["new", str(path), "--ask", "--force"]) == 0
    assert load_rig(path).title == "Duck trailer"


@pytest.mark.filterwarnings("ignore:This process.*is multi-threaded:DeprecationWarning")
def test_on_a_terminal_ctrl_c_writes_nothing_and_leaves_no_trace(tmp_path: Path) -> None:
    child, terminal = pty.fork()
    if child == 0:
        os.chdir(tmp_path)
        os.execve(COMMAND, [COMMAND, "new", "mine.toml", "--ask"], {**os.environ, "TERM": "xterm", "COLUMNS": "60"})
    written = b""

    def until(words: bytes) -> None:
        nonlocal written
        while words not in written:
            written += os.read(terminal, 4096)

    until(b"[My rig]: ")
    os.write(terminal, b"Duck trailer\n")
    until(b"[pond]: ")
    os.write(terminal, b"\x03")
    _, status = os.waitpid(child, 0)
    os.close(terminal)
    assert os.waitstatus_to_exitcode(status) == 130
    assert b"Traceback" not in written
    assert list(tmp_path.iterdir()) == []


def test_a_question_for_a_part_says_what_to_answer_and_breaks_no_name() -> None:
    asked = next(each for each in QUESTIONS if each.key == "suction.use")
    line = _prompt(asked, {}, 80)
    assert "(catalogue name or own)" in line
    assert "[suction-hose-19]" in line
    assert max(map(len, line.splitlines())) <= 80
