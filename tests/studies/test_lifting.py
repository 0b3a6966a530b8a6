from __future__ import annotations

import json
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hydrokit.answers import Verdict
from hydrokit.bounds import Dimension
from hydrokit.catalogue import hose_bores
from hydrokit.errors import InputError, RangeError
from hydrokit.files import demonstration
from hydrokit.network import solve
from hydrokit.parts import DiaphragmPump, Hose, Outlet, Source, Tank
from hydrokit.rig import Line, Rig, Site, replaced
from hydrokit.rules import State, judge
from hydrokit.rules.allowed import allowed_flow
from hydrokit.studies import check, lift
from hydrokit.studies.lifting import lifted
from hydrokit.studies.suction.drawn import drawn_water
from hydrokit.studies.suction.lift_limits import searched
from hydrokit.units import si

LIFTED = ("demonstration", "hand check", "centrifugal", "hand pump", "looped", "quarantine", "balanced", "high", "wide")
LPM = 1.0 / 60_000.0
quick = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def _moved(rig, answer, surface: float) -> dict[str, float]:
    """Return the values that put the water at another height, a tank going up or down as a whole."""
    name = answer.water.partition(".")[2]
    if isinstance(rig.ends()[name], Source):
        return {f"sources.{name}.surface": surface}
    tank = rig.tanks[name]
    down = answer.surface - surface
    return {
        f"tanks.{name}.{field}": getattr(tank, field) - down
        for field in ("floor", "inlet_height", "outlet_height")
        if getattr(tank, field) is not None
    }


def _held_by_check(rig, answer, limit, height: float, wanted: float | None = None) -> bool:
    """Return whether the findings of a plain check, at one height of the water, keep a limit."""
    state = State(solve(rig, answer.mode, _moved(rig, answer, answer.pump_height - height)))
    if limit.limit == "enough flow":
        pump = next(index for index in state.running if state.plan.elements[index].address == answer.pump)
        flow = min(float(allowed_flow(state, pump)[0]), float(state.flow_at(pump)[0]))
        return flow > 1e-9 if wanted is None else flow >= wanted * (1.0 - 1e-9)
    places = set(limit.place.split(", "))
    found = [item for item in judge(state) if item.rule == limit.limit and places & set(item.place.split(", "))]
    if limit.limit == "pump primes":
        return all(item.value is None or item.value <= item.limit for item in found)
    if limit.limit == "NPSH in hand":
        return all(item.verdict is Verdict.HOLDS for item in found)
    return all(item.verdict is not Verdict.FAILS for item in found)


@pytest.fixture(scope="session")
def answers(ten_rigs):
    @cache
    def of(name: str, wanted: float | None = None):
        return lift(ten_rigs[name], wanted_flow=wanted)

    return of


@pytest.mark.slow
@pytest.mark.parametrize("name", LIFTED)
def test_limits_are_where_plain_findings_begin_to_fail(ten_rigs, answers, name: str) -> None:
    rig, answer = ten_rigs[name], answers(name)
    tried = 0
    for limit in answer.limits:
        if limit.reach != "found" or limit.limit == "hose reaches the water":
            continue
        # suction that allows a pump less than a thousandth of its duty counts as nothing: that bears on some flow at all
        close = 2e-6 if limit.limit != "enough flow" else 2e-3
        for apart in (0.05, 0.005, close):
            assert _held_by_check(rig, answer, limit, limit.lift - apart), (limit, apart)
            assert not _held_by_check(rig, answer, limit, limit.lift + apart), (limit, apart)
        tried += 1
    assert tried


@pytest.mark.slow
@pytest.mark.parametrize("name", LIFTED)
def test_the_lift_for_a_wanted_flow_is_the_one_that_halving_by_hand_finds(ten_rigs, answers, name: str) -> None:
    wanted = 0.9 * answers(name).flow
    answer = lift(ten_rigs[name], wanted_flow=wanted)
    limit = next(each for each in answer.limits if each.limit == "enough flow")
    assert limit.reach == "found"
    assert _held_by_check(ten_rigs[name], answer, limit, limit.lift - 2e-6, wanted)
    assert not _held_by_check(ten_rigs[name], answer, limit, limit.lift + 2e-6, wanted)


@pytest.mark.parametrize("name", LIFTED)
def test_the_limit_that_governs_is_the_least_that_binds(answers, name: str) -> None:
    answer = answers(name)
    found = {limit.limit: limit.lift for limit in answer.limits if limit.binds and limit.reach == "found"}
    assert answer.greatest_lift == min(found.values())
    assert found[answer.governs] == answer.greatest_lift
    assert answer.deepest_surface == pytest.approx(answer.pump_height - answer.greatest_lift)


