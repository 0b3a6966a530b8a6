"""One rig as pure data: model, addresses of its values, edits that return a new rig."""

from __future__ import annotations

from hydrokit.rig.addresses import owners, replaced, spec_at, value_at, values_of
from hydrokit.rig.model import AS_DRAWN, Line, Mode, Rig, Site

__all__ = ["AS_DRAWN", "Line", "Mode", "Rig", "Site", "owners", "replaced", "spec_at", "value_at", "values_of"]
