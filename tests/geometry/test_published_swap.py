"""Every published row on what a rack swap changes, on turning and on setting the rods."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

import pytest

from fitment.geometry import results, slopes, steering_axis, turning, wheel
from fitment.geometry.rack import Rack, rack_between
from fitment.geometry.steering import Steering, set_rods, wheels
from fitment.geometry.suspension import upper_end
from tests.support.corners import LOADED_RADIUS, mirrored, published, steering_of

ROWS = published("kinematics_swap")
WHEELBASE = 2400.0


def reset(name: str, **moved: float) -> Steering:
    """A case with its rack moved and the rods set anew."""
    steering = steering_of(name)
    return set_rods(steering.rack.moved(**moved), steering.left, steering.right)


def steer_at(bar: float, steering: Steering | None = None) -> tuple[float, float]:
    left, right = wheels(steering or steering_of("A"), bar)
    return float(left.steer), float(right.steer)


def toe(steering: Steering, travel: float, side: int = 0) -> float:
    return float(wheels(steering, 0.0, travel, travel)[side].toe_in)


def kept(side: int, left: float = 0.0) -> float:
    """Toe-in of case A with its rods as they were and the rack moved, 5 mm up."""
    steering = steering_of("A")
    return toe(replace(steering, rack=steering.rack.moved(left=left, up=5.0)), 0.0, side)


def rod_change(side: str) -> float:
    moved, before = reset("A", left=8.0, up=5.0), steering_of("A")
    return float(getattr(moved, side) - getattr(before, side))


def height(match: re.Match[str]) -> float:
    moved = reset("B" if match["b"] else "A", up=float(match["up"]))
    if match["what"] == "slope":
        return float(results.bump_steer(moved)[0])
    return toe(moved, 25.0) - toe(moved, 0.0)


def null_height(match: re.Match[str]) -> float:
    steering = steering_of(match["set"])
    return float(results.null_height(steering.left, steering.rack.inner_ball(1, 0.0)))


def fore_aft(match: re.Match[str]) -> float:
    return steer_at(60.0, reset("A", forward=float(match["x"])))[match["which"] == "outer"]


def rod_slid(match: re.Match[str]) -> float:
    """Case A with its inner joints slid along the rods' own line, to another length of rod."""
    steering = steering_of("A")
    eye = steering.left.arm_eye
    inner = eye + (steering.rack.inner_ball(1, 0.0) - eye).unit() * (float(match["length"]) + 0.042805082)
    slid = set_rods(rack_between(inner, mirrored(inner)), steering.left, steering.right)
    if match["what"] == "curv":
        return (toe(slid, 10.0) - 2 * toe(slid, 0.0) + toe(slid, -10.0)) / 100
    return toe(slid, -60.0 if match["what"] == "m60" else 60.0) - toe(slid, 0.0)


def ratio(match: re.Match[str]) -> float:
    if match["mean"]:
        return float(results.mean_ratio(70.0, 44.0, *steer_at(70.0)))
    steering = steering_of(match["set"])
    rate = slopes.steer_per_bar(wheels(steering, 0.0)[0], steering.rack.direction)
    return float(results.steering_ratio(rate, float(match["speed"] or 44)))


def scrub() -> float:
    left = steering_of("A").left
    contact = wheel.contact_centre(left.wheel_centre, left.spin, LOADED_RADIUS)
    up = upper_end(left.links) - left.links.lower_ball
    return float(
        steering_axis.scrub_radius(steering_axis.ground_point(left.links.lower_ball, up, contact.z), contact, 1)
    )


def circle(bar: float) -> float:
    _, outer = turning.inner_and_outer(*steer_at(bar))
    return 2 * float(turning.turning_radius(WHEELBASE, outer, scrub())) / 1000


def ackermann(measure: Callable[..., float], name: str, bar: float, track: float) -> float:
    inner, outer = turning.inner_and_outer(*steer_at(bar, steering_of(name)))
    return float(measure(inner, outer, WHEELBASE, track))


