"""Claims of lamps beside the table, and chlorine in water whose temperature is only known within a tolerance."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import pytest

from hydrokit.answers import Verdict
from hydrokit.parts import Filter, Hose, Lamp, NonReturnValve, Outlet, Source, Tank
from hydrokit.rig import Line, Mode, Rig, Site, Targets
from hydrokit.rules.reductions import credited_logs

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.rules import State

LITRE = 1.0 / 60_000.0
CLEAR = Site(turbidity=0.5, transmittance=0.85, ph=7.0, water_temperature=283.15, chlorine_demand=0.5e-3)
HOSE = Hose(bore=0.012, length=4.0)


def logs(state: Callable[..., State], rig: Rig, end: str, mode: str | None = None) -> list[float]:
    credited: list[float] = credited_logs(state(rig, mode), end)[0].tolist()
    return credited


def test_a_lamp_that_claims_bacteria_alone_keeps_that_claim(state: Callable[..., State]) -> None:
    """USEPA, UV disinfection guidance manual, 2006, table 1.4: 40 mJ/cm² are worth 0.5 log of viruses (39), from memory."""
    given: dict[str, Any] = {"points": ((8 * LITRE, 4e3),), "rated_flow": 20 * LITRE, "rated_transmittance": 0.75}
    lamp = Lamp(name="lamp", rated_dose=400.0, bacteria_logs=3.0, life=9000 * 3600.0, **given)
    rig = Rig(
        site=CLEAR,
        sources={"spring": Source(surface=3.0)},
        outlets={"end": Outlet(height=0.0)},
        lines={"down": Line(start="spring", end="end", parts=(HOSE, lamp))},
    )
    bacteria, viruses, _ = logs(state, rig, "end")
    assert bacteria == pytest.approx(3.0)
    assert viruses == pytest.approx(0.5, abs=0.02)


def stored(temperature: float, **more: Any) -> Rig:
    """Return a tank in which 1 mg/L of chlorine is left after 3 minutes."""
    tank = Tank(volume=0.1, floor=1.0, depth=0.5, level=0.3, chlorine_dose=1.5e-3, chlorine_wait=180.0)
    return Rig(
        site=replace(CLEAR, water_temperature=temperature),
        sources={"spring": Source(surface=3.0)},
        tanks={"store": tank},
        lines={"in": Line(start="spring", end="store", parts=(HOSE,))},
        **more,
    )


@pytest.mark.parametrize(
    ("celsius", "tolerance", "wanted"),  # mg min/L for 4 log of viruses: 8 at 5 °C, 6 at 10, 4 at 15, 3 at 20
    [(10.0, None, 6.0), (13.5, None, 6.0), (15.0, None, 4.0), (12.0, 2.0, 6.0), (17.0, 2.0, 4.0)],
)
def test_chlorine_counts_as_in_the_coldest_water_within_the_tolerance(
    state: Callable[..., State], celsius: float, tolerance: float | None, wanted: float
) -> None:
    """US EPA 815-R-20-003, table B-2; logs in proportion to Ct, here 3 mg min/L."""
    told = {} if tolerance is None else {"tolerances": {"site.water_temperature": tolerance}}
    credited = logs(state, stored(273.15 + celsius, **told), "store")
    assert credited == pytest.approx([4.0 * 3.0 / wanted] * 2 + [0.0], rel=1e-6)


@pytest.mark.parametrize(("wanted", "limit"), [(3.0, 3.0), (5.0, 4.0)])
def test_what_is_wanted_of_chlorine_is_the_target_for_viruses_as_far_as_the_table_goes(
    found: Any, wanted: float, limit: float
) -> None:
    rig = stored(283.15, targets=Targets(bacteria=1.0, viruses=wanted, protozoa=2.0))
    finding = found(rig)["chlorine contact", "tanks.store"]
    assert finding.limit == limit
    assert finding.verdict is Verdict.CLOSE


def test_a_filter_that_is_rated_for_no_cloudiness_leaves_the_next_to_be_judged(found: Any) -> None:
    sediment = Filter(name="sediment", points=((8 * LITRE, 1e4),), medium="sediment")
    ceramic = Filter(name="ceramic", points=((8 * LITRE, 4e4),), medium="ceramic", greatest_turbidity=5.0)
    rig = Rig(
        site=replace(CLEAR, turbidity=8.0),
        sources={"spring": Source(surface=3.0)},
        outlets={"end": Outlet(height=0.0)},
        lines={"down": Line(start="spring", end="end", parts=(HOSE, sediment, ceramic))},
        modes={"as-used": Mode()},
    )
    findings = found(rig)
    assert ("cloudiness of the feed", "lines.down.sediment") not in findings
    finding = findings["cloudiness of the feed", "lines.down.ceramic"]
    assert (finding.verdict, finding.value, finding.limit) == (Verdict.FAILS, 8.0, 5.0)


def mixed(*, spring: float) -> Rig:
    """Return a tap behind a fork that a main fit to drink and a spring of some height feed."""
    return Rig(
        site=CLEAR,
        targets=Targets(bacteria=0.0, viruses=0.5, protozoa=0.0),
        sources={"main": Source(surface=3.0, treated=True), "spring": Source(surface=spring)},
        outlets={"tap": Outlet(height=0.0)},
        lines={
            "fit": Line(start="main", end="meet", parts=(HOSE, Filter(points=((8 * LITRE, 1e4),), virus_logs=0.0))),
            "raw": Line(start="spring", end="meet", parts=(HOSE, NonReturnValve(bore=0.012))),
            "on": Line(start="meet", end="tap", parts=(HOSE,)),
        },
    )


def test_water_that_is_fit_to_drink_holds_no_germs_and_thins_those_of_what_it_meets(
    state: Callable[..., State], found: Any
) -> None:
    assert logs(state, mixed(spring=-5.0), "tap") == [99.0, 99.0, 99.0]
    finding = found(mixed(spring=-5.0))["log reductions credited", "outlets.tap"]
    assert "is credited with all of bacteria, all of viruses and all of protozoa" in str(finding.reason)
    flows = state(mixed(spring=2.9)).solution
    raw, whole = float(flows.flow("raw")[0]), float(flows.flow("on")[0])
    assert logs(state, mixed(spring=2.9), "tap") == pytest.approx([math.log10(whole / raw)] * 3, abs=1e-8)


def test_where_less_than_one_log_is_wanted_what_is_short_counts_in_logs(
    state: Callable[..., State], found: Any
) -> None:
    flows = state(mixed(spring=2.9)).solution
    credited = math.log10(float(flows.flow("on")[0]) / float(flows.flow("raw")[0]))
    finding = found(mixed(spring=2.9))["log reductions credited", "outlets.tap"]
    assert (finding.value, finding.limit) == (pytest.approx(credited, abs=1e-8), 0.5)
    assert finding.margin == pytest.approx(credited - 0.5, abs=1e-8)


def test_without_the_turbidity_of_the_site_every_stage_that_is_rated_for_one_is_named(found: Any) -> None:
    one, two = (
        Filter(name=name, points=((8 * LITRE, 4e4),), medium="ceramic", greatest_turbidity=5.0)
        for name in ("one", "two")
    )
    rig = Rig(
        site=replace(CLEAR, turbidity=None),
        sources={"spring": Source(surface=3.0)},
        outlets={"end": Outlet(height=0.0)},
        lines={"down": Line(start="spring", end="end", parts=(HOSE, one, two))},
    )
    finding = found(rig)["cloudiness of the feed", "lines.down.one, lines.down.two"]
    assert str(finding.reason) == "Cannot be judged without the turbidity of the site."
