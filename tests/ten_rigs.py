"""Ten varied rigs made by hand; all data are invented."""

from __future__ import annotations

from hydrokit.files import demonstration, hand_check
from hydrokit.parts import (
    CentrifugalPump,
    DiaphragmPump,
    Elbow,
    Filter,
    Fitting,
    FootValve,
    HandPump,
    Hose,
    HoseTail,
    Outlet,
    Source,
    Strainer,
    Tank,
    Valve,
)
from hydrokit.rig import Line, Mode, Rig, Site

LPM = 1.0 / 60_000.0
_SMALL = ((0.0, 2.4e5), (4.2 * LPM, 2.0e5), (12.0 * LPM, 0.0))


def _gravity() -> Rig:
    return Rig(
        title="gravity only",
        tanks={"high": Tank(volume=0.2, floor=3.0, depth=0.6, level=0.5)},
        outlets={"tap": Outlet(height=0.5)},
        lines={
            "down": Line(
                start="high",
                end="tap",
                parts=(
                    HoseTail(bore=0.015, pressure_rating=10e5),
                    Hose(bore=0.019, length=12.0, pressure_rating=10e5),
                    Filter(points=((5 * LPM, 6e3), (15 * LPM, 24e3)), medium="ceramic", rated_flow=14 * LPM),
                    Valve(bore=0.0125),
                ),
            )
        },
    )


def _centrifugal() -> Rig:
    pump = CentrifugalPump(
        name="pump",
        height=2.5,
        heads=((0.0, 24.0), (30 * LPM, 20.0), (60 * LPM, 11.0), (80 * LPM, 2.0)),
        npsh_required=((10 * LPM, 1.5), (80 * LPM, 4.5)),
        best_flow=45 * LPM,
        dry_lift=0.0,
        inlet_bore=0.025,
        outlet_bore=0.025,
        pressure_rating=6e5,
    )
    return Rig(
        title="centrifugal pump with NPSH",
        sources={"river": Source(surface=0.0)},
        tanks={"store": Tank(volume=1.0, floor=6.0, depth=1.0)},
        lines={
            "lift": Line(
                start="river",
                end="store",
                parts=(
                    Strainer(bore=0.031, height=-0.5),
                    FootValve(bore=0.031, height=-0.45),
                    Hose(name="suction", bore=0.0315, length=7.0, vacuum_rating=0.8e5),
                    HoseTail(bore=0.026),
                    pump,
                    HoseTail(bore=0.02),
                    Hose(name="delivery", bore=0.025, length=20.0, pressure_rating=6e5),
                    Elbow(bore=0.025),
                ),
            )
        },
    )


def _hand() -> Rig:
    return Rig(
        title="hand pump",
        sources={"pond": Source(surface=0.0)},
        tanks={"can": Tank(volume=0.02, floor=1.0, depth=0.4)},
        lines={
            "lift": Line(
                start="pond",
                end="can",
                parts=(
                    Strainer(bore=0.025),
                    Hose(name="suction", bore=0.025, length=4.0, vacuum_rating=0.7e5),
                    HandPump(name="pump", height=1.2, stroke_volume=4e-4, dry_lift=3.0, greatest_pressure=2e5),
                    Hose(name="delivery", bore=0.019, length=1.0),
                    Filter(points=((5 * LPM, 20e3), (10 * LPM, 45e3)), rated_flow=20 * LPM),
                ),
            )
        },
    )


def _looped() -> Rig:
    pump = DiaphragmPump(name="pump", height=0.6, points=_SMALL, dry_lift=2.0, pressure_rating=5e5)
    return Rig(
        title="looped",
        sources={"pond": Source(surface=0.0)},
        outlets={"tap": Outlet(height=1.5), "hose-end": Outlet(height=1.0)},
        lines={
            "supply": Line(start="pond", end="a", parts=(Hose(bore=0.019, length=3.0, vacuum_rating=0.7e5), pump)),
            "upper": Line(start="a", end="b", parts=(Hose(bore=0.0125, length=3.0),)),
            "lower": Line(start="a", end="c", parts=(Hose(bore=0.01, length=2.0),)),
            "cross": Line(start="c", end="b", parts=(Hose(bore=0.008, length=1.0),)),
            "to-tap": Line(start="b", end="tap", parts=(Hose(bore=0.01, length=2.0), Valve(bore=0.008))),
            "to-end": Line(start="c", end="hose-end", parts=(Hose(bore=0.01, length=4.0), Fitting(bore=0.005, k=1.0))),
        },
    )


