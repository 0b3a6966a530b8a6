"""What a fault is called, how it is told, and what to do about it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.rules.naming import capital, listed, named

if TYPE_CHECKING:
    from hydrokit.rig import Rig
    from hydrokit.studies.diagnosis.faults import Fault

__all__ = ["REMEDIES", "condition_dimension", "reason_for", "title_of"]

REMEDIES: Final = {
    "blocked strainer": "Lift it, clear the mesh, see that the valve's flap swings freely and that the hose is neither kinked"
    " nor sucked flat; then read the vacuum again.",
    "loaded filter": "Flush the element where its maker allows it, else change it; then read the pressures again.",
    "worn pump": "Fit new valves and diaphragm, or seals and impeller, of the maker's repair kit.",
    "air leak": "Sink the strainer deeper, tighten every clip from strainer to pump, grease or renew the seals of the"
    " strainer's lid, and wet each joint while the pump runs: a leak drinks the water and the note of the pump changes.",
    "bad cable": "Feel for warm plugs, switch and fuse holder, clean the contacts, read the volts along the way; then a"
    " thicker cable. Leave wiring to those licensed for it where the local code asks so.",
    "flat battery": "Charge the battery, and read its volts again at rest and running.",
    "slow pump": "Read the volts at the motor while it runs and compare with those on its plate; look for thin cable and"
    " poor contacts.",
}
"""What to do about each kind of fault; common practice, no source."""

_DIMENSIONS: Final = {"bad cable": Dimension.RESISTANCE}

_TOLD: Final = {
    "blocked strainer": "{value} of its open area",
    "loaded filter": "{value} of the way to its end drop",
    "worn pump": "{value} of its open flow slipping back inside at its highest pressure",
    "air leak": "{value} of what it draws being air",
    "bad cable": "{value} in contacts, cable apart",
    "flat battery": "{value} of its charge left",
    "slow pump": "turning at {value} of its speed",
}
_WORN_ROTODYNAMIC: Final = "{value} of its head and flow gone"
_NO_END_DROP: Final = "its drop {value} above that of a clean one"


def condition_dimension(fault: Fault) -> Dimension:
    """Return the dimension of a fault's condition."""
    return _DIMENSIONS.get(fault.kind, Dimension.FRACTION)


def _told(rig: Rig, fault: Fault) -> str:
    part = rig.by_address[fault.place]
    if fault.kind == "worn pump" and not part.displacement:
        return _WORN_ROTODYNAMIC
    if fault.kind == "loaded filter" and part.end_drop is None:
        return _NO_END_DROP
    return _TOLD[fault.kind]


def title_of(rig: Rig, fault: Fault) -> str:
    """Return a fault and its place in a few words."""
    places = listed([named(rig, place) for place in (fault.place, *fault.also)]).replace(" and ", " or ")
    words = {
        "blocked strainer": f"{places} blocked",
        "loaded filter": f"{places} loaded",
        "worn pump": f"{places} worn",
        "air leak": f"air drawn in before {places}",
        "bad cable": f"too much resistance in the cable or contacts of {places}",
        "flat battery": f"{places} low",
        "slow pump": f"{places} turning too slowly",
    }
    return words[fault.kind]


def reason_for(rig: Rig, fault: Fault, value: float) -> Phrase:
    """Return a fault with how bad it is, as a sentence without its end."""
    return phrase(f"{capital(title_of(rig, fault))}, {_told(rig, fault)}", value=(value, condition_dimension(fault)))
