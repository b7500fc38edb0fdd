"""Corners and steerings of the published hardpoint sets, and small helpers for geometry's tests."""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from fitment.geometry.frames import Vector
from fitment.geometry.rack import rack_between
from fitment.geometry.steering import Steering, set_rods
from fitment.geometry.suspension import Corner, Strut, Wishbones
from fitment.geometry.wheel import LEFT, RIGHT

PUBLISHED = Path(__file__).parents[1] / "published"

#: static toe-in and camber per wheel, deg; the other sets have none (two of them state it, for two it is assumed)
STATIC = {"A": (0.125, -0.5), "B": (0.1, -0.25), "C": (0.125, -0.5)}

#: loaded radius of the invented cases' tyres, mm
LOADED_RADIUS = 290.0

Points = dict[str, Vector]


def published(name: str) -> list[dict[str, str]]:
    """The rows of ``tests/published/<name>.csv``."""
    with (PUBLISHED / f"{name}.csv").open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))


@cache
def hardpoints(name: str) -> dict[str, Points]:
    """Points of both sides; where a set gives the left ones alone, the right ones are their mirror."""
    points: dict[str, Points] = {"left": {}, "right": {}}
    for row in published("kinematics_hardpoints"):
        if row["set"] == name:
            points[row["side"]][row["point"]] = Vector(float(row["x [mm]"]), float(row["y [mm]"]), float(row["z [mm]"]))
    if not points["right"]:
        points["right"] = {point: mirrored(at) for point, at in points["left"].items()}
    return points


def mirrored(point: Vector) -> Vector:
    """The point on the other side of the car."""
    return Vector(point.x, -1 * point.y, point.z)


def corner_of(points: Points, side: int, toe: float = 0.0, camber: float = 0.0) -> Corner:
    """The corner of one side's points."""
    lower = (points["lower_inner_front"], points["lower_inner_rear"], points["lower_ball_joint"])
    links: Strut | Wishbones
    if "strut_top_mount" in points:
        links = Strut(*lower, points["strut_top_mount"], points["strut_axis_lower_point"])
    else:
        links = Wishbones(*lower, points["upper_inner_front"], points["upper_inner_rear"], points["upper_ball_joint"])
    return Corner(side, links, points["tie_rod_outer"], points["wheel_centre"], toe, camber)


@cache
def steering_of(name: str) -> Steering:
    """The steering of a set, rods set at its static toe."""
    points, angles = hardpoints(name), STATIC.get(name, (0.0, 0.0))
    return set_rods(
        rack_between(points["left"]["tie_rod_inner"], points["right"]["tie_rod_inner"]),
        corner_of(points["left"], LEFT, *angles),
        corner_of(points["right"], RIGHT, *angles),
    )


def turned(direction: Vector, axis: Vector, angle: Any) -> Vector:
    """A direction turned about a unit axis by an angle in radians, right-handed (formula of Rodrigues)."""
    cos, sin = np.cos(angle), np.sin(angle)
    return direction * cos + axis.cross(direction) * sin + axis * (axis.dot(direction) * (1 - cos))
