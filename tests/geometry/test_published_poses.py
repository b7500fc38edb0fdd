"""Every published row on poses, slopes, joints and limits of the three invented cases and the four data sets."""

from __future__ import annotations

import re
from collections.abc import Callable

import numpy as np
import pytest

from fitment.geometry import slopes, steering_axis, wheel
from fitment.geometry.axis_pose import axis_at
from fitment.geometry.frames import Vector
from fitment.geometry.steering import dead_centres, inner_joint_angle, outer_joint_angle, wheels
from fitment.geometry.suspension import Wishbones, upper_end
from fitment.geometry.upright import WheelPose
from tests.support.corners import LOADED_RADIUS, published, steering_of

ROWS = published("kinematics_poses")

SETS = r"(?P<set>[ABC]|PUB-chrono_\w+)"
SIDE = {"L": 0, "R": 1}


def of(match: re.Match[str], bar: float = 0.0, left: float = 0.0, right: float = 0.0) -> tuple[WheelPose, WheelPose]:
    return wheels(steering_of(match["set"].removeprefix("PUB-")), bar, left, right)


def angle(pose: WheelPose, what: str) -> float:
    return float({"steer": pose.steer, "camber": pose.camber, "toe": pose.toe_in}[what])


def static(match: re.Match[str]) -> float:
    left = steering_of(match["set"].removeprefix("PUB-")).left
    lower = left.links.lower_ball
    up = upper_end(left.links) - lower
    contact = wheel.contact_centre(left.wheel_centre, left.spin, LOADED_RADIUS)
    ground = steering_axis.ground_point(lower, up, contact.z)
    inner = steering_of(match["set"].removeprefix("PUB-")).rod(1, 0.0).inner
    return float(
        {
            "caster": steering_axis.castor(up),
            "kpi": steering_axis.inclination(up, 1),
            "scrub": steering_axis.scrub_radius(ground, contact, 1),
            "trail": steering_axis.trail(ground, contact),
            "arm": steering_axis.moment_arm(lower, up, left.arm_eye, inner),
        }[match["what"]]
    )


def bar_rate(match: re.Match[str]) -> float:
    direction = steering_of(match["set"]).rack.direction
    return float(slopes.steer_per_bar(of(match)[0], direction, arm_held=bool(match["held"])))


def rod(match: re.Match[str]) -> float:
    steering = steering_of(match["set"].removeprefix("PUB-"))
    return float(steering.rod_right if match["side"] == "R" else steering.rod_left)


def bump_slope(match: re.Match[str]) -> float:
    return float(slopes.bump_toe(of(match)[SIDE[match["side"] or "L"]]))


def by_bar(match: re.Match[str]) -> float:
    return angle(of(match, float(match["bar"]))[SIDE[match["side"]]], match["what"])


def by_travel(match: re.Match[str]) -> float:
    travel = float(match["travel"])
    return angle(of(match, 0.0, travel, travel)[SIDE[match["side"] or "L"]], match["what"])


def wheel_centre(match: re.Match[str]) -> float:
    centre = of(match, 0.0, float(match["travel"]))[0].wheel_centre
    return float(centre.x if match["axis"] == "x" else centre.y)


def combined(match: re.Match[str]) -> float:
    pose = of(match, float(match["bar"]), float(match["left"]), float(match["right"]))[SIDE[match["side"]]]
    return angle(pose, match["what"])


def rack_limit(match: re.Match[str]) -> float:
    left, right = dead_centres(steering_of(match["set"]), 1)
    return float(left if match["way"] == "+" else right)


def arm_limit(match: re.Match[str]) -> float:
    """Bisection on whether the upper arm closes; the row counts droop as positive, about the pivots front to rear."""
    links = steering_of("A").left.links
    assert isinstance(links, Wishbones)
    closes, fails = 0.0, 90.0
    while fails - closes > 1e-9:
        middle = (closes + fails) / 2
        if axis_at(links, np.radians(-middle)).margin >= 0:
            closes = middle
        else:
            fails = middle
    return closes


def joint_angle(match: re.Match[str]) -> float:
    steering = steering_of(match["set"])
    left = wheels(steering, np.arange(-70.0, 71.0, 10.0), np.arange(-60.0, 61.0, 10.0)[:, None])[0]
    assert left.reached.all()
    if match["which"] == "inner":
        return float(np.max(inner_joint_angle(left, steering.rack.direction)))
    return float(np.max(outer_joint_angle(left, Vector(0.0, 0.0, 1.0))))


def both_cambers(match: re.Match[str]) -> float:
    left = wheels(steering_of("A"), 70.0)[0]
    return float(left.camber if match["how"] == "incl" else wheel.camber_front_view(left.spin, 1))


READERS: list[tuple[str, Callable[[re.Match[str]], float]]] = [
    (SETS + r"(?:-static)?-(?P<what>caster|kpi|scrub|trail|arm)", static),
    (SETS + r"-rate0(?P<held>-armfixed)?", bar_rate),
    (SETS + r"-(?:tierod-(?P<side>[LR])|Lt)", rod),
    (SETS + r"-slope(?:-(?P<side>[LR]))?", bump_slope),
    (SETS + r"-camslope", lambda match: float(slopes.bump_camber(of(match)[0]))),
    (SETS + r"-rack-?(?P<bar>[+-]\d+)-(?P<what>steer|camber)-(?P<side>[LR])", by_bar),
    (SETS + r"-bump(?P<travel>[+-]\d+)-(?P<what>toe|camber)(?:-(?P<side>[LR]))?", by_travel),
    (SETS + r"-bump(?P<travel>[+-]\d+)-wc(?P<axis>[xy])", wheel_centre),
    (
        SETS
        + r"-combo-r(?P<bar>[+-]\d+)-zl(?P<left>[+-]\d+)-zr(?P<right>[+-]\d+)-(?P<what>steer|camber)-(?P<side>[LR])",
        combined,
    ),
    (r"LIM-(?P<set>[AB])-rack(?P<way>[+-])", rack_limit),
    (r"LIM-A-arm", arm_limit),
    (r"JNT-(?P<set>[ABC])-(?P<which>inner|outer)", joint_angle),
    (r"CAM-A-70-(?P<how>incl|front)", both_cambers),
]


@pytest.mark.parametrize("row", ROWS, ids=[row["id"] for row in ROWS])
def test_published_pose(row: dict[str, str]) -> None:
    found = [read(match) for pattern, read in READERS if (match := re.fullmatch(pattern, row["id"]))]
    assert len(found) == 1
    assert found[0] == pytest.approx(float(row["value"]), abs=float(row["tolerance"]), rel=0)
