"""Sheets: an answer made readable, as text and as pictures.

Files: ``page`` lays out headings, sentences and tables in a given width, ``places`` says addresses as people do,
``columns`` puts numbers under one unit, ``cautions`` what to print whatever the answer, ``text`` the front of it all;
``questions`` one sheet for each. ``pictures`` has the figures, ``schematic`` the drawing of a rig, ``pages`` the
report, ``lists`` the rules and the catalogue, ``mistakes`` what was wrong with the input.
"""

from __future__ import annotations

from hydrokit.sheets.cautions import cautions_for
from hydrokit.sheets.lists import catalogue_json, render_catalogue, render_part, render_rules, rules_json
from hydrokit.sheets.mistakes import render_mistake, render_mistakes
from hydrokit.sheets.pictures import plot
from hydrokit.sheets.text import render

__all__ = [
    "catalogue_json",
    "cautions_for",
    "plot",
    "render",
    "render_catalogue",
    "render_mistake",
    "render_mistakes",
    "render_part",
    "render_rules",
    "rules_json",
]
