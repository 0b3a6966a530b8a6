"""One rig as pure data: model, addresses of its values, edits that return a new rig."""

from __future__ import annotations

from hydrokit.rig.addresses import in_force, owners, replaced, spec_at, value_at, values_of
from hydrokit.rig.bench import GAUGES, Gauge, Reading
from hydrokit.rig.model import AS_DRAWN, SINGLES, Line, Mode, Rig, Site
from hydrokit.rig.soundness import ASIDE
from hydrokit.rig.targets import GERMS, TIERS, Germs, Targets, Tier

__all__ = [
    "ASIDE",
    "AS_DRAWN",
    "GAUGES",
    "GERMS",
    "SINGLES",
    "TIERS",
    "Gauge",
    "Germs",
    "Line",
    "Mode",
    "Reading",
    "Rig",
    "Site",
    "Targets",
    "Tier",
    "in_force",
    "owners",
    "replaced",
    "spec_at",
    "value_at",
    "values_of",
]
