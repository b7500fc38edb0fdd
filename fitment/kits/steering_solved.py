"""A car's steering solved: the poses and points that several results share, each made once."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from typing import Any

from fitment.joints.answering import Size, formula, size_of
from fitment.kits.car_corner import SIGNS, surveyed_corner
from fitment.kits.car_model import CarModel
from fitment.kits.roles import SIDES


class Solved:
    """A model with what several results share, each solved once.

    Args:
        model: the car.
    """

    def __init__(self, model: CarModel):
        self.model = model
        (self.rebound, self.bump), self.notes = model.travels()

    @cached_property
    def racked(self) -> Size:
        """The steering where a rack moves it; not known for any other gear."""
        return formula(lambda steering, _: steering, self.model.steering, self.model.gear)

    @cached_property
    def straight(self) -> Size:
        """Both wheels' poses at ride height, straight ahead."""
        return formula(lambda steering: _wheels(steering, 0.0), self.model.steering)

    @cached_property
    def rate(self) -> Size:
        """Mean steer of both wheels per mm of bar on centre, deg/mm; minus with the arms behind."""
        return formula(_rate, self.racked, self.straight)

    @cached_property
    def turned(self) -> dict[str, Size]:
        """Displacement of the bar that steers to one side as far as its stop lets it, mm.

        Which of the two stops that is follows from which way the wheels turn as the bar moves.
        """
        left, right = self.model.stops
        return {
            "left": formula(_chosen, self.rate, left, right),
            "right": formula(_chosen, self.rate, right, left),
        }

    @cached_property
    def locks(self) -> dict[str, Size]:
        """Both wheels' poses on left and on right lock."""
        return {side: self.at_bar(self.turned[side]) for side in SIDES}

    def at_bar(self, bar: Size) -> Size:
        """Both wheels' poses at ride height with the bar displaced."""
        return formula(_wheels, self.racked, bar)

    def travelled(self, side: str, travel: Any) -> Size:
        """One wheel's pose with its centre raised by `travel` mm, the bar straight."""
        sign = SIGNS[side]

        def pose(steering: Any, corner: Any) -> Any:
            from fitment.geometry.upright import at_travel

            return at_travel(corner, steering.rod(sign, 0.0), travel)

        return formula(pose, self.model.steering, self.model.wheels[side].moving)

    @cached_property
    def contact(self) -> dict[str, Size]:
        """Centre of tyre contact at ride height."""
        from fitment.geometry.wheel import contact_centre

        radius = size_of(self.model.body, "rolling-radius")
        return {
            side: formula(
                lambda corner, centre, loaded: contact_centre(centre, corner.spin, loaded),
                wheel.corner,
                wheel.centre,
                radius,
            )
            for side, wheel in self.model.wheels.items()
        }

    @cached_property
    def foot(self) -> dict[str, Size]:
        """Where the steering axis meets the ground."""
        from fitment.geometry.steering_axis import ground_point

        return {
            side: formula(lambda low, up, at: ground_point(low, up, at.z), wheel.lower, wheel.up, self.contact[side])
            for side, wheel in self.model.wheels.items()
        }

    @cached_property
    def scrub(self) -> dict[str, Size]:
        """Scrub radius, mm: by the points, else as measured."""
        from fitment.geometry.steering_axis import scrub_radius

        found = {}
        for side, wheel in self.model.wheels.items():
            by_points = formula(_signed(scrub_radius, wheel.sign), self.foot[side], self.contact[side])
            measured = size_of(surveyed_corner(self.model.vehicle, side), "scrub")
            found[side] = measured if measured.known and not by_points.known else by_points
        return found

    @cached_property
    def kingpin_track(self) -> Size:
        """Distance of the two steering axes on the ground, mm."""
        return formula(lambda left, right: left.y - right.y, *(self.foot[side] for side in SIDES))


def _rate(steering: Any, poses: Any) -> Any:
    from fitment.geometry.slopes import steer_per_bar

    along = steering.rack.direction
    return (steer_per_bar(poses[0], along) + steer_per_bar(poses[1], along)) / 2


def _chosen(rate: Any, ahead: Any, behind: Any) -> Any:
    import numpy as np

    return np.where(rate > 0, ahead, behind)


def _wheels(steering: Any, bar: Any) -> Any:
    from fitment.geometry.steering import wheels

    return wheels(steering, bar)


def _signed(rule: Callable[..., Any], sign: int) -> Callable[..., Any]:
    return lambda *values: rule(*values, sign)
