"""What each barrier and each end is credited with, as a row each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

import numpy as np

from hydrokit.bounds import Dimension, Spec
from hydrokit.rules.quality import quality_of
from hydrokit.rules.reductions import anything_claimed, credited_logs, judged_ends, wanted_logs

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.rules import State

__all__ = ["Credited", "credited_in"]

_LOGS = "log reduction"


@dataclass(frozen=True, slots=True, kw_only=True)
class Credited:
    """Log reductions of one barrier, of all barriers before one end, or those wanted; None where nothing is claimed.

    ``role`` is "barrier", "end" or "wanted"; ``struck_out`` says why a barrier's claim does not count, and then all of it
    is 0.
    """

    place: str
    role: str
    bacteria: Annotated[float | None, Spec(Dimension.NUMBER, f"{_LOGS} of bacteria that counts")]
    viruses: Annotated[float | None, Spec(Dimension.NUMBER, f"{_LOGS} of viruses that counts")]
    protozoa: Annotated[float | None, Spec(Dimension.NUMBER, f"{_LOGS} of protozoa that counts")]
    struck_out: tuple[str, ...] = ()


def _row(place: str, role: str, logs: Array, claimed: Array, struck: tuple[str, ...] = ()) -> Credited:
    bacteria, viruses, protozoa = (
        None if np.isnan(stated) else float(value) for value, stated in zip(logs, claimed, strict=True)
    )
    return Credited(place=place, role=role, bacteria=bacteria, viruses=viruses, protozoa=protozoa, struck_out=struck)


def credited_in(state: State, row: int = 0) -> tuple[Credited, ...]:
    """Return what counts at the moment of the highest flow in one variant; nothing where no barrier claims anything."""
    if not anything_claimed(state):
        return ()
    barriers = [
        _row(credit.place, "barrier", credit.counted[row], credit.claimed[row], tuple(credit.struck_by(row)))
        for credit in quality_of(state).credits.values()
        if not np.isnan(credit.claimed[row]).all()
    ]
    ends = judged_ends(state)
    if not ends:
        return ()
    for name in ends:
        address = f"{'tanks' if name in state.rig.tanks else 'outlets'}.{name}"
        logs = credited_logs(state, name)[row]
        barriers.append(_row(address, "end", logs, logs))
    wanted = wanted_logs(state)[row]
    return (*barriers, _row("targets", "wanted", wanted, wanted))
