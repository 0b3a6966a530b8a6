"""Where a course of filling or emptying stands, variant by variant."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.errors import NetworkError
from hydrokit.timeline.lacking import joints_of, lacking_now
from hydrokit.timeline.step import Situation, inflow_now

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.bounds import Array
    from hydrokit.network.ports import Index, Mask
    from hydrokit.network.storage import Storage

__all__ = ["ON_EVENT", "Run", "begin", "by_rows"]

ON_EVENT: Final = 1e-8
"""Share of a tank's volume within which it counts as having reached a mark."""
_FILM: Final = 1e-3
"""m; water above an upper outlet that fell dry at which it gives again, lest it open and shut without end."""
_NOTHING: Final = 1e-9
"""Share of the largest flow below which a tank neither gains nor loses."""
_NO_FLOW: Final = 1e-15
"""m³/s; the same where nothing flows."""


@dataclass(slots=True)
class Run:
    """Variants (n) still being followed: ``rows`` says which; tanks T, lines L, ports P.

    ``brimming`` tanks (n, T) are full and spill; ``dry`` ones stand at their lowest outlet; ``exposed`` ports (n, P)
    are out of the water and ``dried`` ones became so by losing it; ``turn`` (n,) is the place in the order of filling;
    ``there`` tanks have reached their goal, ``close`` ones the share ``nearly`` (T,) of it, and have
    reached it as well once their net inflow is under the share ``enough`` (T,) of ``most`` (n, T), the largest since;
    ``lacking`` joints (n, J) can no longer be given what they ask for, which ends the course of a variant;
    ``seconds`` (n,) the next step to try; ``guess`` all flows of the last solve, storage lines included, to start the next from.
    """

    storage: Storage
    fills: Mask
    order: Index
    nearly: Array
    enough: Array
    rows: Index
    goal: Array
    volume: Array
    time: Array
    seconds: Array
    flow: Array
    inflow: Array
    most: Array
    guess: Array
    brimming: Mask
    dry: Mask
    exposed: Mask
    dried: Mask
    close: Mask
    there: Mask
    lacking: Mask
    turn: Index

    def take(self, kept: Index) -> Run:
        """Return the state of some of the variants."""
        names = ("fills", "order", "nearly", "enough")
        shared: dict[str, Any] = {name: getattr(self, name) for name in names} | {"storage": self.storage.take(kept)}
        own = {item.name: getattr(self, item.name)[kept] for item in fields(self) if item.name not in shared}
        return Run(**shared, **own)

    @property
    def full(self) -> Array:
        """Each tank's volume when full, shape (n, T), m³."""
        return np.broadcast_to(self.storage.full, self.volume.shape)

    @property
    def slack(self) -> Array:
        """Volume within which a tank has reached a mark, shape (n, T), m³."""
        return ON_EVENT * self.full

    @property
    def passing(self) -> Array:
        """Return all that enters and leaves each tank, shape (n, T), m³/s."""
        throughput: Array = np.abs(self.flow) @ np.abs(self.storage.into)
        return throughput

    @property
    def largest(self) -> Array:
        """The largest flow of any line, for each tank, shape (n, T), m³/s."""
        largest: Array = np.abs(self.flow).max(axis=1, keepdims=True)
        return np.broadcast_to(largest, self.volume.shape)

    @property
    def ripple(self) -> Array:
        """Net inflow below which a tank counts as neither gaining nor losing, shape (n, T), m³/s."""
        return _NOTHING * self.largest + _NO_FLOW

    @property
    def net(self) -> Array:
        """What each tank gains, none while it brims, shape (n, T), m³/s."""
        return np.where(self.brimming, 0.0, self.inflow)

    def faint(self, inflow: Array) -> Mask:
        """Return which tanks (n, T) have reached their goal with a net inflow (n, T), for so little of the most is left."""
        limit = self.enough * self.most
        left: Mask = self.close & ~self.there & (limit > self.ripple) & (inflow < limit)
        return left

    def port_volume(self, *, film: bool = False) -> Array:
        """Return the volume (n, P) in a port's tank when the water stands at it; above it where it had fallen dry."""
        ports = self.storage.ports
        depth = ports.depth + (np.where(self.dried, _FILM, 0.0) if film else 0.0)
        volume: Array = np.broadcast_to(depth * self.storage.area[:, ports.tank], self.exposed.shape)
        return volume

    def feels_no_level(self) -> bool:
        """Whether no flow depends on any level, so that all flows stay as they are."""
        floats = self.storage.floats
        level = (self.volume + self.slack) / self.storage.area
        return bool(self.exposed.all() and (level[:, floats.tank] <= floats.shut_level - floats.band).all())

    def passes_on(self) -> Mask:
        """Return in which variants (n,) a tank at its lowest outlet passes on what arrives."""
        return np.asarray((self.dry & (self.passing > self.ripple)).any(axis=1))

    def situation(self) -> Situation:
        """Return what holds for the next step."""
        shut = np.zeros(self.flow.shape, np.bool_)
        for place, tank in enumerate(self.order):
            shut |= (self.turn[:, None] != place) & self.fills[:, tank]
        return Situation(shut, self.brimming, self.dry, self.exposed)

    def refresh(self) -> None:
        """Take flows afresh after something opened or shut; a full tank brims unless it loses water."""
        self.dry |= np.abs(self.volume - self.storage.lowest) <= self.slack
        self._see_what_lacks()
        self.guess, self.inflow, lacking = self._flows_at(self.volume)
        self._lacks(lacking)
        self.flow = self.guess[:, : self.storage.lines]
        self.brimming = (self.volume >= self.full - self.slack) & (self.inflow >= -self.ripple)
        self.most = np.where(self.close, np.maximum(self.most, self.inflow), 0.0)

    def _flows_at(self, volume: Array) -> tuple[Array, Array, Mask]:
        """Return all flows, storage lines included, and the net inflow (n, T) were the tanks to hold other volumes.

        As they were in variants in which a joint lacks water. The third result, (n, J), says which would.
        """
        guess, inflow, lacking = self.guess.copy(), self.inflow.copy(), np.zeros_like(self.lacking)
        rows = np.flatnonzero(~self.lacking.any(axis=1))
        if rows.size:
            some = self.take(rows)
            some.volume = volume[rows]
            (guess[rows], inflow[rows]), lacking[rows] = by_rows(_flows_of, _flows_before, some)
        return guess, inflow, lacking

    def _see_what_lacks(self) -> None:
        """Note the joints that get less than they ask for now that tanks are dry or outlets bare."""
        ports = self.storage.ports
        bare = self.dry.any(axis=1) | (self.exposed & ~ports.ends).any(axis=1)
        rows = np.flatnonzero(bare & self.storage.plan.ends.demand.any(axis=1))
        if not rows.size:
            return
        some = self.take(rows)
        lacking, self.guess[rows] = lacking_now(some.storage, some.situation(), some.volume, some.guess)
        found = np.zeros_like(self.lacking)
        found[rows] = lacking
        self._lacks(found)

    def _lacks(self, joints: Mask) -> None:
        """Note joints (n, J) that lack water; where nothing has been solved yet no flows are known."""
        self.lacking |= joints
        unsolved = joints.any(axis=1) & (self.time <= 0.0)
        self.guess[unsolved], self.inflow[unsolved] = 0.0, 0.0

    def inflow_at(self, volume: Array) -> Array:
        """Return the net inflow (n, T) were the tanks to hold other volumes, no tank brimming but those that do."""
        inflow = self._flows_at(volume)[1]
        return np.where(self.brimming, self.inflow, inflow)

    def advance_turn(self) -> None:
        """Go on to the next tank in the order where the one whose turn it is has reached its goal."""
        for place, tank in enumerate(self.order):
            self.turn = np.where((self.turn == place) & self.there[:, tank], place + 1, self.turn)