@pytest.mark.parametrize("name", LIFTED)
def test_the_present_depth_is_as_check_finds_it(ten_rigs, answers, name: str) -> None:
    answer, plain = answers(name), check(ten_rigs[name])
    duty = next(duty for duty in plain.duties if duty.place == answer.pump)
    now = next(depth for depth in answer.depths if depth.is_now)
    assert now.full_pipe_flow == pytest.approx(duty.flow, rel=1e-9)
    assert now.flow == pytest.approx(min(duty.allowed_flow, duty.flow), rel=1e-9)
    assert answer.budget.npsh_available == pytest.approx(duty.npsh_available, rel=1e-9)


@pytest.mark.parametrize("name", LIFTED)
def test_the_depths_have_rows_at_both_sides_of_every_limit(answers, name: str) -> None:
    answer = answers(name)
    for limit in answer.limits:
        if limit.binds and limit.lift is not None:
            held = [depth for depth in answer.depths if depth.lift <= limit.lift]
            passed = [depth for depth in answer.depths if depth.lift > limit.lift]
            assert held[-1].lift == limit.lift
            assert passed[0].lift - limit.lift == pytest.approx(0.05) or passed[0].lift - limit.lift < 0.05
            assert limit.limit not in held[-1].fails
            assert limit.limit in passed[0].fails


def test_the_flow_is_seen_to_fall_away_where_water_breaks(answers) -> None:
    """Half of the flow is lost within a few decimetres behind the limit, and rows stand on both sides of that."""
    answer = answers("demonstration")
    whole = next(limit.lift for limit in answer.limits if limit.limit == "water stays whole")
    flows = [depth.flow / depth.full_pipe_flow for depth in answer.depths if whole <= depth.lift < whole + 0.5]
    assert flows[0] == pytest.approx(1.0, abs=1e-6)
    assert any(0.5 < flow < 0.95 for flow in flows)
    assert flows[-1] < 0.5


@pytest.mark.parametrize("name", LIFTED)
def test_the_budget_adds_up(answers, name: str) -> None:
    budget = answers(name).budget
    left = budget.air_head - budget.vapour_head - budget.lift - budget.friction_head
    assert budget.npsh_available == pytest.approx(left, abs=1e-12)
    if budget.npsh_required is not None:
        assert budget.margin == pytest.approx(budget.npsh_available - budget.npsh_required, abs=1e-12)


def test_limits_of_the_demonstration_by_a_plain_sum(answers) -> None:
    """The vacuum at the pump's inlet is height plus friction: 45 kPa of water of 9 °C are 4.59 m.

    Density 999.78 kg/m³ at 9 °C: CRC Handbook, from memory.
    """
    answer = answers("demonstration")
    limit = next(each for each in answer.limits if each.limit == "pump inlet vacuum")
    vacuum_head = 45e3 / (999.78 * 9.80665)
    assert vacuum_head - 0.3 < limit.lift < vacuum_head
    assert answer.governs == "pump inlet vacuum"


def test_a_valve_that_keeps_the_hose_full_takes_the_dry_lift_out_of_what_governs(ten_rigs, answers) -> None:
    primes = {name: next(each for each in answers(name).limits if each.limit == "pump primes") for name in LIFTED}
    assert not primes["demonstration"].binds
    assert primes["high"].binds
    assert answers("high").governs == "pump primes"


@pytest.mark.parametrize("name", LIFTED)
def test_higher_sites_never_lift_higher(answers, name: str) -> None:
    rows = [shift for shift in answers(name).shifts if shift.varied == "altitude"]
    lifts = [np.inf if shift.greatest_lift is None else shift.greatest_lift for shift in rows]
    assert len(lifts) == 4
    assert all(later <= earlier + 1e-6 for earlier, later in pairwise(lifts))


@pytest.mark.slow
@pytest.mark.parametrize("name", LIFTED)
def test_every_shift_is_the_lift_of_the_rig_so_changed(ten_rigs, answers, name: str) -> None:
    answer, rig = answers(name), ten_rigs[name]
    drawn = drawn_water(rig)
    hose = drawn.hoses()
    for shift in answer.shifts[1:]:
        changed = {
            "altitude": {"site.altitude": shift.altitude},
            "water temperature": {"site.water_temperature": shift.water_temperature},
            "suction bore": {f"{each}.bore": shift.suction_bore for each in hose},
            "suction length": {f"{each}.length": shift.suction_length / len(hose) for each in hose},
            "pump position": {f"{answer.pump}.height": shift.pump_height},
        }[shift.varied]
        alone = drawn_water(replaced(rig, changed))
        governs, greatest = searched(alone, {}, np.array([alone.pump_height]), None).governing(0)
        assert greatest == pytest.approx(shift.greatest_lift, abs=2e-6)
        assert governs == shift.governs
        assert float(lifted(alone, alone.state)[0]) == pytest.approx(shift.flow, rel=1e-6)


