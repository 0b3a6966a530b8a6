"""Filters that load up: limiting cases by the published laws, balances, and what gives way first. All rigs are invented."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from hydrokit.errors import InputError
from hydrokit.files import demonstration
from hydrokit.network import solve
from hydrokit.parts import DiaphragmPump, Filter, Hose, Outlet, Source, Tank
from hydrokit.rig import Line, Mode, Rig, Site, replaced
from hydrokit.studies import check, wear
from hydrokit.studies.filters.loading import Case, Loading, loading_of
from hydrokit.water import water

LPM = 1.0 / 60_000.0
WARM = water(293.15)
SITE = Site(water_temperature=293.15, turbidity=10.0, solids_per_ntu=2e-3, daily_use=0.1)
CLEAN = 20e3  # Pa at 10 L/min
END = 100e3


def element(name: str = "filter", **more) -> Filter:
    """Return a filter that is wholly viscous: 20 kPa at 10 L/min when new, 100 kPa at its end, 50 g."""
    given = {
        "points": ((5 * LPM, CLEAN / 2), (10 * LPM, CLEAN)),
        "points_temperature": 293.15,
        "rated_flow": 40 * LPM,
        "end_drop": ((10 * LPM, END),),
        "element": "surface",
        "dirt_capacity": 0.05,
        "retains": 1.0,
    }
    return Filter(name=name, **{**given, **more})


def pressed(*parts, pressure: float = 1e5, site: Site = SITE) -> Rig:
    """Return a source of constant pressure, some parts and an open end at its height."""
    return Rig(
        site=site,
        sources={"main": Source(surface=1.0, pressure=pressure)},
        outlets={"end": Outlet(height=1.0)},
        lines={"through": Line(start="main", end="end", parts=parts)},
    )


def test_a_cake_at_constant_pressure_keeps_to_ruth() -> None:
    # Ruth: dt/dV = Kp V + B, so t/V = Kp V / 2 + B (Geankoplis, 14.2; Hermia 1982), Kp and B by hand from the resistances
    answer = wear(pressed(element()))
    litres = np.array([point.litres for point in answer.points])
    time = np.concatenate([[0.0], np.cumsum(np.diff(litres) * _mean_slowness(answer))])
    new, grown = CLEAN / (10 * LPM), (END - CLEAN) / (10 * LPM)
    solids = 10.0 * 2e-3
    slope, intercept = grown * solids / 0.05 / 1e5, new / 1e5
    assert time[1:] / litres[1:] == pytest.approx(slope * litres[1:] / 2.0 + intercept, rel=1e-9)
    assert litres[-1] == pytest.approx(0.05 / solids)


def _mean_slowness(answer) -> np.ndarray:
    slowness = np.array([1.0 / point.flow for point in answer.points])
    return 0.5 * (slowness[1:] + slowness[:-1])  # exact: it grows evenly


def test_a_cake_at_constant_flow_costs_in_proportion_to_the_litres() -> None:
    pump = DiaphragmPump(name="pump", height=1.0, points=((10 * LPM, 9e5), (10 * LPM * (1 + 1e-9), 0.0)), dry_lift=1.0)
    rig = Rig(
        site=SITE,
        sources={"pond": Source(surface=1.0)},
        outlets={"end": Outlet(height=1.0)},
        lines={"through": Line(start="pond", end="end", parts=(pump, element()))},
    )
    answer = wear(rig)
    drops = [point.pressures_before[0] for point in answer.points]
    shares = np.array([point.litres for point in answer.points]) / answer.points[-1].litres
    assert drops == pytest.approx(CLEAN + (END - CLEAN) * shares, rel=1e-6)


@pytest.mark.parametrize("kind", ["surface", "depth", "unknown"])
def test_elements_end_at_their_end_drop_whatever_the_law(kind: str) -> None:
    answer = wear(pressed(element(element=kind)))
    curves = {point.curve for point in answer.points}
    assert curves == ({"early"} if kind == "surface" else {"early", "late"})
    for curve in curves:
        rows = [point for point in answer.points if point.curve == curve]
        assert rows[0].loadings == (0.0,)
        assert rows[-1].loadings[0] == pytest.approx(1.0)
        assert rows[-1].flow == pytest.approx(10 * LPM, rel=1e-9)  # 1 bar is the end drop at 10 L/min
    halves = {curve: _half(answer, curve) for curve in curves}
    ratio = END / CLEAN  # by hand: cake, intermediate and standard blocking at half the solids, over when new
    cake, pores, walls = (1 + ratio) / 2, ratio**0.5, (1 - (1 - ratio**-0.5) / 2) ** -2
    wanted = {
        "surface": {"early": cake},
        "depth": {"early": pores, "late": walls},
        "unknown": {"early": cake, "late": walls},
    }
    for curve, resistance in wanted[kind].items():
        assert halves[curve] == pytest.approx((resistance - 1) / (ratio - 1), rel=1e-9)


def _half(answer, curve: str) -> float:
    rows = [point for point in answer.points if point.curve == curve]
    return rows[len(rows) // 2].loadings[0]


def test_filters_side_by_side_agree_with_an_independent_integration() -> None:
    from scipy.integrate import solve_ivp

    small, large = (
        element("small", dirt_capacity=0.03),
        element("large", dirt_capacity=0.08, end_drop=((10 * LPM, 3e5),)),
    )
    rig = Rig(
        site=SITE,
        sources={"main": Source(surface=1.0, pressure=1e5)},
        outlets={"end": Outlet(height=1.0), "other": Outlet(height=1.0)},
        lines={
            "one": Line(start="main", end="end", parts=(small,)),
            "two": Line(start="main", end="other", parts=(large,)),
        },
    )
    loading = Loading(rig, None, {})
    (course,), _ = loading_of(loading, [Case(0.02, 0)])
    new, ends, holds = CLEAN / (10 * LPM), np.array([1e5, 3e5]) / (10 * LPM), np.array([0.03, 0.08])

    def caught(_: float, mass: np.ndarray) -> np.ndarray:
        flow = 1e5 / (new + (ends - new) * mass / holds)
        return 0.02 * flow / flow.sum()

    path = solve_ivp(caught, (0.0, course.litres[-1]), [0.0, 0.0], rtol=1e-10, atol=1e-12)
    assert course.caught[-1] == pytest.approx(path.y[:, -1], rel=2e-4)
    assert course.caught[-1, 0] == pytest.approx(0.03, rel=1e-9)
    answer = wear(rig)
    assert answer.goes_first == "lines.one.small"
    assert answer.imbalance < 1e-12


def _loaded(rig: Rig) -> Rig:
    """Return a rig whose filters state what they hold and keep back, in cloudy water."""

    def given(part):
        if not isinstance(part, Filter):
            return part
        flow, drop = part.points[-1]
        return replace(
            part, dirt_capacity=0.04, retains=0.6, element="depth", end_drop=part.end_drop or ((flow, drop + 8e4),)
        )

    lines = {name: replace(line, parts=tuple(given(part) for part in line.parts)) for name, line in rig.lines.items()}
    return replace(rig, lines=lines, site=replace(rig.site, turbidity=20.0))


WITH_FILTERS = ("demonstration", "hand check", "gravity", "hand pump", "quarantine", "balanced", "high")


@pytest.mark.parametrize("name", WITH_FILTERS)
def test_solids_close_flow_falls_and_cases_stand_in_order(ten_rigs, name: str) -> None:
    answer = wear(_loaded(ten_rigs[name]))
    assert answer.imbalance < 1e-9
    assert answer.goes_first
    for curve in ("early", "late"):
        rows = [point for point in answer.points if point.curve == curve]
        flows = np.array([point.flow for point in rows])
        assert (np.diff(flows) <= 1e-12 * flows[0]).all()
        loads = np.array([point.loadings for point in rows])
        assert (np.diff(loads, axis=0) >= -1e-12).all()
    early, late = ([point.flow for point in answer.points if point.curve == curve] for curve in ("early", "late"))
    assert (np.array(early) <= np.array(late) * (1 + 1e-9)).all()
    for row in answer.filters:
        assert row.least is not None
        assert row.least <= row.likely * (1 + 1e-9) <= row.most * (1 + 1e-8)
        assert row.most / row.least == pytest.approx(6.0, rel=1e-6) or len(answer.filters) > 1


@pytest.mark.parametrize("name", ["centrifugal", "looped", "wide"])
def test_a_rig_without_filters_has_nothing_to_load(ten_rigs, name: str) -> None:
    answer = wear(ten_rigs[name])
    assert (answer.goes_first, answer.points, answer.filters, answer.limits) == ("", (), (), ())


def test_each_filter_gets_what_those_before_it_let_through() -> None:
    coarse = element("coarse", retains=0.5, dirt_capacity=0.05)
    fine = element("fine", retains=0.8, dirt_capacity=0.03)
    last = element("last", retains=1.0, dirt_capacity=0.004)
    answer = wear(pressed(coarse, fine, last))
    # by hand, 20 g/m³: 10 g/m³ stay in the coarse one, 8 in the fine one, 2 in the last
    assert [row.likely for row in answer.filters] == pytest.approx([5.0, 3.75, 2.0])
    assert answer.goes_first == "lines.through.last"
    assert [row.caught for row in answer.filters] == pytest.approx([0.02, 0.016, 0.004])
    assert [(row.fills, row.days) for row in answer.filters][2] == (None, pytest.approx(20 * 86_400.0))


def test_a_filter_that_does_not_say_what_it_keeps_back_lets_all_through() -> None:
    answer = wear(pressed(element("first", retains=None, life=3.0), element("second")))
    first, second = answer.filters
    assert (first.by, first.likely, first.missing) == ("life", 3.0, ("retains",))
    assert second.likely == pytest.approx(2.5)
    assert "lines.through.first lets all solids through to what follows" in answer.trust.assumed


def test_without_solids_the_stated_life_counts_and_brings_the_end_drop() -> None:
    rig = pressed(element(dirt_capacity=None, life=4.0), site=replace(SITE, turbidity=None))
    answer = wear(rig)
    assert answer.filters[0].by == "life"
    assert answer.points[-1].litres == pytest.approx(4.0)
    assert answer.points[-1].loadings[0] == pytest.approx(1.0)
    assert answer.filters[0].missing == ("turbidity of the site", "dirt_capacity")
    half = wear(replaced(rig, {"lines.through.filter.passed": 1.0}))
    assert half.points[-1].litres == pytest.approx(3.0)


def test_what_is_not_known_is_said_and_not_guessed() -> None:
    answer = wear(pressed(element(dirt_capacity=None, retains=None), site=replace(SITE, turbidity=None)))
    assert (answer.goes_first, answer.points) == ("", ())
    assert answer.trust.unknown[-1] == (
        "how long lines.through.filter lasts: turbidity of the site, dirt_capacity, retains not stated"
    )


def test_a_filter_begins_where_it_stands() -> None:
    answer = wear(pressed(element(loading=0.4)))
    assert answer.points[0].loadings[0] == pytest.approx(0.4)
    assert answer.points[-1].litres == pytest.approx(0.6 * 2.5)
    assert answer.points[0].flow == pytest.approx(check(pressed(element(loading=0.4))).flow, rel=1e-9)


def test_an_unstated_ratio_gives_a_band_and_a_stated_one_does_not() -> None:
    band = wear(pressed(element(), site=replace(SITE, solids_per_ntu=None))).filters[0]
    assert (band.least, band.likely, band.most) == pytest.approx((0.05 / 0.03, 0.05 / 0.015, 0.05 / 0.005))
    sure = wear(pressed(element())).filters[0]
    assert sure.least == sure.likely == sure.most
    told = wear(replace(pressed(element()), tolerances={"site.solids_per_ntu": 1e-3})).filters[0]
    assert (told.least, told.most) == pytest.approx((0.05 / 0.03, 0.05 / 0.01))


def test_the_wanted_flow_is_lost_where_the_loads_say_so() -> None:
    rig = pressed(element())
    answer = wear(rig, until_flow=20 * LPM)
    (lost,) = answer.limits
    # by hand: 20 L/min at 1 bar is 2.5 times the new resistance, 1 + 4 share
    assert lost.limit == "wanted flow"
    assert lost.likely_early == pytest.approx(1.5 / 4.0 * 2.5, rel=1e-5)
    assert wear(rig, until_flow=60 * LPM).limits[0].likely_early == 0.0
    assert wear(rig, until_flow=9 * LPM).limits == ()


def test_a_switch_that_begins_to_hunt_is_found() -> None:
    pump = DiaphragmPump(
        name="pump",
        height=1.0,
        points=((5.3 * LPM, 2.8e5), (11.3 * LPM, 0.0)),
        cut_in=0.6e5,
        cut_out=0.9e5,
        dry_lift=1.0,
    )
    rig = Rig(
        site=SITE,
        sources={"pond": Source(surface=1.0)},
        tanks={"tank": Tank(volume=0.1, floor=0.5, depth=0.5, inlet_height=1.0)},
        lines={"fill": Line(start="pond", end="tank", parts=(pump, element()))},
    )
    answer = wear(rig)
    lost = next(each for each in answer.limits if each.limit == "pump runs steadily at lines.fill.pump")
    share = lost.likely_early / answer.points[-1].litres
    at = solve(rig, None, {"lines.fill.filter.loading": share}).walk
    assert np.nanmax(at.gauge_pressure) == pytest.approx(0.9e5, rel=1e-4)
    after = [point for point in answer.points if point.litres > lost.likely_early]
    assert all(point.fill_time is None for point in after)  # a time of a pump that ran on would be too short
    assert answer.points[0].fill_time is not None


def test_flushing_takes_out_its_share_and_puts_off_the_end() -> None:
    rig = pressed(element(flush_restores=0.5))
    plain, flushed = wear(rig), wear(rig, flush=1.0)
    # by hand: 20 g in the first m³, 10 left; 30, 15; 35, 17.5; 37.5 … towards 40 of 50 g: it never fills
    assert plain.filters[0].likely == pytest.approx(2.5)
    assert flushed.filters[0].likely is None
    rarer = wear(rig, flush=1.5)
    # 30 g, 15 left; 45, 22.5; 52.5 would pass 50: after 3 + 27.5 / 20 m³
    assert rarer.filters[0].likely == pytest.approx(3.0 + 27.5 / 20.0)
    assert rarer.filters[0].flushed == pytest.approx(0.015 + 0.0225)
    assert rarer.imbalance < 1e-9
    assert rarer.points[-1].loadings[0] == pytest.approx(1.0)


def test_flushing_what_cannot_be_flushed_is_refused() -> None:
    with pytest.raises(InputError, match="flush_restores"):
        wear(pressed(element()), flush=1.0)
    for never in (0.0, -0.5):
        with pytest.raises(InputError, match="flush"):
            wear(pressed(element(flush_restores=0.5)), flush=never)
    gain = wear(pressed(element()), flush=1.0, prefilter=element("any", flush_restores=0.5, retains=0.5)).gain
    assert gain.others_likely_after == pytest.approx(5.0)  # the prefilter alone is flushed


def test_a_prefilter_stands_before_the_first_and_takes_its_share() -> None:
    rig = pressed(Hose(name="hose", bore=0.03, length=1.0), element())
    added = element("any", retains=0.75, dirt_capacity=0.2, height=None)
    gain = wear(rig, prefilter=added).gain
    assert gain.places == ("lines.through.prefilter",)
    assert gain.likely_before == pytest.approx(2.5)
    assert gain.others_likely_after == pytest.approx(10.0)
    assert gain.likely_after == pytest.approx(10.0)
    assert gain.flow_after < gain.flow_before


def test_a_prefilter_out_of_the_catalogue_in_the_demonstration_rig() -> None:
    gain = wear(demonstration(), prefilter="filter-pleated-20").gain
    assert gain.places == ("lines.intake.prefilter",)
    assert gain.others_least_after > gain.least_before


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ({"prefilter": "diaphragm-pump-11"}, "a diaphragm pump"),
        ({"prefilter": "nonesuch"}, "nonesuch"),
        ({"flush": 0.5}, "no filter in use that states flush_restores"),
        ({"until_flow": -1.0}, "until_flow"),
    ],
)
def test_what_cannot_be_asked_is_refused_before_filters_are_loaded(monkeypatch, asked, told) -> None:
    def loaded(*_: object) -> None:
        raise AssertionError("filters were loaded")

    monkeypatch.setattr("hydrokit.studies.wearing.cases_of", loaded)
    with pytest.raises(InputError, match=told):
        wear(pressed(element()), **asked)


def test_cloudier_water_never_lets_a_filter_last_longer() -> None:
    ends = [
        wear(demonstration(), changed={"site.turbidity": ntu}).filters[3].likely for ntu in (1.0, 3.0, 6.0, 12.0, 50.0)
    ]
    assert ends == sorted(ends, reverse=True)
    assert ends[0] / ends[4] == pytest.approx(50.0)


def test_a_tank_holds_what_the_lines_that_fill_it_let_through() -> None:
    rig = Rig(
        site=SITE,
        sources={"main": Source(surface=1.0, pressure=1e5)},
        tanks={"tank": Tank(volume=0.1, floor=0.5, depth=0.5, level=0.4, inlet_height=1.0)},
        outlets={"tap": Outlet(height=0.0)},
        lines={
            "fill": Line(start="main", end="tank", parts=(element("coarse", retains=0.9),)),
            "draw": Line(start="tank", end="tap", parts=(element("fine"),)),
        },
        modes={"filling": Mode(closed=("lines.draw",)), "drawing": Mode(closed=("lines.fill",))},
    )
    (row,) = wear(rig, "drawing").filters
    assert row.likely == pytest.approx(0.05 / 0.002)


def test_points_are_what_check_says_of_the_rig_so_loaded() -> None:
    rig = demonstration()
    answer = wear(rig)
    for point in answer.points[3::7]:
        loads = {f"{row.place}.loading": load for row, load in zip(answer.filters, point.loadings, strict=True)}
        plain = check(rig, changed=loads)
        assert point.flow == pytest.approx(plain.flow, rel=1e-9)
        assert point.energy_per_volume == pytest.approx(plain.duties[0].energy_per_volume, rel=1e-9)


def test_the_rows_make_a_frame_and_json() -> None:
    answer = wear(demonstration(), until_flow=6.5 * LPM, prefilter="filter-pleated-20")
    data = answer.to_dict()
    assert data["question"] == "wear"
    assert data["filters"][0]["likely"]["unit"] == "m^3"
    assert len(answer.to_frame()) == len(answer.points)


def test_progress_is_told_to_the_end() -> None:
    told: list[float] = []
    wear(demonstration(), progress=told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0
