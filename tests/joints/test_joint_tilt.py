"""Tilt of spherical rod ends and swing of ball studs, against tabled sizes and closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.joints.tilt import ball_stud_swing, tilt_between_cheeks, tilt_to_ball_face
from tests.support.corners import published

ROWS = {row["id"]: row for row in published("joint_tilt_boots")}
SIZES = sorted({name.split("-")[1] for name in ROWS if name.startswith("RODK-")}, key=lambda size: int(size[1:]))

#: rows that the table's own source doubts: a1 rounds to neither
SUSPECT = {"M6", "M14"}


def value(size: str, what: str) -> float:
    return float(ROWS[f"RODK-{size}-{what}"]["value"])


def sizes(size: str) -> tuple[float, float, float, float]:
    wide, narrow, face, head = (value(size, what) for what in ("B", "C", "d3", "d4"))
    return wide, narrow, face, head


@pytest.mark.parametrize("size", SIZES)
def test_the_series_k_table(size: str) -> None:
    wide, narrow, face, head = sizes(size)
    for what, found in (
        ("A1", tilt_to_ball_face(wide, narrow, face)),
        ("A2", tilt_between_cheeks(wide, narrow, head)),
    ):
        row = ROWS[f"RODK-{size}-{what}"]
        assert found == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("size", [size for size in SIZES if size not in SUSPECT])
def test_the_tabled_tilt_is_the_formula_rounded_down(size: str) -> None:
    wide, narrow, face, _ = sizes(size)
    assert math.floor(tilt_to_ball_face(wide, narrow, face)) == value(size, "W")


@pytest.mark.parametrize("size", SIZES)
def test_flat_cheeks_leave_about_half_of_the_tilt(size: str) -> None:
    wide, narrow, face, head = sizes(size)
    assert 0.48 < tilt_between_cheeks(wide, narrow, head) / tilt_to_ball_face(wide, narrow, face) < 0.6


def test_the_swing_of_a_ball_stud() -> None:
    row = ROWS["SWING-1"]
    assert ball_stud_swing(24.0, 9.0, 14.0) == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


@given(st.floats(5.0, 30.0), st.floats(0.5, 0.95), st.floats(1.1, 3.0))
def test_a_head_turned_by_its_tilt_touches_the_cheek(wide: float, share: float, across: float) -> None:
    """The head is a rectangle `narrow` by `head` in the plane of the axis; turned by the tilt its corner is at B/2."""
    narrow, head = share * wide, across * wide
    turn = math.radians(tilt_between_cheeks(wide, narrow, head))
    corner = head / 2 * math.sin(turn) + narrow / 2 * math.cos(turn)
    assert corner == pytest.approx(wide / 2, rel=1e-9)


def test_many_at_once_are_the_same_as_one_by_one() -> None:
    wide, narrow, face, head = (np.array(one) for one in zip(*map(sizes, SIZES), strict=True))
    assert tilt_to_ball_face(wide, narrow, face) == pytest.approx(
        [tilt_to_ball_face(*sizes(size)[:3]) for size in SIZES]
    )
    swings = np.asarray(ball_stud_swing(np.array([24.0, 24.0]), np.array([9.0, 9.0]), np.array([14.0, 14.0])))
    assert swings == pytest.approx(ball_stud_swing(24.0, 9.0, 14.0))
    assert np.shape(tilt_between_cheeks(wide, narrow, head)) == (len(SIZES),)
