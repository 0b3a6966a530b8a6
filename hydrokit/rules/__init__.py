"""Rules: one subject a file, and the one registry of them all."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from hydrokit.answers import Verdict
from hydrokit.rules.apart import RAW_APART, TREATED_APART
from hydrokit.rules.arrival import ARRIVES
from hydrokit.rules.charging import COLD_CHARGING
from hydrokit.rules.frost import FROST
from hydrokit.rules.gaps import AIR_GAP
from hydrokit.rules.lasting import FILTER_LIFE
from hydrokit.rules.pressure import RUNNING_PRESSURE, SHUT_OFF_PRESSURE
from hydrokit.rules.priming import DRY_RUNNING, HOLDS_PRIME, PRIMES
from hydrokit.rules.pumping import STEADY_SWITCH, WORKING_RANGE
from hydrokit.rules.reductions import LOG_REDUCTION
from hydrokit.rules.rule import Measure, Missing, Rule, findings_of
from hydrokit.rules.shutting import DEAD_HEAD, RELIEF
from hydrokit.rules.stages import STAGE_ORDER
from hydrokit.rules.standing import NO_DRAIN_BACK, STOPS
from hydrokit.rules.starting import STARTS
from hydrokit.rules.state import State
from hydrokit.rules.suction import HOSE_VACUUM, NPSH, PUMP_VACUUM, WHOLE_WATER
from hydrokit.rules.supply import BATTERY_CHARGE, BROWN_OUT, FUSE, VOLTAGE_DROP
from hydrokit.rules.surging import SURGE
from hydrokit.rules.treatment import CHLORINE_CONTACT, CLOUDINESS, LAMP_AGE, LAMP_CLARITY, MEDIA_CONTACT, RATED_FLOW
from hydrokit.rules.velocity import DELIVERY_VELOCITY, SUCTION_VELOCITY
from hydrokit.rules.venting import BLOCKED_VENT, OVERFLOW, VENT
from hydrokit.rules.weight import FRONT_SHARE, SLOSH, SUPPORT_LOAD, WHOLE_MASS

if TYPE_CHECKING:
    from hydrokit.answers import Finding
    from hydrokit.bounds import Array

__all__ = ["RULES", "Measure", "Missing", "Rule", "State", "judge", "margins"]

RULES: Final[tuple[Rule, ...]] = (
    ARRIVES,
    PRIMES,
    NPSH,
    WHOLE_WATER,
    PUMP_VACUUM,
    HOSE_VACUUM,
    STEADY_SWITCH,
    WORKING_RANGE,
    RATED_FLOW,
    FILTER_LIFE,
    RUNNING_PRESSURE,
    SHUT_OFF_PRESSURE,
    RELIEF,
    SURGE,
    STARTS,
    DEAD_HEAD,
    RAW_APART,
    TREATED_APART,
    AIR_GAP,
    HOLDS_PRIME,
    DRY_RUNNING,
    NO_DRAIN_BACK,
    STOPS,
    SUCTION_VELOCITY,
    DELIVERY_VELOCITY,
    BROWN_OUT,
    VOLTAGE_DROP,
    FUSE,
    BATTERY_CHARGE,
    COLD_CHARGING,
    SUPPORT_LOAD,
    WHOLE_MASS,
    FRONT_SHARE,
    SLOSH,
    VENT,
    OVERFLOW,
    BLOCKED_VENT,
    FROST,
    STAGE_ORDER,
    CLOUDINESS,
    MEDIA_CONTACT,
    LAMP_CLARITY,
    LAMP_AGE,
    CHLORINE_CONTACT,
    LOG_REDUCTION,
)

_GRAVEST_FIRST: Final = (Verdict.FAILS, Verdict.CLOSE, Verdict.UNKNOWN, Verdict.HOLDS)


def judge(state: State, row: int = 0) -> tuple[Finding, ...]:
    """Return what every rule finds in one variant, gravest first, else in the order of the registry."""
    found = [finding for rule in RULES for finding in findings_of(rule, state, row)]
    return tuple(sorted(found, key=lambda finding: _GRAVEST_FIRST.index(finding.verdict)))


def margins(state: State) -> dict[tuple[str, str], Array]:
    """Return the margin of every rule that can fail at every place it could judge, by (rule, place), shape (n,).

    NaN where it could not judge a variant, or has nothing to say of it.
    """
    return {
        (rule.name, measure.place): measure.margin
        for rule in RULES
        if not rule.advisory
        for measure in rule.measure(state)
        if isinstance(measure, Measure)
    }
