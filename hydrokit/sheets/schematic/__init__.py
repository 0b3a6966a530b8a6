"""The drawing of a rig, from source to tap, with heights to scale: one SVG, in black and white.

Files: ``trails`` puts the lines one behind the other, ``items`` says what is drawn along them and what stands beside it,
``placing`` finds room for it, ``layout`` draws a row with ``shapes``, ``labels`` holds texts, ``svg`` the few elements
used; ``front`` puts it all together.
"""

from __future__ import annotations

from hydrokit.sheets.schematic.front import check_destination, rig_drawing, save_drawing

__all__ = ["check_destination", "rig_drawing", "save_drawing"]
