"""Shell completion, asked as a shell asks for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click
import pytest
from click.shell_completion import BashComplete

from hydrokit.files import demonstration
from hydrokit.rig import spec_at
from hydrokit_cli.listing import COMMANDS
from hydrokit_cli.main import hydrokit as command

if TYPE_CHECKING:
    import subprocess
    from collections.abc import Callable
    from pathlib import Path

    Runs = Callable[..., subprocess.CompletedProcess[str]]


def _completed(*words: str) -> list[str]:
    *done, begun = words
    shell = BashComplete(command, {}, "hydrokit", "_HYDROKIT_COMPLETE")
    return [item.value for item in shell.get_completions(done, begun)]


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        (["dia"], ["diagnose"]),
        ([""], list(COMMANDS)),
        (["check", "--wa"], ["--walk"]),
        (["check", "--units", "u"], ["US"]),
        (["check", "--mode", "t"], ["tap"]),
        (["check", "--set", "lines.intake.lift-pump.hei"], ["lines.intake.lift-pump.height="]),
        (["bore", "--line", "to-"], ["to-near", "to-far", "to-tap"]),
        (["bore", "--hose", "lines.intake.s"], ["lines.intake.suction-hose"]),
        (["lift", "--pump", ""], ["lines.intake.lift-pump", "lines.to-tap.tap-pump"]),
        (["fill", "--order", ""], ["near", "far"]),
        (["wear", "--prefilter", "filter-p"], ["filter-pleated-20"]),
        (["catalogue", "suction-hose-3"], ["suction-hose-31-5"]),
        (["check", "nowhere.toml", "--mode", ""], []),
    ],
)
def test_what_goes_on_from_what_was_typed(words: list[str], expected: list[str]) -> None:
    assert _completed(*words) == expected


def test_names_are_those_of_the_rig_on_the_line(rig_file: Path) -> None:
    assert _completed("check", str(rig_file), "--mode", "") == ["as drawn"]
    assert _completed("check", str(rig_file), "--set", "tanks.near.vol") == ["tanks.near.volume="]
    assert _completed("compare", str(rig_file), "--set", "sources.pond.su") == ["sources.pond.surface="]


def test_every_address_that_is_offered_can_be_set() -> None:
    offered = _completed("check", "--set", "")
    assert len(offered) > 300
    for address in offered:
        spec_at(demonstration(), address.removesuffix("="))


def test_a_shell_is_answered(hydrokit: Runs) -> None:
    asked = {"COMP_WORDS": "hydrokit comp", "COMP_CWORD": "1", "_HYDROKIT_COMPLETE": "bash_complete"}
    done = hydrokit(**asked)
    assert (done.returncode, done.stdout, done.stderr) == (0, "plain,compare\n", "")
    for shell in ("bash", "zsh", "fish"):
        assert "_HYDROKIT_COMPLETE" in hydrokit(_HYDROKIT_COMPLETE=f"{shell}_source").stdout
    assert isinstance(command, click.Group)
