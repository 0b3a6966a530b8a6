"""What a report tells: the answers of the studies that concern the rig, each asked once."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from hydrokit.errors import InputError, SolverError
from hydrokit.rig import in_force
from hydrokit.studies import check, draw, fill, lift, wear

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from hydrokit.rig import Rig
    from hydrokit.studies import Check, Draw, Fill, Lift, Wear

__all__ = ["Gathered", "gathered"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Gathered:
    """The rig with the values in force, its check, and the further answers that it has; None where a question does not arise.

    ``unanswered`` says of a question that arose why no answer was reached.
    """

    rig: Rig
    changed: Mapping[str, float]
    check: Check
    lift: Lift | None = None
    fill: Fill | None = None
    draw: Draw | None = None
    wear: Wear | None = None
    unanswered: Mapping[str, str] = field(default_factory=dict)


def _lifts(answer: Check) -> bool:
    """Return whether some pump stands beside water that it draws."""
    return any(duty.static_lift is not None for duty in answer.duties)


def gathered(
    rig: Rig,
    mode: str | None = None,
    changed: Mapping[str, float] | None = None,
    progress: Callable[[float], None] | None = None,
    *,
    system: str = "metric",
) -> Gathered:
    """Return the answers that a report tells.

    Parameters
    ----------
    rig : Rig
    mode : str, optional
        Name of a mode; else the rig's first is checked, and filling and drawing take the first that fills and that draws.
    changed : mapping of address to float, optional
        Values that stand in front of the rig's own, SI.
    progress : callable, optional
        Told the share done, 0 to 1.
    system : {"metric", "US", "imperial"}
        In whose units what is varied is round.

    Raises
    ------
    InputError
        If a mode or an address is unknown, or a value is not possible.
    SolverError
        If the network does not settle.
    """
    tell = progress or (lambda _share: None)
    held = dict(changed or {})
    checked = check(rig, mode, changed=held, curves=True)
    tell(0.3)
    unanswered: dict[str, str] = {}

    def asked(study: Callable[..., Any], told: Callable[[Any], bool], **more: Any) -> Any:
        try:
            answer = study(rig, mode, changed=held, **more)
        except InputError:  # what was given has been checked: the question does not arise
            return None
        except SolverError as error:
            unanswered[study.__name__] = str(error)
            return None
        return answer if told(answer) else None

    found: dict[str, Any] = {"lift": asked(lift, lambda _answer: True, system=system) if _lifts(checked) else None}
    tell(0.5)
    found["fill"] = asked(fill, lambda answer: any(tank.to_be_filled for tank in answer.tanks))
    tell(0.65)
    found["draw"] = asked(draw, lambda answer: bool(answer.outlets))
    tell(0.8)
    found["wear"] = asked(wear, lambda answer: bool(answer.filters))
    tell(1.0)
    return Gathered(rig=in_force(rig, mode, held), changed=held, check=checked, unanswered=unanswered, **found)
