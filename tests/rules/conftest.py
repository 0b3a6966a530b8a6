"""Small invented rigs, and what the rules find in them."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from hydrokit.network import solve
from hydrokit.parts import CentrifugalPump, DiaphragmPump, Filter, Hose
from hydrokit.rules import State, judge

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from hydrokit.answers import Finding
    from hydrokit.rig import Rig

    Judged = Callable[..., dict[tuple[str, str], Finding]]

LITRE = 1.0 / 60_000.0  # a litre a minute
BAR = 1e5


def state_of(rig: Rig, mode: str | None = None, changed: Mapping[str, Any] | None = None) -> State:
    return State(solve(rig, mode, changed))


@pytest.fixture(scope="session")
def state() -> Callable[..., State]:
    """Return the function that solves a rig for the rules to look at."""
    return state_of


@pytest.fixture(scope="session")
def found() -> Judged:
    """Return the function that gives what the rules find, by rule and place."""

    def look(
        rig: Rig, mode: str | None = None, changed: Mapping[str, Any] | None = None
    ) -> dict[tuple[str, str], Finding]:
        return {(finding.rule, finding.place): finding for finding in judge(state_of(rig, mode, changed))}

    return look


@pytest.fixture(scope="session")
def hose() -> Callable[..., Hose]:
    """Return the function that makes a hose with ratings."""

    def make(name: str = "", length: float = 2.0, bore: float = 0.019, **more: Any) -> Hose:
        given: dict[str, Any] = {"pressure_rating": 10.0 * BAR, "vacuum_rating": 0.8 * BAR}
        return Hose(name=name, length=length, bore=bore, **{**given, **more})

    return make


@pytest.fixture(scope="session")
def centrifugal() -> Callable[..., CentrifugalPump]:
    """Return the function that makes a centrifugal pump: 12 m at no flow, 40 L/min at 5 m; NPSH required 1.5 to 3.5 m."""

    def make(name: str = "pump", **more: Any) -> CentrifugalPump:
        given: dict[str, Any] = {
            "heads": ((0.0, 12.0), (20.0 * LITRE, 10.0), (40.0 * LITRE, 5.0)),
            "npsh_required": ((0.0, 1.5), (20.0 * LITRE, 2.0), (40.0 * LITRE, 3.5)),
            "pressure_rating": 6.0 * BAR,
        }
        return CentrifugalPump(name=name, **{**given, **more})

    return make


@pytest.fixture(scope="session")
def diaphragm() -> Callable[..., DiaphragmPump]:
    """Return the function that makes a diaphragm pump: 11.3 L/min open, 5.3 L/min at 2.8 bar, where it cuts out."""

    def make(name: str = "pump", **more: Any) -> DiaphragmPump:
        given: dict[str, Any] = {
            "points": ((5.3 * LITRE, 2.8 * BAR), (11.3 * LITRE, 0.0)),
            "cut_in": 1.9 * BAR,
            "cut_out": 2.8 * BAR,
            "dry_lift": 2.4,
            "vacuum_rating": 0.45 * BAR,
            "pressure_rating": 7.0 * BAR,
        }
        return DiaphragmPump(name=name, **{**given, **more})

    return make


@pytest.fixture(scope="session")
def membrane() -> Callable[..., Filter]:
    """Return the function that makes a membrane of 60 kPa at 8 L/min, wholly viscous."""

    def make(name: str = "membrane", **more: Any) -> Filter:
        given: dict[str, Any] = {
            "points": ((4.0 * LITRE, 30e3), (8.0 * LITRE, 60e3)),
            "points_temperature": 293.15,
            "medium": "membrane",
            "rated_flow": 12.0 * LITRE,
            "pressure_rating": 6.0 * BAR,
        }
        return Filter(name=name, **{**given, **more})

    return make


@pytest.fixture(scope="session")
def swapped() -> Callable[..., Rig]:
    """Return the function that puts other fields into one part of a rig, by its label."""

    def swap(rig: Rig, label: str, **fields: Any) -> Rig:
        lines = {
            name: replace(
                line,
                parts=tuple(
                    replace(part, **fields) if own == label else part
                    for own, part in zip(line.labels(), line.parts, strict=True)
                ),
            )
            for name, line in rig.lines.items()
        }
        return replace(rig, lines=lines)

    return swap
