"""Parts of small invented rigs, and what `check` says of the water on its way through them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hydrokit.answers import Verdict, worst
from hydrokit.parts import CentrifugalPump, Filter, Hose

if TYPE_CHECKING:
    from hydrokit.answers import Finding
    from hydrokit.studies import Check

LITRE, BAR = 1.0 / 60_000.0, 1e5
PUMP = "lines.intake.pump"
HYDRAULICS = {
    "water arrives", "pump primes", "NPSH in hand", "water stays whole", "pump inlet vacuum", "hose keeps its shape",
    "pump runs steadily", "pump working range", "filter flow", "pressure running", "pressure at shut-off",
    "no way round the barrier", "no way back", "prime is kept", "no draining back", "suction velocity",
    "delivery velocity",
}  # fmt: skip


def verdict_of(answer: Check) -> Verdict:
    """Return the gravest verdict of what concerns water on its way; weights, vents and frost have their own tests."""
    return worst([each.verdict for each in answer.findings if each.rule in HYDRAULICS])


def finding(answer: Check, rule: str, place: str) -> Finding:
    (one,) = [each for each in answer.findings if (each.rule, each.place) == (rule, place)]
    return one


def hose(name: str, length: float = 2.0, bore: float = 0.019, **more: Any) -> Hose:
    return Hose(
        name=name, length=length, bore=bore, **{"pressure_rating": 10 * BAR, "vacuum_rating": 0.8 * BAR, **more}
    )


def centrifugal(name: str = "pump", **more: Any) -> CentrifugalPump:
    given: dict[str, Any] = {
        "heads": ((0.0, 12.0), (20 * LITRE, 10.0), (40 * LITRE, 5.0)),
        "npsh_required": ((0.0, 1.5), (20 * LITRE, 2.0), (40 * LITRE, 3.5)),
        "pressure_rating": 6 * BAR,
    }
    return CentrifugalPump(name=name, **{**given, **more})


def membrane(**more: Any) -> Filter:
    given: dict[str, Any] = {
        "name": "membrane",
        "points": ((4 * LITRE, 10e3), (8 * LITRE, 20e3)),
        "points_temperature": 293.15,
        "medium": "membrane",
        "rated_flow": 12 * LITRE,
        "end_drop": ((8 * LITRE, 100e3),),
        "pressure_rating": 6 * BAR,
    }
    return Filter(**{**given, **more})
