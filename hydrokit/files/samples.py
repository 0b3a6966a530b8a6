"""Rigs that come with hydrokit, all their data invented: a starter to edit, the demonstration, a sum done by hand."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

from hydrokit.files.reading import read_rig

if TYPE_CHECKING:
    from hydrokit.rig import Rig

__all__ = ["demonstration", "demonstration_text", "hand_check", "starter"]

_DATA: Final = Path(__file__).with_name("data")


def _text(name: str) -> str:
    return (_DATA / f"{name}.toml").read_text(encoding="utf-8")


def starter() -> str:
    """Return the text of a small, complete rig file with every line explained."""
    return _text("starter")


def demonstration_text() -> str:
    """Return the rig file of the mill-pond trailer, all its data invented."""
    return _text("mill-pond-trailer")


@cache
def demonstration() -> Rig:
    """Return the mill-pond trailer: twin tanks filled from a pond through filters, and a tap; all data invented.

    Returns
    -------
    Rig
        The same object each time; it cannot be changed.

    Examples
    --------
    >>> demonstration().mode_names()
    ('filling', 'tap')
    """
    return read_rig(demonstration_text(), place="the demonstration rig")


@cache
def hand_check() -> Rig:
    """Return a rig of one line whose answer can be worked out by hand; all data invented."""
    return read_rig(_text("hand-check"), place="the hand check")
