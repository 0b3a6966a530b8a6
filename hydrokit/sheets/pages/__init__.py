"""The report of a rig: one HTML file for the workshop wall.

Files: ``gathering`` asks the studies, ``web`` takes what the sheets say as HTML, ``stated`` lists hoses, parts and data,
``style`` how it looks, ``front`` puts it all in order.
"""

from __future__ import annotations

from hydrokit.sheets.pages.front import report, written
from hydrokit.sheets.pages.gathering import Gathered, gathered

__all__ = ["Gathered", "gathered", "report", "written"]
