"""What is drawn is what the answer says, read back from the lines of the figure."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from hydrokit import plot

if TYPE_CHECKING:
    from collections.abc import Callable

FOOT, US_GALLON, LPM = 0.3048, 231 * 0.0254**3, 1 / 60e3  # exact by definition; NIST SP 811


def _line(figure: Any, name: str, place: int = 0) -> Any:
    (found,) = [line for line in figure.get_axes()[place].lines if line.get_label() == name]
    return found


def _close(drawn: Any, wanted: list[float | None], unit: float) -> bool:
    told = [float("nan") if each is None else each / unit for each in wanted]
    return list(drawn) == pytest.approx(told, rel=1e-12, nan_ok=True)


@pytest.mark.parametrize(
    ("system", "flow", "head"),
    [("metric", LPM, 1.0), ("US", US_GALLON / 60, FOOT), ("imperial", 4.54609e-3 / 60, FOOT)],
)
def test_pump_curves_and_duties(answers: Callable[..., Any], system: str, flow: float, head: float) -> None:
    answer = answers("check", "demonstration")
    figure, (curve,) = plot(answer, "pump", system=system), answer.curves
    assert _close(_line(figure, "pump").get_xdata(), curve.flows, flow)
    assert _close(_line(figure, "pump").get_ydata(), curve.heads, head)
    points = [line for line in figure.get_axes()[0].lines if len(line.get_xdata()) == 1]
    assert len(curve.systems) == len(points) == 2
    for each, point in zip(curve.systems, points, strict=True):
        assert _close(_line(figure, each.filters).get_ydata(), each.heads, head)
        assert _close(point.get_xdata(), [each.flow], flow)
        assert _close(point.get_ydata(), [each.head], head)


@pytest.mark.parametrize(("system", "length", "unit"), [("metric", 1.0, "(m)"), ("US", FOOT, "(ft)")])
def test_head_along_the_way(answers: Callable[..., Any], system: str, length: float, unit: str) -> None:
    answer = answers("check", "demonstration")
    figure, (profile,) = plot(answer, "way", system=system), answer.profiles
    assert _close(_line(figure, "head").get_xdata(), [each.distance for each in profile.points], length)
    for name, field in {"head": "head", "hose": "height", "air": "air_head"}.items():
        assert _close(_line(figure, name).get_ydata(), [getattr(each, field) for each in profile.points], length)
    axes = figure.get_axes()[0]
    assert axes.get_xlabel().endswith(unit)
    assert axes.get_ylabel().endswith(unit)


def test_shares_of_head(answers: Callable[..., Any], figures: Callable[..., Any]) -> None:
    answer = answers("check", "demonstration")
    bars = figures("check", "demonstration")["heads"].get_axes()[0].patches
    own = [share.share for share in answer.head_shares if share.share >= 0.005]
    assert [bar.get_width() for bar in bars][: len(own)] == pytest.approx([100 * share for share in own], rel=1e-12)
    assert sum(bar.get_width() for bar in bars) == pytest.approx(100.0, rel=1e-9)


def test_depths_and_limits(answers: Callable[..., Any], figures: Callable[..., Any]) -> None:
    answer, figure = answers("lift", "demonstration"), figures("lift", "demonstration")["depth"]
    assert _close(_line(figure, "flow").get_xdata(), [each.lift for each in answer.depths], 1.0)
    assert _close(_line(figure, "flow").get_ydata(), [each.flow for each in answer.depths], LPM)
    assert _close(_line(figure, "full pipe").get_ydata(), [each.full_pipe_flow for each in answer.depths], LPM)
    ends = [bar.get_x() + bar.get_width() for bar in figure.get_axes()[1].patches]
    found = [(end, limit.lift) for end, limit in zip(ends, answer.limits, strict=True) if limit.lift is not None]
    assert len(found) > 4
    assert [end for end, _ in found] == pytest.approx([lift for _, lift in found], rel=1e-12)


def test_levels_while_filling(answers: Callable[..., Any], figures: Callable[..., Any]) -> None:
    answer, figure = answers("fill", "demonstration"), figures("fill", "demonstration")["levels"]
    for tank in answer.tanks:
        assert _close(_line(figure, tank.tank).get_xdata(), list(answer.times), 60.0)
        assert _close(_line(figure, tank.tank).get_ydata(), list(tank.levels), 1.0)


def test_flows_and_levels_while_drawing(answers: Callable[..., Any], figures: Callable[..., Any]) -> None:
    answer, found = answers("draw", "gravity"), figures("draw", "gravity")
    assert _close(_line(found["flows"], "tap").get_ydata(), list(answer.outlets[0].flows), LPM)
    assert _close(_line(found["levels"], "high").get_ydata(), list(answer.tanks[0].levels), 1.0)


def test_bores_and_the_knee(answers: Callable[..., Any], figures: Callable[..., Any]) -> None:
    answer, figure = answers("bore", "wide"), figures("bore", "wide")["sizes 1"]
    curve = answer.curves[0]
    assert _close(_line(figure, "flow").get_xdata(), list(curve.bores), 1e-3)
    assert _close(_line(figure, "flow").get_ydata(), list(curve.flows), LPM)
    knee = curve.bores[curve.sizes.index(curve.knee)]
    assert list(_line(figure, "knee").get_xdata()) == pytest.approx([knee * 1e3] * 2)
    fits = list(_line(figure, "fits").get_xdata()) + list(_line(figure, "does not fit").get_xdata())
    assert sorted(fits) == pytest.approx([bore * 1e3 for bore in curve.bores])


def test_flow_and_loading_against_water_delivered(answers: Callable[..., Any], figures: Callable[..., Any]) -> None:
    answer, figure = answers("wear", "demonstration"), figures("wear", "demonstration")["litres"]
    for name in ("early", "late"):
        own = [point for point in answer.points if point.curve == name]
        assert _close(_line(figure, name).get_xdata(), [point.litres for point in own], 1e-3)
        assert _close(_line(figure, name).get_ydata(), [point.flow for point in own], LPM)
    early = [point for point in answer.points if point.curve == "early"]
    for number, each in enumerate(answer.filters):
        loading = [point.loadings[number] for point in early]
        assert _close(_line(figure, each.place, 1).get_ydata(), loading, 0.01)


def test_corners(answers: Callable[..., Any], figures: Callable[..., Any]) -> None:
    answer, figure = answers("envelope", "balanced"), figures("envelope", "balanced")["corners"]
    drawn = [tuple(point) for line in figure.get_axes()[0].lines for point in line.get_xydata()]
    told = [(each.margin * 100, each.flow / LPM) for each in answer.corners if each.margin is not None]
    assert len(drawn) == len(told)
    for point in told:
        assert any(each == pytest.approx(point) for each in drawn)


def test_pumps_that_were_tried(answers: Callable[..., Any], figures: Callable[..., Any]) -> None:
    answer, figure = answers("match", "centrifugal"), figures("match", "centrifugal")["candidates"]
    first = answer.pumps[0]
    assert _close(_line(figure, first.name).get_ydata(), list(first.curve.pump_heads), 1.0)
    points = [line.get_xydata()[0] for line in figure.get_axes()[0].lines if len(line.get_xdata()) == 1]
    assert list(points[0]) == pytest.approx([first.pump_flow / LPM, first.head])


def test_the_scale_of_pressure_is_that_of_head(figures: Callable[..., Any], answers: Callable[..., Any]) -> None:
    axes = figures("check", "demonstration")["pump"].get_axes()[0]
    (beside,) = axes.child_axes
    weight = answers("check", "demonstration").surroundings.density * 9.80665
    assert beside.get_ylabel() == "the same as pressure (bar)"
    assert beside._functions[0](10.0) == pytest.approx(10.0 * weight / 1e5)
