"""Commands typed wrong: every mistake stands under what was typed, with what is expected and the nearest right word."""

from __future__ import annotations

import json

import pytest

from hydrokit_cli.main import main

LIMIT = ["limit", "--bore", "19mm", "--length", "6m"]

TYPED = {
    "command": (["chek"], "hydrokit", "'chek'", "one of the commands check, ", "hydrokit check"),
    "file instead of a command": (["rig.toml"], "hydrokit", "'rig.toml'", "commands", "hydrokit check rig.toml"),
    "option": (["check", "--unit", "US"], "hydrokit check", "the option --unit", "one of --mode, ", "--units"),
    "option like no other": (["check", "--force"], "hydrokit check", "the option --force", "one of --mode, ", ""),
    "word of an option": (["bore", "--series", "inhc"], "--series", "'inhc'", "one of metric, inch, all", "inch"),
    "system of units": (["check", "--units", "imperal"], "--units", "'imperal'", "one of metric, US", "imperial"),
    "nothing behind an option": (["check", "--mode"], "--mode", "nothing behind it", "--mode NAME", ""),
    "one value of two": (["envelope", "--water", "2C"], "--water", "fewer than 2 values", "--water COLD WARM", "9 °C"),
    "value behind a flag": (["check", "--brief=x"], "--brief", "a value", "--brief alone", ""),
    "missing option": (LIMIT, "hydrokit limit", "no --flow", "--flow FLOW (To be drawn up)", "--flow '8 L/min'"),
    "missing list": (["sweep"], "hydrokit sweep", "no --vary", "--vary ADDRESS=VALUES", "--vary 'lines.filling.hose-1.bore=13 mm"),
    "two of three": (["hose", "--bore", "19mm", "--length", "6m"], "--flow, --bore, --drop", "bore", "exactly two", ""),
    "no value": (["check", "--set", "tanks.near.floor"], "--set", "'tanks.near.floor'", "ADDRESS=VALUE", "tanks.near.floor='1.05 m'"),
    "field of many": (["check", "--set", "height=2 m"], "height", "no such value", "the address of a number", ""),
    "field of one": (["check", "--set", "altitude=2 m"], "altitude", "no such value", "the address of a number", "site.altitude"),
    "word": (["check", "--set", "tanks.near.inlet=top"], "tanks.near.inlet", "a value that is no number", "the address", "inlet_height"),
    "missing argument": (["compare"], "hydrokit compare", "nothing behind it", "FILES", "hydrokit compare FILES..."),
    "too much": (["catalogue", "a", "b"], "hydrokit catalogue", "b, more than it takes", "[NAME]", ""),
    "no number": (["draw", "--persons", "x"], "--persons", "'x'", "a number", "4"),
    "out of range": (["draw", "--persons", "0"], "--persons", "'0'", "at least 0.001", "4"),
    "tolerance": ([*LIMIT, "--flow", "8 ± 1 L/min"], "--flow", "a tolerance in '8 ± 1 L/min'", "without ±", ""),
    "mode": (["check", "--mode", "fillin"], "--mode", "'fillin'", "one of filling, tap", "filling"),
    "line": (["bore", "--line", "intak"], "--line", "'intak'", "an open line with hose", "intake"),
    "hose": (["bore", "--hose", "lines.intake.clean-hos"], "--hose", "clean-hos", "a hose", "lines.intake.clean-hose"),
    "tank": (["fill", "--order", "nere"], "--order", "'nere'", "near, far", "near"),
    "pump": (["lift", "--pump", "lift-pmp"], "--pump", "'lift-pmp'", "pumps that run", "lift-pump"),
    "place": (["match", "--place", "lines.intake.lift-pmp"], "--place", "lift-pmp", "a pump", "lines.intake.lift-pump"),
    "catalogue": (["wear", "--prefilter", "filter-pleatd-20"], "--prefilter", "pleatd", "catalogue", "filter-pleated-20"),
}  # fmt: skip


@pytest.mark.parametrize("kind", TYPED)
def test_told_under_what_was_typed(capsys: pytest.CaptureFixture[str], kind: str) -> None:
    arguments, place, found, expected, instead = TYPED[kind]
    assert main([arguments[0], "--json", *arguments[1:]]) == 2
    out, err = capsys.readouterr()
    (mistake,) = json.loads(out)["mistakes"]
    assert mistake["place"] == place
    assert found in mistake["found"]
    assert expected in mistake["expected"]
    assert instead in mistake["instead"]
    assert bool(instead) is bool(mistake["instead"])
    assert err.startswith("1 mistake; nothing was computed.\n")


def test_an_option_that_lacks_is_shown_as_the_example_of_its_command_has_it(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["report"]) == 2
    told = capsys.readouterr().err
    assert "  found no --out\n" in told
    assert "  write --out rig.html\n" in told
