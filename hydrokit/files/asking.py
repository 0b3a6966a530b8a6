"""One question to a builder: what it asks, what it takes, what it suggests; made from the specification of a field.

A question reads what was typed with the same functions as a rig file, so that messages are the same as well.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final, TypeAlias

from hydrokit.bounds import Choice, Curve, Spec, choices_of, nearest, specs_of
from hydrokit.catalogue import generic_parts
from hydrokit.errors import InputError, Mistake
from hydrokit.files.frames import check_name
from hydrokit.files.owners import owned
from hydrokit.parts.describing import described
from hydrokit.parts.reading import limits_of, read_field, read_number, read_text, required
from hydrokit.units import listed_units

if TYPE_CHECKING:
    from hydrokit.bounds import FieldSpec

__all__ = [
    "NO",
    "OWN",
    "YES",
    "Answers",
    "Question",
    "about_field",
    "about_name",
    "about_part",
    "about_quantity",
    "about_word",
    "raw_of",
]

Answers: TypeAlias = Mapping[str, str]
"""What was answered, as text, by the key of the question; an empty text where it was left out."""

OWN: Final = "own"
"""Answer to a question for a part that the catalogue does not have."""
YES: Final = "yes"
NO: Final = "no"
_AT: Final = " at "
_BETWEEN: Final = ";"


def _always(_: Answers) -> bool:
    return True


@dataclass(frozen=True, kw_only=True)
class Question:
    """What one answer is about.

    Parameters
    ----------
    key : str
        Group and field, such as ``pump.height``.
    subject : str
        What this and the questions around it are about.
    ask : str
        What is asked.
    read : callable
        Takes the text and the answers so far; returns the answer, or raises ``InputError`` where the text will not do.
    suggest : callable
        Takes the answers so far; returns the answer to take where nothing is typed, empty where there is none.
    when : callable
        Takes the answers so far; returns whether the question arises.
    more : str
        What to say to who asks for help.
    words : tuple of str
        Answers that will do: every one where only listed words do, else an example.
    optional : bool
        Whether it may be left out.
    """

    key: str
    subject: str
    ask: str
    read: Callable[[str, Answers], str]
    suggest: Callable[[Answers], str]
    when: Callable[[Answers], bool] = _always
    more: str
    words: tuple[str, ...] = ()
    optional: bool = False

    def accept(self, typed: str, answers: Answers) -> str:
        """Return the answer that was typed, or the one suggested where nothing was; ``-`` leaves out what may be.

        Raises
        ------
        InputError
            If it will not do; says what was found, what is expected and what to write.
        """
        text = typed.strip() or self.suggest(answers)
        if self.optional and text in {"", "-"}:
            return ""
        if text in {"", "-"}:
            found = "a -, which leaves out what must be known" if text else "nothing"
            raise InputError([Mistake("", found, self.ask, self.suggest(answers) or next(iter(self.words), ""))])
        return self.read(text, answers)


def _suggesting(suggest: str | Callable[[Answers], str]) -> Callable[[Answers], str]:
    return suggest if callable(suggest) else lambda _: suggest


def _curve_form(spec: Curve) -> str:
    pair = f"{spec.x.example}{_AT}{spec.y.example}".replace('"', "")
    return pair if spec.least == 1 else f"{pair}{_BETWEEN} …"


def raw_of(spec: FieldSpec, text: str) -> object:
    """Return what was typed as a rig file would hold it: a curve as a list of pairs, all else as text."""
    if not isinstance(spec, Curve):
        return text
    pairs = [pair.strip() for pair in text.split(_BETWEEN) if pair.strip()]
    for pair in pairs:
        if pair.count(_AT) != 1:
            expected = f"{spec.x.doc} and {spec.y.doc} with {_AT.strip()} between them"
            raise InputError([Mistake("", repr(pair), expected, _curve_form(spec))])
    return [pair.split(_AT) for pair in pairs]


def _as_typed(mistake: Mistake, spec: FieldSpec) -> Mistake:
    """Return a mistake that says what to type, not what to write into a file."""
    if isinstance(spec, Curve) and mistake.instead.startswith("["):
        return replace(mistake, instead=_curve_form(spec))
    return replace(mistake, instead=mistake.instead.replace('"', ""))


def _so_far(cls: type[Any], group: str, answers: Answers) -> dict[str, Any]:
    specs = specs_of(cls)
    return {name: raw_of(spec, answers[key]) for name, spec in specs.items() if answers.get(key := f"{group}.{name}")}


def _check_together(cls: type[Any], group: str, name: str, raw: object, answers: Answers) -> None:
    """Refuse an answer that does not go together with those before it, as a lower limit above the upper."""
    if answers.get(f"{group}.use", OWN) != OWN:  # the rest stands in the catalogue
        return
    fields = {**_so_far(cls, group, answers), name: raw}
    if set(required(cls)) <= set(fields):
        faults = owned(cls, fields, None).faults
        if faults:
            raise InputError([mistake for _, mistake in faults])


def _examples(cls: type[Any], name: str, spec: FieldSpec) -> tuple[str, ...]:
    if isinstance(spec, Choice):
        return tuple(word for word in choices_of(cls, name) if word)
    return (spec.example.strip('"'),) if isinstance(spec, Spec) else ()


def _asked(cls: type[Any], name: str, spec: FieldSpec) -> str:
    """Return what a field is, in the words of its specification, as a question asks for it."""
    words = name.replace("_", " ")
    doc = spec.doc.partition("; left out")[0].partition("; gives")[0]
    told = doc if doc.startswith(words) else f"{words}: {doc}"
    if isinstance(spec, Choice):
        return f"{told} ({', '.join(choices_of(cls, name))})"
    return f"{told}, as in {_curve_form(spec)}" if isinstance(spec, Curve) else told


def about_field(
    cls: type[Any],
    group: str,
    name: str,
    subject: str,
    *,
    suggest: str | Callable[[Answers], str] = "",
    when: Callable[[Answers], bool] = _always,
    optional: bool = False,
    ask: str = "",
) -> Question:
    """Return the question for one field of a part, an end or the site: words, units and limits are those of its specification."""
    spec = specs_of(cls)[name]

    def read(text: str, answers: Answers) -> str:
        try:
            raw = raw_of(spec, text)
            read_field(cls, name, raw)
            _check_together(cls, group, name, raw, answers)
        except InputError as error:
            raise InputError([_as_typed(each, spec) for each in error.mistakes]) from None
        return text

    text = next(each for each in described(cls) if each.name == name)
    example = text.example.strip('"') if isinstance(spec, Spec) else ""
    more = "; ".join(each for each in (text.doc, text.takes, text.limits, example and f"such as {example}") if each)
    return Question(
        key=f"{group}.{name}", subject=subject, ask=ask or _asked(cls, name, spec), read=read,
        suggest=_suggesting(suggest), when=when, more=more, optional=optional, words=_examples(cls, name, spec),
    )  # fmt: skip


def about_quantity(
    key: str, spec: Spec, subject: str, ask: str, *, when: Callable[[Answers], bool] = _always, optional: bool = False
) -> Question:
    """Return a question for a quantity that is no field itself, and of which others are worked out."""

    def read(text: str, answers: Answers) -> str:
        del answers
        try:
            number = read_number(spec, text)
        except InputError as error:
            raise InputError([_as_typed(each, spec) for each in error.mistakes]) from None
        if number.tolerance:
            expected = "a value without ±, which can be put into the file afterwards"
            raise InputError([Mistake("", repr(text[:60]), expected, spec.example.strip('"'))])
        return text

    example = spec.example.strip('"')
    limits = limits_of(spec)
    more = "; ".join(
        [
            spec.doc,
            f"{spec.dimension.value} in {', '.join(listed_units(spec.dimension)[:4])}",
            *([limits] if limits else []),
            f"such as {example}",
        ]
    )
    return Question(
        key=key, subject=subject, ask=ask, read=read, suggest=_suggesting(""), when=when, more=more, optional=optional,
        words=(example,),
    )  # fmt: skip


def about_word(
    key: str,
    subject: str,
    ask: str,
    words: Mapping[str, str],
    *,
    suggest: str,
    when: Callable[[Answers], bool] = _always,
) -> Question:
    """Return a question that takes one of some words, each with its meaning; the letters it begins with will do."""

    def read(text: str, answers: Answers) -> str:
        del answers
        begun = [word for word in words if word.startswith(text.lower())]
        if text not in words and len(begun) != 1:
            expected = f"one of {', '.join(words)}"
            raise InputError([Mistake("", repr(text[:60]), expected, nearest(text[:60], list(words)))])
        return text if text in words else begun[0]

    more = "; ".join(f"{word}: {meaning}" if meaning else word for word, meaning in words.items())
    listed = f"{ask} ({', '.join(words)})"
    return Question(
        key=key, subject=subject, ask=listed, read=read, suggest=_suggesting(suggest), when=when, more=more,
        words=tuple(words),
    )  # fmt: skip


def about_part(
    key: str,
    subject: str,
    ask: str,
    kinds: tuple[str, ...],
    *,
    suggest: str,
    none: bool = False,
    when: Callable[[Answers], bool] = _always,
) -> Question:
    """Return a question that takes the name of a generic part of some kinds, ``own``, or ``none`` if that may be."""
    names = [name for name, entry in generic_parts().items() if entry.kind in kinds]
    words = [*names, OWN, *["none"] * none]
    what = " or ".join(kinds)

    def read(text: str, answers: Answers) -> str:
        del answers
        if text not in words:
            expected = f"the name of a {what} in the catalogue, or {', or '.join(words[len(names) :])}"
            raise InputError([Mistake("", repr(text[:60]), expected, nearest(text[:60], words))])
        return text

    more = f"in the catalogue: {', '.join(names)}; {OWN}: you have its data{'; none: there is no such part' * none}"
    told = f"{ask} (catalogue name{f', {OWN} or none' if none else f' or {OWN}'})"
    return Question(
        key=key, subject=subject, ask=told, read=read, suggest=_suggesting(suggest), when=when, more=more,
        words=tuple(words),
    )  # fmt: skip


def about_name(key: str, subject: str, ask: str, *, suggest: str, taken: frozenset[str], more: str) -> Question:
    """Return a question that takes a name for something in the rig."""

    def read(text: str, answers: Answers) -> str:
        del answers
        if text in taken:
            raise InputError([Mistake("", repr(text), f"a name other than {', '.join(sorted(taken))}", suggest)])
        return check_name(text)

    return Question(key=key, subject=subject, ask=ask, read=read, suggest=_suggesting(suggest), more=more)


def about_text(key: str, subject: str, ask: str, *, suggest: str, more: str) -> Question:
    """Return a question that takes any text."""
    return Question(
        key=key, subject=subject, ask=ask, read=lambda text, _: read_text(text), suggest=_suggesting(suggest), more=more
    )
