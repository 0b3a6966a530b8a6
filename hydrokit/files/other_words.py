"""Words that builders write where a rig file wants another: kinds of parts and keys in German and French, and synonyms.

From memory of the trade's use; they only serve to say what to write, and none is taken for the word itself.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from collections.abc import Container

__all__ = ["english"]

_OTHERS: Final = {
    "hose": "pipe, tube, tubing, line, schlauch, rohr, leitung, saugschlauch, druckschlauch, tuyau, flexible",
    "hose tail": "barb, hose barb, tail, spigot, schlauchtülle, tülle, cannelé, embout cannelé",
    "strainer": "screen, basket, saugkorb, ansaugfilter, crépine, crepine",
    "foot valve": "footvalve, fußventil, fussventil, clapet de pied, clapet crépine",
    "non-return valve": "check valve, one-way valve, nrv, rückschlagventil, rückschlagklappe, clapet anti-retour, clapet antiretour",
    "float valve": "ball cock, schwimmerventil, robinet flotteur, vanne à flotteur",
    "valve": "tap, ball valve, gate valve, stopcock, ventil, kugelhahn, hahn, schieber, absperrhahn, vanne, robinet",
    "elbow": "bend, winkel, bogen, coude",
    "tee": "t-piece, t piece, t-stück, té",
    "coupler": "coupling, quick coupling, kupplung, raccord, raccord rapide",
    "fitting": "adapter, reducer, union, nipple, verschraubung",
    "diaphragm pump": "membranpumpe, pompe à membrane, demand pump",
    "centrifugal pump": "kreiselpumpe, pompe centrifuge, impeller pump, transfer pump",
    "hand pump": "handpumpe, pompe à main, pompe manuelle, fußpumpe, foot pump",
    "filter": "cartridge, filtre, membrane, filterpatrone, cartouche",
    "lamp": "uv lamp, uv, uv-lampe, steriliser, sterilizer, lampe, lampe uv",
    "length": "länge, laenge, longueur",
    "bore": "diameter, inside_diameter, id, innendurchmesser, durchmesser, diamètre, diametre, diamètre_intérieur",
    "height": "elevation, altitude, höhe, hoehe, hauteur",
    "depth": "tiefe, profondeur",
    "volume": "capacity, volumen, inhalt",
    "points": "curve, kennlinie, courbe",
    "surface": "water_level, wasserspiegel",
    "sources": "source, quelle, quellen, water",
    "tanks": "tank, behälter, réservoir, réservoirs, cuve, cuves",
    "outlets": "outlet, auslass, sortie, taps",
    "lines": "line, leitungen, lignes",
    "parts": "pump, pumps, pumpen, pompes, filters, hoses",
    "vehicle": "trailer, van, car, fahrzeug, anhänger, remorque, véhicule",
    "site": "location, place, standort, lieu",
    "readings": "reading, measurements",
}
"""What a rig file calls it, and what others do, in small letters."""
_ENGLISH: Final = {other: word for word, others in _OTHERS.items() for other in others.split(", ")}


def english(word: str, among: Container[str] | None = None) -> str:
    """Return what a rig file calls something that others call so, among some words if they are given; else an empty text.

    Examples
    --------
    >>> english("Schlauch"), english("pompe à membrane"), english("hose")
    ('hose', 'diaphragm pump', '')
    """
    found = _ENGLISH.get(" ".join(word.lower().split()), "")
    return found if among is None or found in among else ""
