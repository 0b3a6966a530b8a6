"""What counts as settled, as rounding and as rest in the search for flows and heads."""

from __future__ import annotations

from typing import Final

__all__ = [
    "ACCEPTED",
    "CUTS",
    "DRIFT",
    "EASED",
    "EPS",
    "FLATTEST",
    "HELD",
    "LEAST_ROOT",
    "LEAST_SLOPE",
    "LETTING_GO",
    "NOISE",
    "ROUNDING",
    "ROUNDS",
    "SMALLEST_HEAD",
    "STANDSTILL",
    "TRAPPED",
    "WANTED",
]  # fmt: skip

WANTED: Final = 1e-11
"""Relative residual at which a variant is finished."""
ACCEPTED: Final = 1e-9
"""Relative residual that is accepted where rounding allows no better."""
CUTS: Final = 40
ROUNDS: Final = 12
LETTING_GO: Final = 3
"""How often a line may be let go before the rest has settled; then only once it has, so that the search must end."""
HELD: Final = 1e-12
DRIFT: Final = 1e-8
"""Share of the largest flow by which a line may still change; tells more than energy does in a short wide line."""
ROUNDING: Final = 1e-13
"""Share of the largest flow by which rounding may pass a bound, or differ from rest; else a line into a dead end is let go for
ever."""
EPS: Final = 1e-15
"""Share of the heads in play that is lost in their rounding; through an easy line it is a flow that means nothing."""
NOISE: Final = 1e-13
"""Share of the heads in play below which a climb is rounding, not a climb."""
SMALLEST_HEAD: Final = 1e-3
"""Head, in m, that residuals of energy are measured against where nothing larger is at work."""
STANDSTILL: Final = 1e-10
"""Flow, in m³/s, that residuals of mass are measured against where nothing larger is at work: 6 µL/min. Where no line carries
more, the water stands still, and all flows are 0 in the answer, if that satisfies mass as well as is wanted and energy within
the rounding of the heads."""
FLATTEST: Final = 1e-5
"""Smallest slope used, in s/m². A line with less settles in a step or two more; without it a line that has no resistance at
all would drown the flows of narrow ones in the rounding of the heads."""
LEAST_ROOT: Final = 1e-9
"""Share of the supply's voltage below which the root of a discriminant is rounding: the pump hardly turns."""
EASED: Final = 1e-4
"""Share of the median slope of a rig's lines that a search which has taken long uses at least."""
LEAST_SLOPE: Final = 1e-15
"""Smallest slope that it uses where no line has any, in s/m²."""
TRAPPED: Final = 1e4
"""Head across a held line, over that at work in the rig, that only water without a way out can raise: the line is let go at
once."""
