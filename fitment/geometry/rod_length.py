"""Length of a tie-rod assembly, ball centre to ball centre: what the car asks for, and what its threads can give.

Lengths in mm; car coordinates x forward, y left, z up. Every function takes floats or numpy arrays of one shape.
"""

from __future__ import annotations

from typing import Any

from fitment.elementwise import maximum, minimum, sqrt


def half_spacing_by_bar(bar_length: Any, ball_offset: Any) -> Any:
    """Middle of the bar to the ball centre of an inner joint on its end.

    Args:
        bar_length: bar end face to bar end face.
        ball_offset: ball centre of the joint to its shoulder, which lands on the bar end face.
    """
    return bar_length / 2 + ball_offset


def half_spacing_by_joints(inner_spacing: Any, joint_offset: Any, ball_offset: Any) -> Any:
    """Middle of the bar to the ball centre of another inner joint than the one that the rack was measured with.

    Args:
        inner_spacing: ball centre to ball centre of the rack's own inner joints.
        joint_offset: ball centre of these to the bar end face.
        ball_offset: ball centre of the joint now fitted to its shoulder.
    """
    return inner_spacing / 2 + ball_offset - joint_offset


def distance(first: tuple[Any, Any, Any], second: tuple[Any, Any, Any]) -> Any:
    """Distance of two points."""
    dx, dy, dz = (b - a for a, b in zip(first, second, strict=True))
    return sqrt(dx * dx + dy * dy + dz * dz)


def slope(first: tuple[Any, Any, Any], second: tuple[Any, Any, Any]) -> Any:
    """How much the distance of two points grows per mm by which the second is raised: the rise over the distance."""
    return (second[2] - first[2]) / distance(first, second)


def assembled_length(rod: Any, end: Any, engaged: Any) -> Any:
    """Ball centre to ball centre with so much thread engaged.

    Args:
        rod: inner ball centre to the outer end of the rod's thread.
        end: outer ball centre to the end of its shank or of its female thread.
        engaged: how far one goes into the other.
    """
    return rod + end - engaged


def engaged_at(rod: Any, end: Any, length: Any) -> Any:
    """How far the thread goes in at this length ball centre to ball centre; the reverse of `assembled_length`."""
    return rod + end - length


def parted_length(together: Any, was: Any, adapter: Any, near: Any, far: Any) -> Any:
    """A length across one thread, once its two ends are parted and an adapter put between them.

    Args:
        together: the length as it was taken.
        was: how far the two were screwed into one another then.
        adapter: length of the adapter over everything.
        near, far: how far either end of the adapter is screwed together with its part.
    """
    return together + was + adapter - near - far


def least_engaged(full: float, pitch: float, witness: Any) -> Any:
    """How far the thread must go in at the longest setting.

    Args:
        full: full thread that is asked for.
        pitch: two pitches are added: the first threads of either end are not full ones.
        witness: end to the mark or hole that the thread must pass; 0 where there is none.
    """
    return maximum(full + 2 * pitch, witness)


def most_engaged(male: Any, female: Any, jam_nut: Any) -> Any:
    """How far the thread can go in at the shortest setting: it bottoms, or the jam nut meets the end of the thread.

    Args:
        male: length of the male thread.
        female: depth of the female thread.
        jam_nut: thickness of the jam nut on the male thread.
    """
    return minimum(female, male - jam_nut)
