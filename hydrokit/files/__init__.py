"""Rig file in and out, schema, starter and demonstration rigs."""

from __future__ import annotations

from hydrokit.files.bench_readings import ReadingsFile, load_readings, read_readings
from hydrokit.files.described import schema
from hydrokit.files.pump_lists import load_pumps, read_pumps
from hydrokit.files.reading import load_rig, read_rig
from hydrokit.files.samples import demonstration, demonstration_text, hand_check, starter
from hydrokit.files.saving import save_bytes, save_text
from hydrokit.files.writing import quantity_text, save_rig, write_rig

__all__ = [
    "ReadingsFile",
    "demonstration",
    "demonstration_text",
    "hand_check",
    "load_pumps",
    "load_readings",
    "load_rig",
    "quantity_text",
    "read_pumps",
    "read_readings",
    "read_rig",
    "save_bytes",
    "save_rig",
    "save_text",
    "schema",
    "starter",
    "write_rig",
]