def handbook_per_degree() -> float:
    """The estimate's change for one degree of deviation, with the inner angle and so the ideal one kept."""
    inner, outer = 30.0, float(turning.ideal_outer(30.0, WHEELBASE, 1308.4))
    first, second = (turning.handbook_radius(inner, outer + more, WHEELBASE, 1308.4, 8.333) for more in (0.0, 1.0))
    return float(first - second)


def offcentre(what: str) -> float:
    """A bar 8 mm to the right of the middle of its housing."""
    rack: Rack = replace(steering_of("A").rack, bar_offset=-8.0)
    left, _ = rack.stops(143 / 2, 143 / 2)
    return results.turns(left, 44.0) if what == "turns" else (left - 143 / 2) / 44.0 * 360


def arm_a() -> float:
    left = steering_of("A").left
    up = upper_end(left.links) - left.links.lower_ball
    inner = steering_of("A").rod(1, 0.0).inner
    return float(steering_axis.moment_arm(left.links.lower_ball, up, left.arm_eye, inner))


READERS: list[tuple[str, Callable[[re.Match[str]], float]]] = [
    (r"ALN-turn-simple", lambda match: float(1.5 * results.toe_per_mm(arm_a()))),
    (
        r"ALN-turn-(?P<set>[AB])-exact",
        lambda match: float(results.toe_per_lengthening(steering_of(match["set"]), 1.5)[0]),
    ),
    (r"ALN-wheel-per-mm", lambda match: results.turns(1.0, 44.0) * 360),
    (r"RCK-C-7x3", lambda match: float(results.rack_speed(7, 3.0))),
    (r"RCK-C-helix", lambda match: float(results.rack_speed(7, 1.75, 20.0))),
    (r"RCK-turns", lambda match: float(results.turns(168.5, results.rack_speed(7, 3.0)))),
    (r"RCK-offcentre-(?P<what>turns|wheel)", lambda match: float(offcentre(match["what"]))),
    (r"RCK-lock-A-(?P<bar>[+-]\d+)-(?P<side>[LR])", lambda match: steer_at(float(match["bar"]))[match["side"] == "R"]),
    (r"RCK-rods-kept-toe(?P<side>[LR])", lambda match: kept("LR".index(match["side"]), left=8.0)),
    (r"RCK-height-only-toe", lambda match: kept(0)),
    (r"RCK-rod-change-(?P<side>[LR])", lambda match: rod_change("rod_left" if match["side"] == "L" else "rod_right")),
    (r"RCK-(?P<b>B-)?height(?P<up>[+-]\d+)-(?P<what>slope|25)", height),
    (r"RCK-zero-(?P<set>[AB])", null_height),
    (r"RCK-foreaft(?P<x>[+-]\d+)-(?P<which>inner|outer)", fore_aft),
    (r"RCK-len(?P<length>\d+)-(?P<what>curv|m60|60)", rod_slid),
    (r"RCK-ratio-(?P<set>[AB])(?P<speed>\d+)?(?P<mean>-mean)?", ratio),
    (r"TRN-out-ideal", lambda match: float(turning.ideal_outer(30.0, WHEELBASE, 1308.4))),
    (
        r"TRN-R",
        lambda match: float(turning.turning_radius(WHEELBASE, turning.ideal_outer(30.0, WHEELBASE, 1308.4), 8.333)),
    ),
    (r"TRN-A-err", lambda match: ackermann(turning.ackermann_error, "A", 70.0, 1308.396)),
    (r"TRN-A-pct", lambda match: ackermann(turning.ackermann_percent, "A", 70.0, 1308.396)),
    (r"TRN-B-pct", lambda match: ackermann(turning.ackermann_percent, "B", -60.0, 1457.186)),
    (r"TRN-A-D-70", lambda match: circle(70.0)),
    (r"TRN-A-D-78", lambda match: circle(78.0)),
    (r"TRN-A-D-62", lambda match: circle(-62.0)),
    (r"TRN-dev", lambda match: handbook_per_degree()),
]


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_published_swap(row: dict[str, str]) -> None:
    found = [read(match) for pattern, read in READERS if (match := re.fullmatch(pattern, row["id"]))]
    assert len(found) == 1
    tolerance = max(float(row["tolerance"]), 1e-9)
    assert found[0] == pytest.approx(float(row["value"]), abs=tolerance, rel=0)
