"""The law of a line: head lost along it, and the slope, at a flow of either sign.

Every line's loss rises with its flow: friction, fittings and filters rise, a pump's gain falls. That is what makes
the network a convex problem with one answer.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from hydrokit.laws.friction import fixed_group, friction_group
from hydrokit.network.slip import tight_gains, worn_gains
from hydrokit.network.tolerances import FLATTEST

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.network.plan import Hoses, Losses, Plan, Pumps

__all__ = ["hose_losses", "line_loss", "pump_gains", "square_losses", "starting_flow"]


def hose_losses(hoses: Hoses, flow: Array) -> tuple[Array, Array]:
    """Return friction head and slope of each hose, shape (n, P), for the unsigned flow of each, shape (n, P)."""
    number = flow * hoses.reynolds_per_flow
    if hoses.fixed_factor.size:
        stated = ~np.isnan(hoses.fixed_factor[0])
        if stated.all():
            group, slope = fixed_group(number, hoses.fixed_factor)
        else:
            group, slope = np.empty_like(number), np.empty_like(number)
            rough = np.broadcast_to(hoses.relative_roughness, number.shape)
            group[:, ~stated], slope[:, ~stated] = friction_group(number[:, ~stated], rough[:, ~stated])
            group[:, stated], slope[:, stated] = fixed_group(number[:, stated], hoses.fixed_factor[:, stated])
    else:
        rough = hoses.relative_roughness
        group, slope = friction_group(
            number, rough if len(rough) == len(number) else np.broadcast_to(rough, number.shape)
        )
    return group * hoses.head_per_group, slope * hoses.reynolds_per_flow * hoses.head_per_group


def square_losses(losses: Losses, flow: Array) -> tuple[Array, Array]:
    """Return signed head and slope of the losses that go with flow and flow squared, for signed flow."""
    speed = np.abs(flow)
    square = np.where(flow >= 0.0, losses.square_forward, losses.square_backward)
    moving = speed > losses.rest_flow
    head = flow * (losses.linear + square * np.maximum(speed, losses.rest_flow))
    slope = losses.linear + square * np.where(moving, 2.0 * speed, losses.rest_flow)
    return head, slope


def pump_gains(pumps: Pumps, flow: Array) -> tuple[Array, Array]:
    """Return the head each running pump adds and its slope, shape (n, U), for its flow, shape (n, U)."""
    return tight_gains(pumps, flow) if pumps.slip is None else worn_gains(pumps, flow)


def _add(total: Array, part: Hoses | Pumps, values: Array) -> None:
    """Add what each hose or pump contributes to its line, in place."""
    alone = part.begins.size == part.line.size
    summed = values if alone else np.add.reduceat(values, part.begins, axis=1)
    if part.lines.size == total.shape[1]:
        total += summed
    else:
        total[:, part.lines] += summed


def line_loss(plan: Plan, flow: Array, flattest: float = FLATTEST) -> tuple[Array, Array]:
    """Return head lost from start to end of each line and its slope against flow, both shape (n, L).

    Parameters
    ----------
    plan : Plan
        Of n variants.
    flow : array, shape (n, L)
        Positive from start to end. [m^3/s]
    flattest : float
        Slope that is returned where a line's own is less. [s/m^2]
    """
    head, slope = square_losses(plan.losses, flow)
    head = head + plan.losses.cracking
    hoses = plan.rubbing
    if hoses.line.size:
        carried = flow[:, hoses.line]
        friction, steepness = hose_losses(hoses, np.abs(carried))
        _add(head, hoses, np.copysign(friction, carried))
        _add(slope, hoses, steepness)
    if plan.pumps is not None:
        rise, fall = pump_gains(plan.pumps, flow[:, plan.pumps.line])
        _add(head, plan.pumps, -rise)
        _add(slope, plan.pumps, -fall)
    return head, np.maximum(slope, flattest)


def starting_flow(plan: Plan) -> Array:
    """Return the flows that the search starts from, shape (n, L): a plain guess, within bounds."""
    ends = plan.ends
    flow: Array = np.minimum(np.maximum(ends.nominal, ends.low), ends.high)
    return np.array(np.broadcast_to(flow, (plan.variants, len(plan.layout.lines))))