@quick
@given(name=st.sampled_from(LIFTED), shallow=st.floats(-4.0, 9.0), deeper=st.floats(0.0, 5.0))
def test_deeper_water_never_gives_more_flow(ten_rigs, name: str, shallow: float, deeper: float) -> None:
    drawn = drawn_water(ten_rigs[name])
    lifts = np.array([shallow, shallow + deeper])
    state = drawn.solved({}, np.zeros(2, np.intp), drawn.pump_height - lifts)
    for flow in (lifted(drawn, state), state.flow_at(drawn.pump_in(state))):
        assert flow[1] <= flow[0] * (1.0 + 1e-7) + 1e-12


def test_units_never_change_an_answer(ten_rigs) -> None:
    rig = ten_rigs["centrifugal"]
    metric, american = si("60 L/min", Dimension.FLOW), si("15.850323141489 US gpm", Dimension.FLOW)
    one, other = lift(rig, wanted_flow=metric), lift(rig, wanted_flow=american)
    assert one.greatest_lift == pytest.approx(other.greatest_lift, abs=1e-6)
    assert one.governs == other.governs


def test_the_flow_wanted_is_judged(ten_rigs, answers) -> None:
    flow = answers("demonstration").flow
    enough, too_much = (lift(ten_rigs["demonstration"], wanted_flow=share * flow) for share in (0.5, 1.5))
    assert enough.findings[-1].rule == "enough flow"
    assert enough.findings[-1].verdict is Verdict.HOLDS
    assert too_much.findings[0].rule == "enough flow"
    assert too_much.verdict is Verdict.FAILS


def test_what_cannot_be_judged_is_told(answers) -> None:
    answer = answers("hand check")
    unknown = {limit.limit for limit in answer.limits if limit.reach == "not known"}
    assert unknown == {"pump primes", "NPSH in hand", "pump inlet vacuum", "hose keeps its shape"}
    assert all(limit.lift is None for limit in answer.limits if limit.reach == "not known")
    assert "pump primes at lines.intake.pump" in answer.trust.unknown


def test_a_rig_without_a_pump_is_refused(ten_rigs) -> None:
    with pytest.raises(InputError, match="a pump that runs in mode as drawn"):
        lift(ten_rigs["gravity"])


def test_a_pump_that_does_not_run_is_refused_with_those_that_do(ten_rigs) -> None:
    with pytest.raises(InputError, match=r"one of the pumps that run: lines\.intake\.lift-pump"):
        lift(ten_rigs["demonstration"], pump="tap-pump")


def test_a_pump_goes_by_address_or_name(ten_rigs, answers) -> None:
    for word in ("lines.intake.lift-pump", "lift-pump"):
        assert lift(ten_rigs["demonstration"], pump=word).greatest_lift == answers("demonstration").greatest_lift


def test_an_impossible_flow_is_refused(ten_rigs) -> None:
    with pytest.raises(RangeError, match="wanted_flow"):
        lift(ten_rigs["demonstration"], wanted_flow=-1.0)


@pytest.mark.parametrize("density", [1.0, 2.0])
def test_a_light_liquid_is_lifted_in_as_many_looks_as_water(ten_rigs, density) -> None:
    # Hydrostatics: 45 kPa of vacuum, less some per cent of friction, lift p / (rho g).
    answer = lift(ten_rigs["demonstration"], changed={"site.density": density})
    (limit,) = (limit for limit in answer.limits if limit.limit == "pump inlet vacuum")
    assert limit.lift == pytest.approx(45e3 / (density * 9.80665), rel=0.02)
    assert len(answer.depths) < 120


def test_a_hose_that_reaches_deeper_than_a_file_may_say(ten_rigs) -> None:
    answer = lift(ten_rigs["demonstration"], changed={"lines.intake.suction-hose.length": 20_000.0})
    assert len(answer.depths) < 120
    assert max(depth.lift for depth in answer.depths) < 10_000.0


def test_json_has_units_and_no_nan(answers) -> None:
    data = json.loads(answers("demonstration").to_json())
    assert data["question"] == "lift"
    assert data["greatest_lift"]["unit"] == "m"
    assert data["depths"][0]["flow"]["unit"] == "m^3/s"
    assert data["budget"]["npsh_required"] == {"value": None, "unit": "m"}


