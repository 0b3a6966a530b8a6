"""Exit codes; scripts rely on them."""

from __future__ import annotations

from typing import Final

__all__ = ["FAILS", "FAULT", "HOLDS", "INTERRUPTED", "WRONG_INPUT"]

HOLDS: Final = 0
"""All findings hold, are close or not known; or the command does not judge."""
FAILS: Final = 1
"""A finding fails."""
WRONG_INPUT: Final = 2
"""The input is wrong, an extra is missing, or a file cannot be written; nothing was written."""
FAULT: Final = 3
"""No answer was reached, or hydrokit itself is at fault."""
INTERRUPTED: Final = 130
"""Stopped from the keyboard."""
