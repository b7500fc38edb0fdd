"""Effort on the spot: the published figures, then what must hold of the model."""

from __future__ import annotations

import math
import re
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from fitment.geometry import effort, results, slopes, steering_axis
from fitment.geometry.steering import wheels
from tests.support.corners import published, steering_of

ROWS = [row for row in published("effort_check") if not re.match("REG|ERG", row["id"])]

#: the reference's own worked wheel: 300 kg, tyre on dry ground, print 165 mm wide, N and mm
LOAD, FRICTION, WIDTH, OFFSET = 300 * 9.80665, 0.7, 165.0, 30.0
OWN = effort.disc_moment(LOAD, FRICTION, WIDTH, OFFSET)
#: and of the book
E21 = 1200 * 9.81
P90 = 400 * 9.81


def own_force() -> float:
    return float(effort.bar_force([OWN, OWN], [118.9, 118.9], [1.0, 1.0]))


def rates_at(bar: float) -> list[float]:
    steering = steering_of("A")
    return [float(slopes.steer_per_bar(wheel, steering.rack.direction)) for wheel in wheels(steering, bar)]


def by_work(bar: float) -> float:
    # the moment of this row is given to four decimals
    force = effort.bar_force_by_work([135.0927217, 135.0927217], rates_at(bar))
    return float(effort.rim_force(effort.pinion_torque(force, 44.0, 0.85), 380.0))


def p90_force() -> float:
    moments = [
        effort.thirds_moment(P90, 0.55, 200.0, 20.0) + effort.jacking_moment(P90, 20.0, 12.0, steer)
        for steer in (28.0, 45.0)
    ]
    # printed to 0.1 N·m
    moments = [round(one, 1) for one in moments]
    return float(effort.bar_force(moments, [127.0, 30.0], [math.cos(math.radians(angle)) for angle in (8.0, 12.0)]))


def swapped(speed: float) -> float:
    after = round(float(results.turns(168.5, speed)), 2)
    return float(effort.swapped_torque(50.0, 3.5, 0.8, after, 0.97))


def pressed(form: str) -> float:
    width = effort.contact_width(LOAD, 180.0)
    if form == "R":
        return width / 2
    moment = effort.locked_disc_moment(LOAD, FRICTION, width, 0.0)
    # the empirical form is no formula of ours: the reference gives its ratio to the disc
    return moment if form == "M" else moment * math.sqrt(math.pi) / 2


READERS: list[tuple[str, Callable[[re.Match[str]], float]]] = [
    (r"RCK-torque", lambda match: swapped(float(results.rack_speed(7, 3.0)))),
    (r"RCK-torque2", lambda match: swapped(float(results.rack_speed(7, 2.5)))),
    (r"KPM-disc-e([\d.]+)", lambda match: effort.locked_disc_moment(1.0, 1.0, 1.0, float(match[1])) * 1000),
    (r"KPM-gough-e([\d.]+)", lambda match: effort.disc_moment(1.0, 1.0, 1.0, float(match[1])) * 1000),
    (r"KPM-E21-h", lambda match: effort.thirds_moment(1.0, 1.0, 250.0, 25.0) * 1000),
    (r"KPM-E21-MS", lambda match: effort.thirds_moment(E21, 0.58, 250.0, 25.0)),
    (r"KPM-E21-MJ(\d+)", lambda match: effort.jacking_moment(E21, 25.0, 12.0, float(match[1]))),
    (r"KPM-p90-h", lambda match: effort.thirds_moment(1.0, 1.0, 200.0, 20.0) * 1000),
    (r"KPM-p90-MS", lambda match: effort.thirds_moment(P90, 0.55, 200.0, 20.0)),
    (r"KPM-p90-MJ(\d+)", lambda match: effort.jacking_moment(P90, 20.0, 12.0, float(match[1]))),
    (r"KPM-p90-F", lambda match: p90_force()),
    (r"KPM-own-M", lambda match: OWN),
    (r"KPM-own-F", lambda match: own_force()),
    (r"KPM-own-T", lambda match: effort.pinion_torque(own_force(), 44.0, 0.85)),
    (r"KPM-own-rim", lambda match: effort.rim_force(effort.pinion_torque(own_force(), 44.0, 0.85), 380.0)),
    (r"KPM-virtualwork-(\d+)", lambda match: by_work(float(match[1]))),
    (r"KPM-(?:pressure|empirical)-([RM])", lambda match: pressed("E" if "empirical" in match[0] else match[1])),
]


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_published_effort(row: dict[str, str]) -> None:
    found = [read(match) for pattern, read in READERS if (match := re.fullmatch(pattern, row["id"]))]
    assert len(found) == 1
    assert found[0] == pytest.approx(float(row["value"]), abs=max(float(row["tolerance"]), 1e-9), rel=0)


