"""What somebody reads off a rig at the bench: bucket and watch, gauges, meters and the eye.

Each kind of reading states what is measured, in which dimension, and how far its usual gauge may be off: one standard
deviation, a share of the value or an amount. All of these defaults are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from hydrokit.arguments import check_kinds
from hydrokit.bounds import Dimension, Mistakes, Spec, require_word
from hydrokit.errors import RangeError

__all__ = ["GAUGES", "Gauge", "Reading"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """One way of measuring: what ``spec`` says may be read, and how far off it is where nobody says.

    ``at`` is where it is read: "end" (a tank or outlet), "pump", or "part" (before or after one).
    """

    name: str
    doc: str
    spec: Spec
    at: str
    share: float = 0.0
    amount: float = 0.0

    @property
    def spread_dimension(self) -> Dimension:
        """Of its uncertainty: a difference of pressures is neither gauge nor vacuum."""
        pressures = (Dimension.VACUUM, Dimension.GAUGE_PRESSURE)
        return Dimension.PRESSURE_DROP if self.spec.dimension in pressures else self.spec.dimension

    def uncertainty(self, value: float) -> float:
        """Return the usual standard deviation at a value, SI."""
        return max(self.share * abs(value), self.amount)


def _gauge(dimension: Dimension, low: float, high: float, doc: str, example: str) -> Spec:
    return Spec(dimension, doc, low=low, high=high, example=f'"{example}"')


GAUGES: Final[dict[str, Gauge]] = {
    "flow": Gauge(
        name="flow",
        doc="bucket and watch",
        spec=_gauge(Dimension.FLOW, 0.0, 10.0, "that arrives, by bucket and watch", "5.0 L/min"),
        at="end",
        share=0.03,
        amount=0.05 / 60_000.0,
    ),
    "vacuum": Gauge(
        name="vacuum",
        doc="vacuum gauge at the pump's inlet",
        spec=_gauge(Dimension.VACUUM, -1e7, 110_000.0, "at the pump's inlet, below the air pressure", "35 kPa"),
        at="pump",
        amount=1e3,
    ),
    "pressure": Gauge(
        name="pressure",
        doc="pressure gauge",
        spec=_gauge(Dimension.GAUGE_PRESSURE, -110_000.0, 1e8, "before or after a part", "1.2 bar"),
        at="part",
        amount=2e3,
    ),
    "dead_head": Gauge(
        name="dead-head pressure",
        doc="pressure gauge at the pump's outlet, everything behind it shut for a moment",
        spec=_gauge(Dimension.GAUGE_PRESSURE, -110_000.0, 1e8, "at the pump's outlet, shut", "2.6 bar"),
        at="pump",
        share=0.02,
        amount=5e3,
    ),
    "volts": Gauge(
        name="volts",
        doc="voltmeter at the motor's terminals, running",
        spec=_gauge(Dimension.VOLTAGE, 0.0, 1000.0, "at the motor, running", "11.4 V"),
        at="pump",
        amount=0.05,
    ),
    "battery_volts": Gauge(
        name="volts at the battery",
        doc="voltmeter at the battery's terminals, pump running",
        spec=_gauge(Dimension.VOLTAGE, 0.0, 1000.0, "at the battery, pump running", "12.3 V"),
        at="pump",
        amount=0.05,
    ),
    "amps": Gauge(
        name="amps",
        doc="clamp meter on the pump's cable",
        spec=_gauge(Dimension.CURRENT, 0.0, 1e4, "that the pump takes", "6.2 A"),
        at="pump",
        share=0.03,
        amount=0.1,
    ),
    "bubbles": Gauge(
        name="bubbles",
        doc="the eye, at a clear hose behind the pump",
        spec=Spec(Dimension.NUMBER, "bubbles in the water behind the pump: 1 seen, 0 none", low=0.0, high=1.0),
        at="pump",
        amount=0.25,
    ),
}
"""Every kind of reading, by its word. The word bubbles is written true or false in a file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One reading, SI.

    Parameters
    ----------
    kind : str
        A word of ``GAUGES``.
    value : float
        What was read; for bubbles 1 where they were seen, else 0.
    uncertainty : float, optional
        One standard deviation; that of the usual gauge where none is stated.
    at : str
        A tank or outlet for a flow, all of them together where none is named; a pump; or a part, by address or by its
        name where one part has it. For a pressure also "filters": before the first or after the last of them.
    side : {"", "before", "after"}
        Of the part, for a pressure.
    line : int
        Of the file it was read from, for messages.

    Examples
    --------
    >>> Reading(kind="vacuum", value=35e3).spread
    1000.0
    """

    kind: str
    value: float
    uncertainty: float | None = None
    at: str = ""
    side: str = ""
    line: int = field(default=0, compare=False)

    def __post_init__(self) -> None:
        check_kinds(self)
        require_word("kind", self.kind, GAUGES)
        mistakes = Mistakes()
        spec = GAUGES[self.kind].spec
        if not spec.low <= self.value <= spec.high:
            mistakes.add(self.kind, f"{self.value:g}", f"from {spec.low:g} to {spec.high:g} ({spec.doc})")
        if self.uncertainty is not None and not 0.0 < self.uncertainty < 1e9:
            mistakes.add(f"{self.kind}.uncertainty", f"{self.uncertainty:g}", "more than 0")
        if (self.side in ("before", "after")) != (self.kind == "pressure"):
            wanted = "before or after a part" if self.kind == "pressure" else "no side"
            mistakes.add(f"{self.kind}.side", repr(self.side), wanted)
        mistakes.settle(RangeError)

    @property
    def gauge(self) -> Gauge:
        """How it was measured."""
        return GAUGES[self.kind]

    @property
    def spread(self) -> float:
        """One standard deviation: as stated, else that of the usual gauge, SI."""
        return self.gauge.uncertainty(self.value) if self.uncertainty is None else self.uncertainty

    @property
    def name(self) -> str:
        """What messages call it: its word, and where it was read."""
        return " ".join(word for word in (self.kind, self.side, self.at) if word)
