"""Lists as text and as JSON: the rules, the catalogue, one generic part."""

from __future__ import annotations

from json import dumps
from typing import TYPE_CHECKING

from hydrokit.answers import FORMAT
from hydrokit.sheets.page import Page

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hydrokit.catalogue import Entry
    from hydrokit.rules import Rule

__all__ = ["catalogue_json", "json_text", "render_catalogue", "render_part", "render_rules", "rules_json"]


def json_text(**content: object) -> str:
    """Return what a command tells of hydrokit itself as JSON text, with the number of the format."""
    return dumps({"format": FORMAT, **content}, indent=2, ensure_ascii=False, allow_nan=False)


def render_rules(rules: Iterable[Rule], *, width: int = 80, colour: bool = False) -> str:
    """Return every rule with what it asks, what it needs and where its limit comes from."""
    page = Page(width, colour)
    for rule in rules:
        page.say(rule.name, "heading")
        page.say(rule.doc, indent=2)
        page.say(f"Formula: {rule.formula}", indent=2)
        if rule.needs:
            page.say(f"Needs: {', '.join(rule.needs)}.", indent=2)
        page.say(f"Source: {rule.source}.", indent=2)
        if rule.advisory:
            page.say("Advice only: passing it is close, never a failure.", indent=2)
    return page.text()


def rules_json(rules: Iterable[Rule]) -> str:
    """Return every rule as JSON text."""
    return json_text(
        rules=[
            {
                "name": rule.name,
                "doc": rule.doc,
                "formula": rule.formula,
                "needs": list(rule.needs),
                "source": rule.source,
                "advisory": rule.advisory,
            }
            for rule in rules
        ]
    )


def render_catalogue(entries: Iterable[Entry], *, width: int = 80, colour: bool = False) -> str:
    """Return every generic part by name, kind and the number of its source, then each source once."""
    page = Page(width, colour)
    listed = list(entries)
    numbers = {source: str(number) for number, source in enumerate(dict.fromkeys(each.source for each in listed), 1)}
    page.table(["name", "kind", "source"], [[each.name, each.kind, numbers[each.source]] for each in listed])
    page.heading("Where the figures come from")
    page.table(["source", ""], [[number, source] for source, number in numbers.items()])
    return page.text()


def render_part(entry: Entry, *, width: int = 80, colour: bool = False) -> str:
    """Return one generic part with every figure it states."""
    page = Page(width, colour)
    page.say(f"{entry.name}, a generic {entry.kind}", "heading")
    page.table(["field", "value"], [[name, _plain(value)] for name, value in entry.fields.items()])
    page.say(f"Source: {entry.source}.")
    return page.text()


def catalogue_json(entries: Iterable[Entry]) -> str:
    """Return generic parts as JSON text, their figures as a rig file writes them."""
    return json_text(
        parts=[
            {"name": entry.name, "kind": entry.kind, "fields": dict(entry.fields), "source": entry.source}
            for entry in entries
        ]
    )


def _plain(value: object) -> str:
    """Return a field as one would say it; a curve as the second of each pair at the first."""
    if not isinstance(value, list):
        return str(value)
    pairs = value if isinstance(value[0], list) else [value]
    return "; ".join(f"{y} at {x}" for x, y in pairs)
