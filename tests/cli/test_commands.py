"""The other commands, help, exit codes, and how the command behaves among others in a shell."""

from __future__ import annotations

import importlib
import json
import os
import shlex
import signal
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import TYPE_CHECKING

import click
import pytest

import hydrokit as library
import hydrokit_cli.commands
from hydrokit.catalogue import generic_parts
from hydrokit.files import read_rig, schema, starter
from hydrokit.rules import RULES
from hydrokit_cli import exits
from hydrokit_cli.listing import COMMANDS
from hydrokit_cli.main import main

if TYPE_CHECKING:
    from collections.abc import Callable

    Runs = Callable[..., subprocess.CompletedProcess[str]]


def test_new_writes_the_starter_and_never_over_a_file(hydrokit: Runs, tmp_path: Path) -> None:
    first = hydrokit("new", "mine.toml")
    path = tmp_path / "mine.toml"
    assert (first.returncode, first.stdout) == (0, "")
    assert "hydrokit check mine.toml" in first.stderr
    assert path.read_text(encoding="utf-8") == starter()
    path.write_text("mine", encoding="utf-8")
    second = hydrokit("new", "mine.toml")
    assert second.returncode == 2
    assert "exists already" in second.stderr
    assert path.read_text(encoding="utf-8") == "mine"
    assert hydrokit("new", "mine.toml", "--force").returncode == 0
    assert read_rig(path.read_text(encoding="utf-8")).title == "My rig"


def test_new_where_nothing_can_be_written(hydrokit: Runs) -> None:
    done = hydrokit("new", "no/such/folder/rig.toml")
    assert done.returncode == 2
    assert "cannot be written" in " ".join(done.stderr.split())
    assert "Traceback" not in done.stderr


def test_the_starter_checks(hydrokit: Runs, starter_file: Path) -> None:
    done = hydrokit("check", starter_file.name)
    assert done.returncode in {0, 1}
    assert done.stdout.startswith("My rig, filling\n")


def test_schema_is_that_of_the_library(hydrokit: Runs) -> None:
    assert json.loads(hydrokit("schema").stdout) == schema()


def test_rules_tell_each_name_need_and_source(here: Runs) -> None:
    text = " ".join(here("rules").stdout.split())
    listed = json.loads(here("rules", "--json").stdout)["rules"]
    assert [rule["name"] for rule in listed] == [rule.name for rule in RULES]
    for rule in RULES:
        assert rule.doc in text
        assert f"Source: {rule.source}." in text
        assert all(need in text for need in rule.needs)


def test_catalogue_lists_all_and_shows_one(here: Runs) -> None:
    text = here("catalogue").stdout
    assert [name for name in generic_parts() if name not in text] == []
    one = here("catalogue", "filter-sediment-5").stdout
    assert "8 kPa at 8 L/min" in one
    assert "Source: invented" in one
    (part,) = json.loads(here("catalogue", "filter-sediment-5", "--json").stdout)["parts"]
    assert part["fields"] == dict(generic_parts()["filter-sediment-5"].fields)
    wrong = here("catalogue", "hose19")
    assert wrong.returncode == 2
    assert "write hose-19" in wrong.stderr


def test_help_lists_every_command_as_it_describes_itself(hydrokit: Runs) -> None:
    files = {path.stem for path in Path(hydrokit_cli.commands.__path__[0]).glob("[a-z]*.py")}
    assert set(COMMANDS) == files
    text = " ".join(hydrokit("--help").stdout.split())
    for name, line in COMMANDS.items():
        command = importlib.import_module(f"hydrokit_cli.commands.{name}").command
        assert command.name == name
        assert command.help.partition("\n")[0] == line
        assert f"{name} {line}" in text
    assert hydrokit().stdout == hydrokit("--help").stdout == hydrokit("-h").stdout


def _example(text: str) -> list[str]:
    (line,) = [each.strip() for each in text.partition("Example:")[2].splitlines() if each.strip()]
    return shlex.split(line.partition(" > ")[0])