# -- the model ------------------------------------------------------------------------------------------------

widths = st.floats(50, 300)
offsets = st.floats(0, 150)


@given(widths, offsets)
def test_the_integral_is_that_of_a_disc_cut_into_small_pieces(width: float, offset: float) -> None:
    # rings and rays of equal area, apart from the formula's integral along the edge
    rings, rays = np.sqrt((np.arange(300) + 0.5) / 300) * width / 2, (np.arange(300) + 0.5) * math.pi / 300
    away = np.hypot(rings[:, None] * np.cos(rays) - offset, rings[:, None] * np.sin(rays))
    moment = effort.locked_disc_moment(1000.0, 1.0, width, offset)
    assert moment == pytest.approx(float(away.mean()), rel=2e-5)


@given(widths, offsets)
def test_the_forms_keep_their_order_and_the_bias_is_as_told(width: float, offset: float) -> None:
    exact, thirds, disc = (
        form(1000.0, 0.6, width, offset)
        for form in (effort.locked_disc_moment, effort.thirds_moment, effort.disc_moment)
    )
    assert exact * (1 - 1e-12) <= thirds <= exact * 1.0710
    assert thirds < disc <= exact * 1.1014
    assert effort.disc_bias(offset / width) == pytest.approx(disc / exact - 1, abs=1e-9)


def test_the_figures_that_the_sentence_names() -> None:
    shares = np.arange(0.0, 1.0, 1e-3)
    bias = 100 * np.asarray(effort.disc_bias(shares))
    assert (round(float(bias.max()), 2), float(shares[bias.argmax()])) == (10.13, pytest.approx(0.327))
    figures = re.findall(r"([\d.]+) %", effort.BIAS)
    assert figures == [f"{bias.max():.1f}", f"{bias[0]:.1f}", f"{100 * effort.disc_bias(1.0):.1f}"]


@given(st.floats(500, 6000), st.floats(0.2, 1.0), widths, offsets, st.floats(1.01, 1.5))
def test_more_load_friction_width_or_offset_takes_more(
    load: float, friction: float, width: float, offset: float, more: float
) -> None:
    for form in (effort.disc_moment, effort.thirds_moment, effort.locked_disc_moment):
        base = form(load, friction, width, offset)
        assert form(load * more, friction, width, offset) == pytest.approx(base * more)
        assert form(load, friction * more, width, offset) == pytest.approx(base * more)
        assert form(load, friction, width * more, offset) > base
        assert form(load, friction, width, offset + 1) > base
        # the moment is load times a length
        assert form(load, friction, width * 2, offset * 2) == pytest.approx(base * 2)
        assert form(load / 9.80665, friction, width / 25.4, offset / 25.4) == pytest.approx(base / 9.80665 / 25.4)


@given(st.floats(0, 60), st.floats(0, 60))
def test_the_offset_is_never_below_scrub_or_trail(scrub: float, trail: float) -> None:
    offset = effort.contact_offset(scrub, trail)
    assert max(scrub, trail) <= offset + 1e-12
    assert offset == pytest.approx(effort.contact_offset(-scrub, trail))


def test_the_weight_turns_the_wheel_back_either_way() -> None:
    there, back = (effort.jacking_moment(3000.0, 20.0, 12.0, steer) for steer in (25.0, -25.0))
    assert there == pytest.approx(-back)
    assert there > 0
    assert effort.jacking_moment(3000.0, 20.0, 12.0, 0.0) == 0


