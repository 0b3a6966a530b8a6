"""A second opinion on flows and heads, by a method and by code that share nothing with the network's solver."""

from __future__ import annotations

from hydrokit.verifying.again import Again, solved_again
from hydrokit.verifying.lines import LineLaw, line_laws

__all__ = ["Again", "LineLaw", "line_laws", "solved_again"]
