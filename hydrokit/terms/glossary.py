"""The terms of the trade and the names of the library, read from the glossary's data."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

__all__ = ["Term", "all_terms"]

_DATA: Final = Path(__file__).with_name("data") / "terms.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """One word of the glossary.

    Parameters
    ----------
    word : str
        As a builder says it.
    group : str
        The subject it belongs to.
    meaning : str
        In one sentence.
    source : str
        Where it is from.
    names : tuple of str
        What parameters, fields and JSON call it.
    also : tuple of str
        Other words for the same.
    unit : str
        SI, of the number; empty where it is none.
    sign : str
        Which way it counts up.
    formula : str
        In plain text.
    """

    word: str
    group: str
    meaning: str
    source: str
    names: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    unit: str = ""
    sign: str = ""
    formula: str = ""

    @property
    def words(self) -> tuple[str, ...]:
        """Everything by which it can be found."""
        return (self.word, *self.names, *self.also)


def _term(row: dict[str, object]) -> Term:
    return Term(**{key: tuple(value) if isinstance(value, list) else value for key, value in row.items()})  # type: ignore[arg-type]


@cache
def all_terms() -> tuple[Term, ...]:
    """Return every term of the glossary, in its order.

    Returns
    -------
    tuple of Term
        Each with its source.

    Examples
    --------
    >>> next(term.meaning for term in all_terms() if term.word == "dry lift")
    'greatest lift at which a pump draws an empty hose full'
    """
    return tuple(_term(row) for row in tomllib.loads(_DATA.read_text(encoding="utf-8"))["term"])