def test_arrays_are_taken_as_numbers_are() -> None:
    offsets = np.array([0.0, 20.0, 82.5, 200.0])
    for form in (effort.disc_moment, effort.thirds_moment, effort.locked_disc_moment):
        together = form(LOAD, FRICTION, WIDTH, offsets)
        assert_allclose(together, [form(LOAD, FRICTION, WIDTH, float(one)) for one in offsets], rtol=1e-14)
    steers = np.array([-30.0, 10.0])
    assert_allclose(
        effort.jacking_moment(LOAD, 20.0, 12.0, steers),
        [effort.jacking_moment(LOAD, 20.0, 12.0, one) for one in steers],
    )


# -- the chain ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("bar", [0.0, 35.0, 60.0])
def test_both_roads_to_the_bar_agree(bar: float) -> None:
    """By arms with the part of the moment that lies along the axis, and by work at a held lower arm."""
    steering = steering_of("A")
    arms, along, moments, rates = [], [], [], []
    for wheel in wheels(steering, bar):
        axis = wheel.upright.space[0]
        arms.append(steering_axis.moment_arm(wheel.upright.lower, axis, wheel.arm_eye, wheel.arm_eye - wheel.rod_along))
        along.append(abs(wheel.rod_along.unit().dot(steering.rack.direction)))
        moments.append(OWN * float(axis.z))
        rates.append(slopes.steer_per_bar(wheel, steering.rack.direction, arm_held=True))
    by_work = effort.bar_force_by_work([OWN, OWN], rates)
    # a turned wheel with camber steers a little faster than its axis turns
    assert float(effort.bar_force(moments, arms, along)) == pytest.approx(float(by_work), rel=5e-3)


@given(st.floats(20, 300), st.floats(20, 300), st.floats(30, 60), st.floats(330, 420), st.floats(0.5, 1.0))
def test_no_work_is_lost_but_to_friction(
    left: float, right: float, speed: float, diameter: float, efficiency: float
) -> None:
    rates = [0.46, -0.49]
    force = effort.bar_force_by_work([left, right], rates)
    rim = effort.rim_force(effort.pinion_torque(force, speed, efficiency), diameter)
    # a hundredth of a turn of the steering wheel: force times way at the rim, and moment times angle at the wheels
    put_in = rim * math.pi * diameter / 100 / 1000
    got_out = sum(
        moment * math.radians(abs(rate) * speed / 100) for moment, rate in zip((left, right), rates, strict=True)
    )
    assert put_in * efficiency == pytest.approx(got_out)


@given(st.floats(0.3, 0.6), st.floats(1.0, 2.0), st.floats(100, 180), st.floats(1.0, 1.4))
def test_a_range_holds_every_case_within_it(friction: float, rougher: float, width: float, wider: float) -> None:
    frictions, prints = (friction, friction * rougher), (width, width * wider)
    both = [effort.moment_range(LOAD, OFFSET, frictions, prints)] * 2
    low, high = effort.rim_force_range(both, rates_at(0.0), 44.0, 380.0, effort.EFFICIENCY)
    for rubs, wide, efficiency in [
        (frictions[0], prints[1], 0.8),
        (frictions[1], prints[0], 0.9),
        (frictions[1], prints[1], 0.8),
    ]:
        moment = effort.disc_moment(LOAD, rubs, wide, OFFSET)
        force = effort.bar_force_by_work([moment] * 2, rates_at(0.0))
        rim = effort.rim_force(effort.pinion_torque(force, 44.0, efficiency), 380.0)
        assert low <= rim * (1 + 1e-12)
        assert rim <= high * (1 + 1e-12)


def test_the_range_of_the_worked_wheel() -> None:
    moments = effort.moment_range(LOAD, OFFSET, effort.FRICTION, (145.0, 165.0))
    assert moments == (
        pytest.approx(effort.disc_moment(LOAD, 0.55, 145.0, OFFSET)),
        pytest.approx(OWN),
    )
    low, high = effort.rim_force_range([moments, moments], rates_at(0.0), 44.0, 380.0, (0.85, 0.85))
    # high: row KPM-virtualwork-0
    assert high == pytest.approx(96.729491, abs=1e-5)
    assert low == pytest.approx(high * moments[0] / moments[1])
