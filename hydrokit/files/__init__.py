"""Rig file in and out, schema, starter and demonstration rigs."""

from __future__ import annotations

from hydrokit.files.reading import load_rig, read_rig
from hydrokit.files.samples import demonstration, demonstration_text, hand_check, starter

__all__ = ["demonstration", "demonstration_text", "hand_check", "load_rig", "read_rig", "starter"]