@pytest.mark.parametrize("name", ["", *COMMANDS])
def test_the_example_in_each_help_text_works(hydrokit: Runs, starter_file: Path, name: str) -> None:
    assert starter_file.exists()
    text = hydrokit(*name.split(), "--help").stdout
    program, *arguments = _example(text)
    assert program == "hydrokit"
    assert hydrokit(*arguments).returncode in {0, 1}


def test_version(hydrokit: Runs) -> None:
    assert hydrokit("--version").stdout == f"hydrokit {library.__version__}\n"


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["chek"], "write hydrokit check"),
        (["check", "--unit", "US"], "--units"),
        (["check", "--units", "Roman"], "metric"),
        (["check", "a", "b"], "b, more than it takes"),
        (["new"], "nothing behind it"),
    ],
)
def test_commands_typed_wrong(here: Runs, arguments: list[str], told: str) -> None:
    done = here(*arguments)
    assert (done.returncode, done.stdout) == (2, "")
    assert told in " ".join(done.stderr.split())
    assert json.loads(here(*arguments, "--json").stdout)["mistakes"]


def test_run_as_a_module(hydrokit: Runs, tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "hydrokit_cli", "check"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    assert (done.returncode, done.stdout) == (0, hydrokit("check").stdout)


def test_an_internal_fault_is_owned_up_to_in_one_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("nought\nmore")

    monkeypatch.setattr(click.Group, "main", broken)
    assert main(["check", "my rig.toml"]) == exits.FAULT
    out, err = capsys.readouterr()
    assert out == ""
    assert err == (
        "Internal fault, not yours: ZeroDivisionError: nought. Please report it with the command: "
        "hydrokit check 'my rig.toml'\n"
    )


def test_no_answer_reached_is_no_fault_of_the_input(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def unsettled(*_: object, **__: object) -> None:
        raise library.SolverError("line intake did not settle")

    monkeypatch.setattr(click.Group, "main", unsettled)
    assert main(["check"]) == exits.FAULT
    assert capsys.readouterr().err == "No answer was reached: line intake did not settle\n"


def test_exit_codes_are_those_that_scripts_rely_on() -> None:
    assert {name: getattr(exits, name) for name in exits.__all__} == {
        "FAILS": 1,
        "FAULT": 3,
        "HOLDS": 0,
        "INTERRUPTED": 130,
        "WRONG_INPUT": 2,
    }


def test_interrupted(tmp_path: Path) -> None:
    code = (
        "import os, signal, hydrokit_cli.listing as listing\n"
        "listing.Commands.get_command = lambda *_: os.kill(os.getpid(), signal.SIGINT)\n"
        "from hydrokit_cli.main import main\n"
        "raise SystemExit(main(['check']))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=False, timeout=60
    )
    assert signal.SIGINT
    assert done.returncode == 130
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("module", ["click", "hydrokit.errors", "hydrokit_cli.listing", "numpy"])
def test_interrupted_while_it_loads(tmp_path: Path, module: str) -> None:
    code = (
        "import builtins, os, signal, sys\n"
        "load = builtins.__import__\n"
        "def stopped(name, *rest):\n"
        f"    if name == {module!r}: os.kill(os.getpid(), signal.SIGINT)\n"
        "    return load(name, *rest)\n"
        "builtins.__import__ = stopped\n"
        "sys.argv = ['hydrokit', 'check']\n"
        "from hydrokit_cli.entry import run\n"
        "run()"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=False, timeout=60
    )
    assert (done.returncode, done.stdout, done.stderr.strip()) == (130, "", "")


@pytest.mark.parametrize("arguments", [["check"], ["check", "--json"], ["catalogue"], ["rules"], ["schema"]])
def test_a_closed_pipe_is_quiet(tmp_path: Path, arguments: list[str]) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    command = Path(sys.executable).with_name("hydrokit")
    with os.fdopen(writing, "wb") as pipe:
        done = subprocess.run(
            [command, *arguments], cwd=tmp_path, stdout=pipe, stderr=subprocess.PIPE, text=True, check=False
        )
    assert done.returncode == 0
    assert "Traceback" not in done.stderr
    assert "Broken" not in done.stderr


def test_the_script_is_the_one_that_the_project_names() -> None:
    project = tomllib.loads((Path(__file__).parents[2] / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["scripts"] == {"hydrokit": "hydrokit_cli.entry:run"}
