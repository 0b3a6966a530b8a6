"""The command ``sweep``: asked as one types it, stopped half way, and wrong."""

from __future__ import annotations

import json
import os
import resource
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from hydrokit.files import demonstration
from hydrokit.studies import sweep
from hydrokit_cli.main import main

if TYPE_CHECKING:
    from collections.abc import Callable

    Runs = Callable[..., subprocess.CompletedProcess[str]]

COMMAND = Path(sys.executable).with_name("hydrokit")
BORE, HEIGHT = "lines.intake.delivery-hose.bore", "lines.intake.lift-pump.height"
FEW = ("--vary", f"{BORE}=8 mm, 12.5 mm", "--vary", f"{HEIGHT}=1 m to 5 m in 5")
LONG = ("sweep", "rig.toml", "--vary", "lines.intake.hose-1.bore=13 mm to 25 mm in 110",
        "--vary", "lines.intake.hose-1.length=2 m to 9 m in 150", "--out", "a.csv")  # fmt: skip


def _said(text: str) -> str:
    return " ".join(text.split())


def test_it_is_that_of_the_library(capsys: pytest.CaptureFixture[str]) -> None:
    code = main(["sweep", *FEW, "--fill-time", "--best", "3", "--json"])
    data = json.loads(capsys.readouterr().out)
    wanted = {BORE: "8 mm, 12.5 mm", HEIGHT: "1 m to 5 m in 5"}
    assert code == 0
    assert data == json.loads(sweep(demonstration(), wanted, fill_time=True, shown=3).to_json())


def test_the_answer_comes_first(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["sweep", *FEW]) == 0
    text = capsys.readouterr().out
    told = _said(text)
    assert "Mill-pond trailer, filling: 10 variants" in told
    assert "Of 10 variants 8 keep every limit that could be judged" in told
    assert (
        "Best: bore of delivery-hose (intake) 12.5 mm, height of lift-pump (intake) 1 m; 7.42 L/min then arrives."
        in told
    )
    assert "What decides the variants that fail" in told
    assert "pump inlet vacuum lift-pump (intake) 2" in told
    assert "It never shows that water is safe to drink" in told
    assert max(map(len, text.splitlines())) <= 80


def test_every_variant_fails(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["sweep", "--vary", f"{HEIGHT}=8 m, 9 m"]) == 1
    told = _said(capsys.readouterr().out)
    assert "Not one of 2 variants keeps every limit." in told
    assert "The least bad: height of lift-pump (intake) 8 m" in told


@pytest.mark.parametrize("ending", ["csv", "jsonl", "parquet"])
def test_a_file_by_its_ending(tmp_path: Path, capsys: pytest.CaptureFixture[str], ending: str) -> None:
    path = tmp_path / f"a.{ending}"
    assert main(["sweep", *FEW, "--out", str(path)]) == 0
    assert "Every variant is in" in capsys.readouterr().out
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--vary", f"{HEIGHT}"], "ADDRESS=VALUES"),
        (["--vary", "lines.intake.lift-pump.hieght=1 m"], "lines.intake.lift-pump.height"),
        (["--vary", f"{HEIGHT}=1 m", "--vary", f"{HEIGHT}=2 m"], "twice"),
        (["--vary", f"{HEIGHT}=1 m to 2 m"], "step 0.25 m"),
        (["--vary", f"{HEIGHT}=2 m to 1 m step 0.5 m"], "step -0.5 m"),
        (["--vary", f"{HEIGHT}="], "no value at all"),
        (["--vary", f"{BORE}=-8 mm"], BORE),
        (["--vary", f"{HEIGHT}=1 m", "--set", f"{HEIGHT}=2 m"], "one or the other"),
        (["--vary", f"{HEIGHT}=1 m", "--out", "a.xlsx"], "--out"),
        (["--vary", f"{HEIGHT}=1 m to 5 m in 20000"], "20000 variants and no file"),
        (["--vary", f"{HEIGHT}=1 m", "--mode", "filing"], "filling"),
        (["--vary", f"{HEIGHT}=1 m", "--out", "/nonesuch/a.csv"], "there is no directory"),
        (["--vary", f"{HEIGHT}=1 m", "--workers", "0"], "--workers"),
        ([], "--vary"),
    ],
)
def test_wrong_questions(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], arguments: list[str], told: str
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["sweep", *arguments, "--json"]) == 2
    printed = capsys.readouterr()
    assert told in _said(printed.err)
    assert json.loads(printed.out)["mistakes"]
    assert list(tmp_path.iterdir()) == []


def test_a_device_is_no_file_to_write_over(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "a.csv").symlink_to("/dev/full")
    assert main(["sweep", *FEW, "--out", str(tmp_path / "a.csv")]) == 2
    assert "exists already" in _said(capsys.readouterr().err)


def _begin(folder: Path, *more: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [COMMAND, *LONG, *more], cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, start_new_session=True
    )


def _stop(folder: Path, number: int, *more: str) -> tuple[int, str]:
    """Begin or go on with a long sweep, send a signal once a chunk more is kept; return the exit code and what was said."""
    process = _begin(folder, *more)
    chunks = folder / "a.csv.unfinished"
    before = len(list(chunks.glob("chunk-*")))
    end = time.monotonic() + 60.0
    while len(list(chunks.glob("chunk-*"))) == before:
        assert process.poll() is None, process.communicate()
        assert time.monotonic() < end
        time.sleep(0.005)
    os.killpg(process.pid, number) if number == signal.SIGINT else process.send_signal(number)
    said = process.communicate(timeout=60)[1].decode()
    return process.returncode, said


@pytest.mark.slow
def test_killed_or_interrupted_it_goes_on_and_writes_the_same_file(
    hydrokit: Runs, rig_file: Path, tmp_path: Path
) -> None:
    del rig_file
    assert hydrokit(*LONG).returncode == 0
    path, folder = tmp_path / "a.csv", tmp_path / "a.csv.unfinished"
    whole = path.read_bytes()
    assert whole.count(b"\n") == 110 * 150 + 1
    path.unlink()
    killed, _ = _stop(tmp_path, signal.SIGKILL)
    assert (killed, path.exists(), folder.is_dir()) == (-signal.SIGKILL, False, True)
    interrupted, said = _stop(tmp_path, signal.SIGINT, "--workers", "2")
    assert (interrupted, path.exists()) == (130, False)
    assert "Traceback" not in said
    assert "the same command goes on from there" in _said(said)
    kept = len(list(folder.glob("chunk-*")))
    assert 2 <= kept < 5  # of 110 x 150 variants, 4096 each
    assert hydrokit(*LONG).returncode == 0
    assert path.read_bytes() == whole
    assert not folder.exists()


@pytest.mark.slow
def test_a_full_disk_leaves_nothing_but_what_is_done(rig_file: Path, tmp_path: Path) -> None:
    del rig_file

    def no_room() -> None:  # a file larger than this cannot be written, as on a full disk
        resource.setrlimit(resource.RLIMIT_FSIZE, (200_000, 200_000))

    done = subprocess.run(
        [COMMAND, *LONG], cwd=tmp_path, capture_output=True, text=True, preexec_fn=no_room, check=False, timeout=60
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert "cannot be written: file too large" in _said(done.stderr)
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "a.csv").exists()
    assert [path.name for path in (tmp_path / "a.csv.unfinished").iterdir()] == ["manifest.json"]
