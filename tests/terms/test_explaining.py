from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from hydrokit.answers import Verdict
from hydrokit.errors import InputError
from hydrokit.files import demonstration
from hydrokit.parts import END_KINDS, PART_KINDS
from hydrokit.parts.describing import described
from hydrokit.rig import values_of
from hydrokit.rules import RULES
from hydrokit.terms import all_terms, explain, words_by_group

if TYPE_CHECKING:
    from hydrokit.rules import Rule


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_every_rule_is_explained_from_the_registry(rule: Rule) -> None:
    entry = next(each for each in explain(rule.name).entries if each.sort == "a rule")
    facts = dict(entry.facts)
    assert entry.meaning == rule.doc
    assert (facts["Formula"], facts["Source"]) == (rule.formula, rule.source)
    assert facts.get("Needs", "") == "; ".join(rule.needs)
    assert ("Advice only" in facts) is rule.advisory


@pytest.mark.parametrize("kind", [*PART_KINDS, *END_KINDS])
def test_every_kind_and_each_of_its_fields_is_explained(kind: str) -> None:
    cls = {**PART_KINDS, **END_KINDS}[kind]
    entry = next(each for each in explain(kind).entries if each.fields)
    assert [name for name, _ in entry.fields] == [field.name for field in described(cls)]
    for field in described(cls):
        (found,) = explain(f"{kind.replace(' ', '-')}.{field.name}").entries
        facts = dict(found.facts)
        assert found.name == field.name
        assert found.sort == f"a field of {kind}"
        assert facts.get("Left out", "") == field.default
        assert facts["Needed"] == ("yes" if field.needed else "no")


def test_every_word_that_is_listed_is_explained() -> None:
    listed = [word for words in words_by_group().values() for word in words]
    assert len(listed) > 150
    assert [word for word in listed if not explain(word).entries] == []


def test_every_address_of_a_rig_is_explained() -> None:
    addresses = list(values_of(demonstration()))
    assert len(addresses) > 100
    for address in addresses:
        assert any(entry.sort.startswith("a field of") for entry in explain(address).entries), address


@pytest.mark.parametrize("word", [*Verdict, "trust", "steps", "residual", "mass_residual", "assumed", "margin"])
def test_the_words_of_verdict_and_trust_are_explained(word: str) -> None:
    assert explain(word).entries[0].sort == "a term: what an answer says"


@pytest.mark.parametrize(
    ("asked", "found"),
    [("npsh", "NPSH"), ("Dry Lift", "dry lift"), ("dry_lift", "dry lift"), ("TDH", "total dynamic head"),
     ("water hammer", "surge"), ("self-priming", "dry lift"), ("cut-in", "cut-in and cut-out"),
     ("log reduction", "log reduction"), ("ct", "Ct"), ("knee", "knee"), ("KV", "Kv"), ("head", "head")],
)  # fmt: skip
def test_words_of_the_trade_are_found_however_they_are_written(asked: str, found: str) -> None:
    assert explain(asked).entries[0].name == found


@pytest.mark.parametrize(
    ("asked", "nearest"),
    [("npsx", "NPSH"), ("filter.rated_flaw", "filter.rated_flow"), ("voltage drip", "voltage drop"), ("hoze", "hose")],
)
def test_an_unknown_word_gets_the_nearest(asked: str, nearest: str) -> None:
    with pytest.raises(InputError) as caught:
        explain(asked)
    (mistake,) = caught.value.mistakes
    assert mistake.instead.split(" or ")[0] == nearest


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ("Darcy", ["loss", "friction factor"]),
        ("darcy-weisbach", ["loss"]),
        ("Colebrook", ["friction factor"]),  # only its source says so
        ("pump curves", ["pump curve"]),
        ("silt", ["sediment filter"]),  # only its meaning says so
        ("vapour", ["vapour pressure"]),
    ],
)
def test_what_is_called_by_no_such_word_is_found_by_what_mentions_it(asked: str, found: list[str]) -> None:
    assert [entry.name for entry in explain(asked).entries] == found


@pytest.mark.parametrize(
    ("asked", "found", "instead"),
    [
        ("White", r"'White', which \d+ of them mention", " or "),
        ("pump", r"'pump', which \d+ of them mention", "centrifugal pump or diaphragm pump or hand pump"),
        ("frobnicate", "'frobnicate'", ""),
        ("pomp", "'pomp'", "pump"),
    ],
)
def test_what_many_mention_names_the_first_and_what_is_like_nothing_names_none(
    asked: str, found: str, instead: str
) -> None:
    with pytest.raises(InputError) as caught:
        explain(asked)
    (mistake,) = caught.value.mistakes
    assert re.fullmatch(found, mistake.found)
    assert instead in mistake.instead
    assert bool(mistake.instead) is bool(instead)


@pytest.mark.parametrize("asked", ["", " ", "xyzzyq", ".", "hose.", "<b>", "a.b.c.d", None, 3])
def test_nonsense_is_refused(asked: object) -> None:
    with pytest.raises(InputError):
        explain(asked)  # type: ignore[arg-type]


def test_html_is_escaped() -> None:
    html = explain("NPSH in hand")._repr_html_()
    assert "<table>" in html
    assert "&gt;= npsh_required" in html
    assert not re.search(r"<(?!/?(p|b|table|tbody|tr|th|td)\b)", html)


def test_it_shows_itself_in_few_words() -> None:
    assert repr(explain("voltage drop")) == "<Explanation of 'voltage drop': a term: electricity, a rule>"


def test_terms_have_a_source_and_words_of_their_own() -> None:
    words = [term.word for term in all_terms()]
    assert len(words) == len(set(words))
    assert all(term.source and term.meaning and not term.meaning.endswith(".") for term in all_terms())
    names = [name for term in all_terms() for name in term.names]
    assert len(names) == len(set(names))
