"""A word explained: what it means, its formula and its source, wherever hydrokit uses it."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from functools import cache, partial
from html import escape
from re import findall
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from hydrokit.arguments import as_annotated
from hydrokit.bounds import nearest_few
from hydrokit.errors import InputError, Mistake
from hydrokit.parts import END_KINDS, PART_KINDS
from hydrokit.parts.describing import FieldText, described, first_line
from hydrokit.parts.reading import told
from hydrokit.rig import ASIDE, SINGLES
from hydrokit.rules import RULES
from hydrokit.terms.glossary import Term, all_terms

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from hydrokit.rules import Rule

__all__ = ["Entry", "Explanation", "explain", "words_by_group"]

_NEAREST: Final = 3
_MOST_MENTIONS: Final = 4
"""Most entries shown for a word that is only mentioned in them; a word that more mention is refused as too common."""
_SHORTEST_MENTION: Final = 3
_LEFT: Final = ' style="text-align:left"'
_IN_COMMON: Final = ("name", "note", "mass", "position", "height")

_Row = tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One thing that a word stands for.

    Parameters
    ----------
    name : str
        Of the term, rule, kind or field.
    sort : str
        What it is: a term, a rule, a kind of part, a field.
    meaning : str
        In a sentence or two.
    facts : tuple of pairs of str
        What else there is to say, each under its heading: formula, unit, limits, source.
    fields : tuple of pairs of str
        Of a kind: each field and what it means.
    """

    name: str
    sort: str
    meaning: str
    facts: tuple[_Row, ...] = ()
    fields: tuple[_Row, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Explanation:
    """What a word means, everywhere that hydrokit uses it.

    Parameters
    ----------
    word : str
        As it was asked for.
    entries : tuple of Entry
        At least one; terms first, then rules, kinds and fields.
    """

    word: str
    entries: tuple[Entry, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data.

        Returns
        -------
        dict
            Word and entries, facts by their headings.

        Examples
        --------
        >>> sorted(explain("Kv").to_dict()["entries"][0]["facts"])
        ['Also', 'Formula', 'In code', 'Source', 'Unit']
        """
        entries = [asdict(each) | {"facts": dict(each.facts), "fields": dict(each.fields)} for each in self.entries]
        return {"word": self.word, "entries": entries}

    def __repr__(self) -> str:
        return f"<Explanation of {self.word!r}: {', '.join(entry.sort for entry in self.entries)}>"

    def __str__(self) -> str:
        return "\n".join(f"{entry.name}, {entry.sort}: {entry.meaning}" for entry in self.entries)

    def _repr_html_(self) -> str:
        def rows(pairs: tuple[_Row, ...]) -> str:
            return "".join(
                f"<tr><th{_LEFT}>{escape(head)}</th><td{_LEFT}>{escape(text)}</td></tr>" for head, text in pairs
            )

        return "".join(
            f"<p><b>{escape(entry.name)}</b>, {escape(entry.sort)}: {escape(entry.meaning)}</p>"
            f"<table><tbody>{rows(entry.facts)}{rows(entry.fields)}</tbody></table>"
            for entry in self.entries
        )


def _plain(word: str) -> str:
    """Return a word as it is compared: small letters, blanks for hyphens and underscores."""
    return " ".join(word.lower().replace("_", " ").replace("-", " ").split())


def _facts(**told: str) -> tuple[_Row, ...]:
    return tuple((head[0].upper() + head[1:].replace("_", " "), text) for head, text in told.items() if text)


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}{'' if text.endswith('.') else '.'}"


def _of_term(term: Term) -> Entry:
    facts = _facts(
        formula=term.formula,
        unit="" if term.unit == "1" else term.unit,
        counts=term.sign,
        in_code=", ".join(term.names),
        also=", ".join(term.also),
        source=term.source,
    )
    meaning = _sentence(term.meaning.replace("`", ""))
    return Entry(name=term.word, sort=f"a term: {term.group.lower()}", meaning=meaning, facts=facts)


def _of_rule(rule: Rule) -> Entry:
    kind = "it can be close, and never fails" if rule.advisory else ""
    facts = _facts(formula=rule.formula, advice_only=kind, needs="; ".join(rule.needs), source=rule.source)
    return Entry(name=rule.name, sort="a rule", meaning=rule.doc, facts=facts)


@cache
def _kinds() -> dict[str, tuple[str, type[Any]]]:
    """Return what each kind is and its class, by the word for one of them."""
    asides = {group.removesuffix("s").replace("batterie", "battery"): cls for group, cls in ASIDE.items()}
    return {
        **{kind: ("a part", cls) for kind, cls in PART_KINDS.items()},
        **{kind: ("an end of lines", cls) for kind, cls in END_KINDS.items()},
        **{name: ("a table of a rig file", cls) for name, cls in (*SINGLES.items(), *asides.items())},
    }


def _of_kind(kind: str) -> Entry:
    sort, cls = _kinds()[kind]
    fields = tuple((field.name, _sentence(field.doc)) for field in described(cls))
    needed = ", ".join(field.name for field in described(cls) if field.needed)
    own = next((name for name, _ in fields if name not in _IN_COMMON), fields[0][0])
    facts = _facts(needs=needed, more_of_a_field=f"hydrokit explain {kind.replace(' ', '-')}.{own}")
    return Entry(name=kind, sort=sort, meaning=first_line(cls), facts=facts, fields=fields)


def _of_field(field: FieldText, owners: list[str]) -> Entry:
    facts = _facts(
        takes=field.takes,
        may_be=field.limits,
        needed="yes" if field.needed else "no",
        left_out=field.default,
        SI_unit=field.si_unit,
        example=f"{field.name} = {field.example}" if field.example else "",
        source=field.source,
    )
    sort = f"a field of {', '.join(owners)}"
    return Entry(name=field.name, sort=sort, meaning=_sentence(field.doc), facts=facts)


def _fields(name: str, owner: str | None) -> Iterator[Entry]:
    """Yield the fields of a name, of one kind or of all; kinds that declare it alike share an entry."""
    alike: dict[FieldText, list[str]] = {}
    for kind, (_, cls) in _kinds().items():
        for field in described(cls) if owner in {None, kind} else ():
            if _plain(field.name) == name:
                alike.setdefault(field, []).append(kind)
    for field, owners in alike.items():
        yield _of_field(field, owners)


def _kind_in(word: str) -> str | None:
    """Return the kind that a word of an address names: ``hose-1``, ``tanks`` or ``foot-valve``."""
    plain = _plain(word.rstrip("0123456789"))
    spellings = {plain, plain.removesuffix("s"), plain.replace("batteries", "battery")}
    return next((kind for kind in _kinds() if _plain(kind) in spellings), None)


def _by_address(address: str) -> Iterator[Entry]:
    """Yield the field at an address: ``filter.rated_flow``, ``tanks.near.floor`` or ``lines.intake.hose-1.bore``."""
    *owners, name = address.split(".")
    kinds = [kind for word in reversed(owners) if (kind := _kind_in(word))]
    among: list[str | None] = [*kinds] or [None]
    found = [[*_fields(_plain(name), kind)] for kind in among]  # loads.battery is a load that is called so
    yield from next((entries for entries in found if entries), [])


def _found(word: str) -> Iterator[Entry]:
    plain = _plain(word)
    terms = [term for term in all_terms() if plain in {_plain(each) for each in term.words}]
    yield from map(_of_term, sorted(terms, key=lambda term: _plain(term.word) != plain))
    yield from (_of_rule(rule) for rule in RULES if _plain(rule.name) == plain)
    yield from (_of_kind(kind) for kind in _kinds() if _plain(kind) == plain)
    yield from _by_address(word) if "." in word else _fields(plain, None)


@cache
def _words() -> dict[str, str]:
    """Return every word that can be explained, as it is written, by how it is compared."""
    words = [word for group in words_by_group().values() for word in group]
    words += [word for term in all_terms() for word in term.words]
    words += [
        text
        for kind, (_, cls) in _kinds().items()
        for field in described(cls)
        for text in (field.name, f"{kind.replace(' ', '-')}.{field.name}")
    ]
    alone = {each: each for text in (*PART_KINDS, *END_KINDS) for each in text.split()}  # pump, of diaphragm pump
    return {**alone, **{_plain(word): word for word in reversed(words)}}


def _nearest(word: str) -> str:
    words = _words()
    plain = _plain(word)
    return " or ".join(words[each] for each in nearest_few(plain, words, _NEAREST)) if plain else ""


def _tokens(text: str) -> set[str]:
    """Return the words of a text as they are compared, one and many alike."""
    return {each.removesuffix("s") for each in findall(r"[^\W\d_]+", _plain(text))}


class _Holder(NamedTuple):
    """A thing that can be found by a word in its names, else in its meaning, else in its source."""

    make: Callable[[], Entry]
    texts: tuple[str, str, str]


@cache
def _holders() -> tuple[_Holder, ...]:
    terms = [
        _Holder(partial(_of_term, term), (" ".join(term.words), term.meaning, term.source)) for term in all_terms()
    ]
    rules = [_Holder(partial(_of_rule, rule), (rule.name, rule.doc, rule.source)) for rule in RULES]
    kinds = [_Holder(partial(_of_kind, kind), (kind, first_line(cls), "")) for kind, (_, cls) in _kinds().items()]
    return (*kinds, *terms, *rules)


def _mentioning(word: str) -> list[_Holder]:
    """Return what mentions a word, in its names before its meaning before its source."""
    asked = _tokens(word)
    if "." in word or not asked or max(map(len, asked)) < _SHORTEST_MENTION:
        return []
    for place in range(3):
        if found := [holder for holder in _holders() if asked <= _tokens(holder.texts[place])]:
            return found
    return []


def words_by_group() -> dict[str, tuple[str, ...]]:
    """Return what can be explained, by group: terms by their subject, then rules, parts, ends and tables.

    Returns
    -------
    dict of str to tuple of str
        Every field of a part can be explained as well, as ``filter.rated_flow``.

    Examples
    --------
    >>> words_by_group()["Suction"][:3]
    ('static lift', 'dry lift', 'wet lift')
    """
    groups: dict[str, list[str]] = {}
    for term in all_terms():
        groups.setdefault(term.group, []).append(term.word)
    groups["Rules"] = [rule.name for rule in RULES]
    for kind, (sort, _) in _kinds().items():
        groups.setdefault({"a part": "Parts"}.get(sort, "Ends of lines and other tables"), []).append(kind)
    return {group: tuple(words) for group, words in groups.items()}


@as_annotated
def explain(term: str) -> Explanation:
    """Return what a word means, with its formula and its source.

    Parameters
    ----------
    term : str
        A term of the trade (``"dry lift"``), a name of the library (``"npsh_available"``), a rule (``"voltage drop"``), a
        kind of part (``"hose"``), a field (``"filter.rated_flow"``, ``"bore"``) or an address. What is called by none of
        these is looked for in names, meanings and sources (``"Darcy"``, ``"Colebrook"``).

    Returns
    -------
    Explanation
        One entry for each thing that the word stands for.

    Raises
    ------
    InputError
        If nothing is called so, and none or too many mention it; names the nearest words that there are.

    Examples
    --------
    >>> print(explain("dry lift"))
    dry lift, a term: suction: Greatest lift at which a pump draws an empty hose full.
    dry_lift, a field of centrifugal pump, diaphragm pump, hand pump: Height from which it draws water up an empty hose, at sea level.
    >>> dict(explain("filter.rated_flow").entries[0].facts)["Example"]
    'rated_flow = "10 L/min"'
    """
    entries = tuple(_found(term))
    if not entries:
        mentioning = _mentioning(term)
        entries = tuple(holder.make() for holder in mentioning if len(mentioning) <= _MOST_MENTIONS)
    if not entries:
        expected = "a term, a rule, a part or a field, such as filter.rated_flow"
        found = f"{told(term)}, which {len(mentioning)} of them mention" if mentioning else told(term)
        among = " or ".join(holder.make().name for holder in mentioning[:_NEAREST])
        raise InputError([Mistake("term", found, expected, among or _nearest(term))])
    return Explanation(word=term, entries=entries)
