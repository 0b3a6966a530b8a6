from __future__ import annotations

import json
import re

from hydrokit.catalogue import entry, generic_parts
from hydrokit.errors import Mistake
from hydrokit.rules import RULES
from hydrokit.sheets import catalogue_json, render_catalogue, render_mistakes, render_part, render_rules, rules_json


def test_rules_say_when_they_only_advise() -> None:
    text = render_rules(RULES)
    assert text.count("Advice only") == sum(rule.advisory for rule in RULES) > 0
    assert json.loads(rules_json(RULES))["format"] == 1


def test_a_curve_is_said_as_drop_at_flow() -> None:
    text = render_part(entry("filter-sediment-5"))
    assert "3.5 kPa at 4 L/min; 8 kPa at 8 L/min; 18 kPa at 15 L/min" in text
    assert "70 kPa at 10 L/min" in text


def test_the_catalogue_names_the_source_of_each_once() -> None:
    names, sources = render_catalogue(generic_parts().values(), width=700).split("\nWhere the figures come from\n")
    by_number = dict(re.findall(r"^ *(\d+)  (.+)$", sources, re.MULTILINE))
    rows = {row.split()[0]: row.split()[-1] for row in names.splitlines()[2:] if row}
    assert len(by_number) < len(generic_parts())
    for each in generic_parts().values():
        assert by_number[rows[each.name]].strip() == each.source
        assert sources.count(f"  {each.source}\n") == 1
    assert len(json.loads(catalogue_json(generic_parts().values()))["parts"]) == len(generic_parts())


def test_mistakes_are_counted_placed_and_answered() -> None:
    first = Mistake("lines.intake.hose-1.boer", "'boer'", "one of bore, length", "bore", 12)
    text = render_mistakes([first, Mistake("", "nothing", "a rig")], file="rig.toml")
    assert text == (
        "2 mistakes in rig.toml; nothing was computed.\n"
        "line 12, lines.intake.hose-1.boer\n  found 'boer'\n  expected one of bore, length\n  write bore\n"
        "input\n  found nothing\n  expected a rig\n"
    )
