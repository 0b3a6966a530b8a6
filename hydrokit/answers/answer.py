"""The base of every answer: what was asked, how it was reached, and the forms it can take."""

from __future__ import annotations

import json
from dataclasses import dataclass, fields, is_dataclass
from typing import TYPE_CHECKING, Any, ClassVar, Final

from hydrokit.answers.data import as_data
from hydrokit.answers.finding import Finding, Trust, Verdict, worst
from hydrokit.answers.html import html_of
from hydrokit.bounds import Mistakes, nearest
from hydrokit.extras import require_extra

if TYPE_CHECKING:
    from pandas import DataFrame

__all__ = ["FORMAT", "Answer"]

FORMAT: Final = 1
"""Version of the JSON form; rises when a key changes its meaning or goes."""


@dataclass(frozen=True, kw_only=True, repr=False)
class Answer:
    """What a study returns; frozen, and the same in a script, a notebook, JSON and on the screen.

    Parameters
    ----------
    title : str
        Of the rig.
    mode : str
        In which it was judged.
    findings : tuple of Finding
        Gravest first.
    trust : Trust
        How the answer was reached.
    """

    question: ClassVar[str] = ""
    table: ClassVar[str] = "findings"
    """Name of the field whose rows make the table of ``to_frame``."""

    title: str
    mode: str
    findings: tuple[Finding, ...]
    trust: Trust

    @property
    def verdict(self) -> Verdict:
        """The gravest verdict of all findings."""
        return worst([finding.verdict for finding in self.findings])

    def to_dict(self) -> dict[str, Any]:
        """Return everything as plain data in SI, with the unit beside each value.

        Returns
        -------
        dict
            Lists, texts, numbers and None; a number is ``{"value": …, "unit": …}``.

        Examples
        --------
        >>> from hydrokit.files import demonstration
        >>> from hydrokit.studies import check
        >>> answer = check(demonstration())
        >>> answer.to_dict()["flow"]["unit"]
        'm^3/s'
        """
        told = {"format": FORMAT, "question": self.question, "verdict": self.verdict.value}
        return {**told, **as_data(self)}

    def to_json(self, *, indent: int | None = 2) -> str:
        """Return :meth:`to_dict` as JSON text.

        Parameters
        ----------
        indent : int, optional
            Blanks for each level; all on one line where it is None.

        Returns
        -------
        str
            JSON without NaN; ``format`` rises when a key changes its meaning or goes.

        Examples
        --------
        >>> from hydrokit.files import demonstration
        >>> from hydrokit.studies import check
        >>> answer = check(demonstration())
        >>> answer.to_json(indent=None)[:29]
        '{"format": 1, "question": "ch'
        """
        return json.dumps(self.to_dict(), indent=indent, ensure_ascii=False, allow_nan=False)

    def tables(self) -> tuple[str, ...]:
        """Return the names of the fields that hold rows.

        Returns
        -------
        tuple of str
            Each may be asked of :meth:`to_frame`.

        Examples
        --------
        >>> from hydrokit.files import demonstration
        >>> from hydrokit.studies import check
        >>> answer = check(demonstration())
        >>> "findings" in answer.tables()
        True
        """
        return tuple(item.name for item in fields(self) if _rows(getattr(self, item.name)) or item.name == self.table)

    def to_frame(self, table: str | None = None) -> DataFrame:
        """Return a table as a pandas frame, in SI, units in the column names.

        Parameters
        ----------
        table : str, optional
            One of :meth:`tables`; the main one where none is named.

        Returns
        -------
        DataFrame
            One row for each row of the table; without pandas see :meth:`to_dict`.

        Raises
        ------
        InputError
            If there is no such table, or nothing in it.
        MissingExtra
            If pandas is not installed, or does not load.

        Examples
        --------
        >>> from hydrokit.files import demonstration
        >>> from hydrokit.studies import check
        >>> answer = check(demonstration())
        >>> list(answer.to_frame("arrivals").columns)
        ['place', 'flow [m^3/s]']
        """
        name = self.table if table is None else table
        if name not in self.tables():
            mistakes = Mistakes()
            expected = f"one of {', '.join(self.tables())}"
            mistakes.add("table", repr(name), expected, nearest(str(name), self.tables()))
            mistakes.settle()
        require_extra("frames", "pandas")
        import pandas as pd

        return pd.DataFrame([_flat(row) for row in self.to_dict()[name]])

    def _told(self) -> str:
        counts = {verdict: sum(finding.verdict is verdict for finding in self.findings) for verdict in Verdict}
        told = ", ".join(f"{count} {verdict}" for verdict, count in counts.items() if count)
        return f": {self.verdict} ({told})" if told else ""  # what nothing was judged in has no verdict to tell

    def __repr__(self) -> str:
        mode = f", mode {self.mode!r}" if self.mode else ""
        return f"<{type(self).__name__} of {self.title!r}{mode}{self._told()}>"

    def _repr_html_(self) -> str:
        mode = f", mode {self.mode}" if self.mode else ""
        return html_of(self, f"{type(self).__name__} of {self.title}{mode}{self._told()}", self.table)


def _rows(value: Any) -> bool:
    return isinstance(value, tuple) and bool(value) and all(is_dataclass(row) for row in value)


def _flat(row: dict[str, Any]) -> dict[str, Any]:
    """Return a row of plain data with one number a column; a finding's unit, which differs by row, has its own column."""
    flat: dict[str, Any] = {}
    varied = "dimension" in row
    for name, value in row.items():
        if isinstance(value, dict) and set(value) == {"value", "unit"}:
            if varied:
                flat[name], flat["unit"] = value["value"], value["unit"]
            else:
                flat[f"{name} [{value['unit']}]"] = value["value"]
        else:
            flat[name] = value
    return flat