@pytest.mark.parametrize("name", ["demonstration", "centrifugal", "high"])
def test_depths_go_in_even_steps_from_flooded_to_failing_few_enough_to_read(answers, name: str) -> None:
    answer = answers(name)
    beside = {limit.lift + more for limit in answer.limits if limit.lift is not None for more in (0.0, 0.05)}
    even = [row.lift for row in answer.depths if min(abs(row.lift - at) for at in (*beside, answer.lift)) > 1e-9]
    steps = np.diff(even)
    assert even[0] <= -0.5 < even[1]
    assert len(even) <= 17
    assert min(abs(steps.min() - step) for step in (0.1, 0.2, 0.25, 0.5, 1.0)) < 1e-9
    assert max(row.lift for row in answer.depths) >= max(
        limit.lift for limit in answer.limits if limit.lift is not None
    )


def test_depths_of_a_short_lift_begin_flooded_too() -> None:
    """Water of 85 °C holds 57.9 kPa of vapour (steam tables, from memory): with 20 kPa more it breaks at some 2.4 m."""
    pump = DiaphragmPump(name="pump", height=1.0, points=((0.0, 2e5), (8 * LPM, 0.0)))
    rig = Rig(
        site=Site(water_temperature=358.15),
        sources={"spring": Source(surface=0.0)},
        outlets={"end": Outlet(height=1.0)},
        lines={"up": Line(start="spring", end="end", parts=(Hose(bore=0.025, length=2.0), pump))},
    )
    answer = lift(rig)
    assert answer.greatest_lift == pytest.approx(2.0)  # no more hose
    assert max(each.lift for each in answer.limits if each.lift is not None) < 2.47
    beside = {each.lift + more for each in answer.limits if each.lift is not None for more in (0.0, 0.05)}
    even = [row.lift for row in answer.depths if min(abs(row.lift - at) for at in (*beside, answer.lift)) > 1e-9]
    assert even[:3] == pytest.approx([-0.5, -0.25, 0.0])


@pytest.mark.parametrize("name", ["demonstration", "centrifugal"])
def test_shifts_take_the_next_bore_either_way_half_and_twice_the_hose_and_half_a_metre(answers, name: str) -> None:
    now, *shifts = answers(name).shifts
    sizes = [size for _, size in hose_bores()]
    beside = [
        max(size for size in sizes if size < 0.98 * now.suction_bore),
        min(size for size in sizes if size > 1.02 * now.suction_bore),
    ]
    assert [shift.suction_bore for shift in shifts if shift.varied == "suction bore"] == pytest.approx(beside)
    lengths = [shift.suction_length for shift in shifts if shift.varied == "suction length"]
    assert lengths == pytest.approx([0.5 * now.suction_length, 2.0 * now.suction_length])
    heights = [shift.pump_height for shift in shifts if shift.varied == "pump position"]
    assert heights == pytest.approx([now.pump_height - 0.5, now.pump_height + 0.5])
    assert all(shift.deepest_surface == pytest.approx(shift.pump_height - shift.greatest_lift) for shift in shifts)


def test_of_several_pumps_either_may_be_named() -> None:
    def own(source: str, tank: str) -> Line:
        pump = DiaphragmPump(name="pump", height=1.0, points=((0.0, 2e5), (2e-4, 0.0)), dry_lift=2.0)
        return Line(start=source, end=tank, parts=(Hose(bore=0.019, length=3.0), pump))

    rig = Rig(
        sources={"river": Source(surface=0.0), "lake": Source(surface=0.0)},
        tanks={name: Tank(volume=0.1, floor=1.5, depth=0.5) for name in ("one", "two")},
        lines={"a": own("river", "one"), "b": own("lake", "two")},
    )
    with pytest.raises(InputError, match=r"found 2 running pumps .*; write lines\.a\.pump or lines\.b\.pump"):
        lift(rig)


@pytest.mark.parametrize(("system", "unit"), [("US", 0.3048), ("imperial", 0.3048), ("metric", 1.0)])
def test_what_is_varied_is_round_in_the_units_that_are_shown(system: str, unit: float) -> None:
    answer = lift(demonstration(), system=system)
    altitudes = {shift.altitude for shift in answer.shifts if shift.varied == "altitude"}
    assert all(each / unit == pytest.approx(round(each / unit / 1000.0) * 1000.0) for each in altitudes)
    edges = {limit.lift + more for limit in answer.limits if limit.lift is not None for more in (0.0, 0.05)} | {
        answer.lift
    }
    even = [each.lift / unit for each in answer.depths if min(abs(each.lift - edge) for edge in edges) > 1e-9]
    assert len(even) > 5
    assert all(each == pytest.approx(round(each / 0.25) * 0.25, abs=1e-6) for each in even)
