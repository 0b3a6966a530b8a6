"""How many examples a property is tried on: few in the ordinary run, fifty times as many where ``SOAK`` is set."""

from __future__ import annotations

import os

from hypothesis import settings

__all__ = ["effort"]


def effort(examples: int) -> settings:
    """Return settings for so many examples; without a deadline, for the first ones import libraries."""
    return settings(deadline=None, max_examples=examples * (50 if os.environ.get("SOAK") else 1))
