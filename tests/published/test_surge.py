"""Published water hammer, and accumulators of pressure switches."""

from __future__ import annotations

import numpy as np
import pytest

from hydrokit.laws.friction import velocity
from hydrokit.laws.pressure_switch import accumulator_drawdown
from hydrokit.laws.surge import (
    closing_rise,
    full_rise_length,
    instant_rise,
    liquid_wave_speed,
    return_time,
    wave_speed,
)


def test_hammer_subramanya_14_11(published) -> None:
    """Subramanya, example 14.11, p. 358: wave speed in a rigid pipe."""
    example = published("hammer-subramanya-14-11")
    example.agrees(
        "wave_speed", liquid_wave_speed(bulk_modulus=example.given("bulk_modulus"), density=example.given("density"))
    )


def test_hammer_subramanya_14_13(published) -> None:
    """Subramanya, example 14.13, p. 358: rigid pipe, 4 to 1 m/s."""
    example = published("hammer-subramanya-14-13")
    density = example.given("density")
    speed = liquid_wave_speed(bulk_modulus=example.given("bulk_modulus"), density=density)
    example.agrees(
        "rise", instant_rise(density=density, wave_speed=speed, velocity_change=example.given("velocity_change"))
    )


def test_hammer_subramanya_14_15(published) -> None:
    """Subramanya, example 14.15, p. 358: with and without the give of the wall."""
    example = published("hammer-subramanya-14-15")
    liquid = {"bulk_modulus": example.given("bulk_modulus"), "density": example.given("density")}
    speeds = {
        "rise_rigid": liquid_wave_speed(**liquid),
        "rise_elastic": wave_speed(
            **liquid,
            bore=example.given("bore"),
            wall=example.given("wall"),
            wall_modulus=example.given("pipe_modulus"),
        ),
    }
    for quantity, speed in speeds.items():
        rise = instant_rise(
            density=liquid["density"], wave_speed=speed, velocity_change=example.given("velocity_change")
        )
        example.agrees(quantity, rise)


def test_hammer_subramanya_14_20(published) -> None:
    """Subramanya, example 14.20, p. 360: rapid closing, and how much of the line feels all of it."""
    example = published("hammer-subramanya-14-20")
    density, length, time = (example.given(name) for name in ("density", "length", "closing_time"))
    speed = liquid_wave_speed(bulk_modulus=example.given("bulk_modulus"), density=density)
    assert time < return_time(length=length, wave_speed=speed)
    rise = closing_rise(
        density=density,
        wave_speed=speed,
        velocity_change=example.given("velocity_change"),
        length=length,
        closing_time=time,
    )
    example.agrees("rise", rise)
    example.agrees("length_at_full_rise", full_rise_length(length=length, wave_speed=speed, closing_time=time))


def test_hammer_daugherty_13_4(published) -> None:
    """Daugherty and Franzini, example 13.4, p. 462: at once, in 4 s, and in part."""
    example = published("hammer-daugherty-13-4")
    bore, flow = example.given("bore"), example.given("flow")
    line = {"density": example.given("density"), "wave_speed": example.given("wave_speed")}
    before = velocity(flow=flow, bore=bore)
    after = velocity(flow=example.given("flow_after_partial"), bore=bore)
    assert before == pytest.approx(flow / (np.pi * bore**2 / 4.0), rel=1e-12)
    example.agrees("rise_instant", instant_rise(velocity_change=before, **line))
    example.agrees("rise_partial", instant_rise(velocity_change=before - after, **line))
    slow = closing_rise(
        velocity_change=before, length=example.given("length"), closing_time=example.given("slow_time"), **line
    )
    example.agrees("rise_slow", slow)


def test_hammer_crowe_6(published) -> None:
    """Roberson and Crowe, chapter 6: closing faster than the wave returns (from memory)."""
    example = published("hammer-crowe-6")
    speed, length = example.given("wave_speed"), example.given("length")
    rise = closing_rise(
        density=example.given("density"),
        wave_speed=speed,
        velocity_change=example.given("velocity"),
        length=length,
        closing_time=example.given("closing_time"),
    )
    example.agrees("rise", rise)
    example.agrees("return_time", return_time(length=length, wave_speed=speed))


def test_accumulator_acceptance(published) -> None:
    """Sizing tables of well tanks: what a vessel yields, over its volume (from memory)."""
    example = published("accumulator-acceptance")
    yielded = accumulator_drawdown(
        volume=1.0,
        precharge_gauge=example.given("cut_in"),
        cut_in_gauge=example.given("cut_in"),
        cut_out_gauge=example.given("cut_out"),
        air_pressure=example.given("air_pressure"),
    )
    example.agrees("drawdown_factor", yielded)