def _quarantine() -> Rig:
    return Rig(
        title="quarantine tank",
        tanks={
            "raw": Tank(volume=0.12, floor=0.2, depth=0.5, level=0.4),
            "clean": Tank(volume=0.12, floor=0.3, depth=0.5, level=0.1, inlet="top"),
        },
        outlets={"tap": Outlet(height=0.9)},
        lines={
            "treat": Line(
                start="raw",
                end="clean",
                parts=(
                    HoseTail(bore=0.0095),
                    Hose(name="suction", bore=0.0125, length=0.8, vacuum_rating=0.5e5),
                    DiaphragmPump(
                        name="pump", height=0.6, points=_SMALL, dry_lift=2.0, cut_out=2.2e5, pressure_rating=5e5
                    ),
                    HoseTail(bore=0.0095),
                    Hose(name="delivery", bore=0.0125, length=1.5, pressure_rating=10e5),
                    Filter(
                        name="membrane",
                        medium="membrane",
                        points=((4 * LPM, 30e3), (8 * LPM, 60e3)),
                        rated_flow=10 * LPM,
                        pressure_rating=6e5,
                    ),
                ),
            ),
            "to-tap": Line(
                start="clean", end="tap", parts=(Hose(bore=0.0125, length=1.0), Valve(bore=0.01, pattern="globe"))
            ),
        },
        modes={"treating": Mode(closed=("lines.to-tap",)), "drawing": Mode(closed=("lines.treat",))},
    )


def _balanced() -> Rig:
    pump = DiaphragmPump(
        name="pump", height=0.8, points=((0.0, 3.5e5), (17 * LPM, 0.0)), dry_lift=3.0, pressure_rating=7e5
    )
    return Rig(
        title="twin tanks with a balance line",
        sources={"pond": Source(surface=0.0)},
        tanks={
            "near": Tank(volume=0.06, floor=1.0, depth=0.45, level=0.11, inlet="bottom"),
            "far": Tank(volume=0.06, floor=1.0, depth=0.45, level=0.1, inlet="bottom"),
        },
        lines={
            "fill": Line(
                start="pond",
                end="near",
                parts=(
                    FootValve(bore=0.019),
                    Hose(name="suction", bore=0.019, length=4.0, vacuum_rating=0.7e5),
                    pump,
                    Hose(name="delivery", bore=0.0125, length=3.0, pressure_rating=10e5),
                    Filter(points=((5 * LPM, 10e3), (12 * LPM, 35e3)), rated_flow=18 * LPM, pressure_rating=6e5),
                ),
            ),
            "balance": Line(start="near", end="far", parts=(Hose(bore=0.019, length=0.6),)),
        },
    )


def _high() -> Rig:
    return Rig(
        title="high altitude",
        site=Site(altitude=3500.0, water_temperature=278.15),
        sources={"tarn": Source(surface=0.0)},
        tanks={"bag": Tank(volume=0.03, floor=2.2, depth=0.3)},
        lines={
            "lift": Line(
                start="tarn",
                end="bag",
                parts=(
                    Strainer(bore=0.0125),
                    Hose(name="suction", bore=0.0125, length=5.0, vacuum_rating=0.6e5),
                    DiaphragmPump(
                        name="pump", height=1.4, points=_SMALL, dry_lift=2.4, vacuum_rating=0.4e5, pressure_rating=5e5
                    ),
                    Hose(name="delivery", bore=0.01, length=2.0, pressure_rating=10e5),
                    Filter(points=((4 * LPM, 20e3), (8 * LPM, 45e3)), rated_flow=10 * LPM, pressure_rating=6e5),
                ),
            )
        },
    )


def _wide() -> Rig:
    pump = DiaphragmPump(
        name="pump", height=2.2, points=((0.0, 3.0e5), (60 * LPM, 0.0)), dry_lift=4.0, vacuum_rating=0.6e5
    )
    return Rig(
        title="wide suction hose",
        site=Site(altitude=500.0, water_temperature=291.15),
        sources={"canal": Source(surface=0.0)},
        tanks={"bowser": Tank(volume=1.0, floor=2.0, depth=1.0, level=0.0)},
        lines={
            "lift": Line(
                start="canal",
                end="bowser",
                parts=(
                    Strainer(bore=0.05),
                    Hose(name="suction", bore=0.05, length=15.0, vacuum_rating=0.7e5),
                    HoseTail(bore=0.036),
                    pump,
                    HoseTail(bore=0.02),
                    Hose(name="delivery", bore=0.025, length=8.0, pressure_rating=6e5),
                ),
            )
        },
    )


def made_rigs() -> dict[str, Rig]:
    """Return ten rigs by what they show."""
    return {
        "demonstration": demonstration(),
        "hand check": hand_check(),
        "gravity": _gravity(),
        "centrifugal": _centrifugal(),
        "hand pump": _hand(),
        "looped": _looped(),
        "quarantine": _quarantine(),
        "balanced": _balanced(),
        "high": _high(),
        "wide": _wide(),
    }
