"""What to print whatever the answer says: the usual cautions, each where it concerns the rig at hand.

Common practice, no source, save where one is named in the text. Local codes and licensed practice go before all of it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Collection

__all__ = ["ALWAYS", "BRIEFLY", "cautions_for"]

ALWAYS: Final = (
    "This calculation can show that a rig cannot work. It never shows that water is safe to drink: have the water"
    " tested, and follow the drinking-water, backflow and electrical codes of the place and the advice of licensed"
    " practitioners."
)
BRIEFLY: Final = "This can show that a rig cannot work, never that water is safe to drink. More without --brief."
"""What a brief answer says of it."""


class _Caution(NamedTuple):
    kinds: frozenset[str]
    text: str


def _for(kinds: str, text: str) -> _Caution:
    return _Caution(frozenset(kinds.split(", ")), text)


_CAUTIONS: Final = (
    _for(
        "source",
        "Draw no water that shows scum, a paint-like film or dead fish, or that takes run-off from farm or road: no filter"
        " or lamp of a rig answers for fuel, pesticide, metals, nitrate, salt or the toxins of algae.",
    ),
    _for(
        "source",
        "Ask the landowner and keep the law on taking water. Clean, drain and dry hose, strainer and pump before they"
        " meet another water: raw water carries invasive species.",
    ),
    _for(
        "membrane filter, ceramic filter",
        "A membrane or ceramic that may have frozen or been dropped is scrap, for the damage cannot be seen.",
    ),
    _for(
        "sediment filter, carbon filter, membrane filter, ceramic filter",
        "A micron rating is no proof against germs; filters coarser than ultrafiltration let viruses through. Never"
        " lead water round a stage into the clean tank.",
    ),
    _for("lamp", "A lamp needs clear, colourless water, its full dose at this flow, and a clean sleeve."),
    _for(
        "diaphragm pump, hand pump",
        "Shut no valve behind a diaphragm or hand pump unless a switch or relief valve guards it, and never connect one"
        " to a closed tank: its pressure bursts tanks.",
    ),
    _for("centrifugal pump", "Let no pump run long against a shut valve: it heats the water that stands in it."),
    _for(
        "diaphragm pump, centrifugal pump",
        "Fuse the supply at the battery for the cable it feeds, and switch the pump off when nobody watches it.",
    ),
    _for(
        "tank",
        "Full tanks weigh: keep within the limits of axle, tyre, hitch and load, weigh the vehicle, and strap the tanks.",
    ),
    _for(
        "tank, outlet",
        "On the clean side use only hose, tanks and sealant approved for drinking water, and join the rig to a mains"
        " supply over an air gap only (EN 1717 or the local code).",
    ),
)


def cautions_for(kinds: Collection[str]) -> tuple[str, ...]:
    """Return the cautions that concern a rig.

    Parameters
    ----------
    kinds : collection of str
        Kinds of its parts and ends, a filter with its medium before it: ``"membrane filter"``, ``"tank"``.

    Examples
    --------
    >>> len(cautions_for([])), cautions_for(["lamp"])[1]
    (1, 'A lamp needs clear, colourless water, its full dose at this flow, and a clean sleeve.')
    """
    return (ALWAYS, *(caution.text for caution in _CAUTIONS if caution.kinds.intersection(kinds)))