def _named_in(error: NetworkError, storage: Storage) -> Mask:
    """Return the joints (J,) that an error says cannot be given what they ask for."""
    places = {mistake.place for mistake in error.mistakes}
    return np.array([f"joints.{name}.demand" in places for name in storage.plan.layout.joints[: joints_of(storage)]])


def by_rows(
    solve: Callable[[Run], tuple[Array, ...]], otherwise: Callable[[Run], tuple[Array, ...]], now: Run
) -> tuple[tuple[Array, ...], Mask]:
    """Return what is solved for all variants (n) together, and joints (n, J) for whose lack of water it could not be.

    Then each is solved by itself, and has what it has ``otherwise``. An error of a variant without a dry tank or a bare
    outlet is the rig's, and raised.
    """
    try:
        return solve(now), np.zeros((len(now.rows), joints_of(now.storage)), np.bool_)
    except NetworkError as error:
        if len(now.rows) == 1:
            lacking = _named_in(error, now.storage)
            if not (lacking.any() and (now.dry.any() or now.exposed.any())):
                raise
            return otherwise(now), lacking[None, :]
    alone = [by_rows(solve, otherwise, now.take(row)) for row in np.arange(len(now.rows))[:, None]]
    parts = zip(*(found for found, _ in alone), strict=True)
    return tuple(np.concatenate(part) for part in parts), np.concatenate([lacking for _, lacking in alone])


def _flows_of(now: Run) -> tuple[Array, ...]:
    return inflow_now(now.storage, now.situation(), now.volume, now.guess)


def _flows_before(now: Run) -> tuple[Array, ...]:
    return now.guess, now.inflow


def begin(storage: Storage, goal: Array, order: tuple[int, ...], fills: Mask, nearly: Array, enough: Array) -> Run:
    """Return the state at the start of a course; the arguments are as in ``Run``, the order as indices of tanks."""
    count, shape = storage.plan.variants, (storage.plan.variants, len(storage.tanks))
    volume = np.array(np.broadcast_to(storage.start_level * storage.area, shape))
    guess = np.array(np.broadcast_to(storage.plan.ends.nominal, (count, len(storage.plan.layout.lines))))
    ports = storage.ports
    height = np.broadcast_to(ports.depth, (count, len(ports.line)))
    reach = np.broadcast_to(storage.depth, shape)[:, ports.tank]
    level = np.broadcast_to(volume / storage.area, shape)[:, ports.tank]
    now = Run(
        storage=storage,
        fills=fills,
        order=np.array(order, np.intp),
        nearly=nearly,
        enough=enough,
        rows=np.arange(count),
        goal=np.array(np.broadcast_to(goal, shape)),
        volume=volume,
        time=np.zeros(count),
        seconds=np.zeros(count),
        flow=guess[:, : storage.lines],
        inflow=np.zeros(shape),
        most=np.zeros(shape),
        guess=guess,
        brimming=np.zeros(shape, np.bool_),
        dry=np.zeros(shape, np.bool_),
        exposed=(height >= reach) | (level < height * (1.0 - ON_EVENT)),
        dried=np.zeros(height.shape, np.bool_),
        close=np.zeros(shape, np.bool_),
        there=np.zeros(shape, np.bool_),
        lacking=np.zeros((count, joints_of(storage)), np.bool_),
        turn=np.zeros(count, np.intp),
    )
    now.close = np.isfinite(now.goal) & (nearly >= 0.0) & (volume >= nearly * now.goal - now.slack)
    now.there = np.abs(volume - now.goal) <= now.slack
    now.advance_turn()
    return now
