"""What log reductions are wanted: a published tier by name, or stated figures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final, Literal, TypeAlias

from hydrokit.bounds import Choice, Dimension, Spec, Text, check_fields
from hydrokit.parts.base import stated

__all__ = ["GERMS", "TIERS", "Germs", "Targets", "Tier"]

Germs: TypeAlias = Literal["bacteria", "viruses", "protozoa"]
GERMS: Final[tuple[Germs, ...]] = ("bacteria", "viruses", "protozoa")
"""The classes of germs for which barriers state log reductions."""

Tier: TypeAlias = Literal["purifier", "household three star", "household two star"]

TIERS: Final[dict[Tier, tuple[tuple[float, float, float], str]]] = {
    "purifier": (
        (6.0, 4.0, 3.0),
        "US EPA, Guide Standard and Protocol for Testing Microbiological Water Purifiers, 1987 (from memory)",
    ),
    "household three star": ((4.0, 5.0, 4.0), "WHO, Evaluating household water treatment options, 2011 (from memory)"),
    "household two star": ((2.0, 3.0, 2.0), "WHO, Evaluating household water treatment options, 2011 (from memory)"),
}
"""Log reductions of bacteria, viruses and protozoa that published tiers ask for, and where they stand."""

_WANTED: Final = Spec(
    Dimension.NUMBER, "log reduction wanted, instead of that of the tier", low=0.0, high=12.0, example="4"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Targets:
    """The log reductions wanted of the water; a choice of the owner, never a proof of anything.

    Examples
    --------
    >>> Targets(tier="household two star").of_tier("viruses")
    3.0
    """

    tier: Annotated[Tier, Choice("published tier of log reductions")] = "purifier"
    bacteria: Annotated[float | None, _WANTED] = None
    viruses: Annotated[float | None, _WANTED] = None
    protozoa: Annotated[float | None, _WANTED] = None
    note: Annotated[str, Text("where stated figures come from")] = ""

    __repr__ = stated

    def __post_init__(self) -> None:
        check_fields(self, "targets")

    def of_tier(self, germs: Germs) -> float:
        """Return what the tier asks for a class.

        Parameters
        ----------
        germs : {"bacteria", "viruses", "protozoa"}
            Which class.

        Returns
        -------
        float
            Log reduction, a plain number.

        Notes
        -----
        Source: :data:`TIERS` names that of each tier.

        Examples
        --------
        >>> Targets().of_tier("protozoa")
        3.0
        """
        return TIERS[self.tier][0][GERMS.index(germs)]
