"""A steering wheel that stands off centre: what its spline takes up, and what is left for the rods."""

from __future__ import annotations

import re

from fitment.cli.align_reading import as_given, side_words, take_angle
from fitment.cli.bench_reading import Taken
from fitment.errors import DataFault, FitmentError, UsageFault
from fitment.frozen import dataclass

_SIDE = re.compile(r"(?P<angle>.*?)[\s,]*\b(?:to the )?(?P<side>left|right)", re.IGNORECASE)

#: a 1980s workshop manual allows the rods to correct so much only, deg (handbook, looked up on a public copy)
_MOST = 60.0


@dataclass(frozen=True)
class WheelOff:
    """Where the steering wheel stands while the car drives straight.

    Attributes:
        speed: mm of rack per turn of the steering wheel; None where not given.
        angle, u: deg, + to the left, and its standard uncertainty.
        count: teeth of its spline; None where not given.
        teeth: by how many whole teeth it is to be moved, + to the left; None where the spline is not given.
        taken: the readings.
    """

    speed: float | None
    angle: float
    u: float
    count: int | None
    teeth: int | None
    taken: tuple[Taken, ...]

    @property
    def rest(self) -> float:
        """What the rods are to turn the steering wheel by, deg; + where it stands to the left of it after its teeth."""
        from fitment.standards.splines import index_step

        return self.angle + (self.teeth * index_step(self.count) if self.teeth and self.count else 0.0)

    def shifts(self, per_turn: float) -> tuple[tuple[float, float], float]:
        """Turns towards toe-in that this adds to the left and to the right rod, and their standard uncertainty.

        A steering wheel that stands to the left is brought back while both road wheels are steered left by the rods,
        which is toe-out on the left and toe-in on the right.
        """
        from fitment.geometry.alignment import rod_length_for_wheel

        if self.speed is None:
            return (0.0, 0.0), 0.0
        turns = float(rod_length_for_wheel(self.rest, self.speed)) / per_turn
        return (-turns, turns), float(rod_length_for_wheel(self.u, self.speed)) / per_turn

    def standing(self, steer: float, toe_rate: float) -> list[str]:
        """How the steering wheel stands before the rods are turned.

        Args:
            steer: where both front wheels point together with it straight, deg to the left of the way the car goes.
            toe_rate: deg per mm of rod.
        """
        from fitment.geometry.alignment import wheel_angle

        if self.speed is None:
            return []
        off = float(wheel_angle(steer, toe_rate, self.speed))
        return [f"as it is now, the steering wheel stands {abs(off):.1f} deg {side_words(-off)} driving straight"]

    def lines(self, per_turn: float) -> list[str]:
        """What is moved on the spline, and how much rod a degree of the steering wheel asks for."""
        from fitment.geometry.alignment import rod_turns_per_wheel_turn

        if self.speed is None:
            return []
        ratio = rod_turns_per_wheel_turn(self.speed, per_turn)
        lines = [f"one degree of steering wheel is {ratio:.1f} deg of each rod, one longer and the other shorter"]
        if self.teeth:
            plural = "tooth" if abs(self.teeth) == 1 else "teeth"
            lines.insert(
                0,
                f"first move the steering wheel {abs(self.teeth)} {plural} of {self.count} {side_words(self.teeth)} on "
                f"its spline; the rods take the other {abs(self.rest):.1f} deg",
            )
        return lines

    @property
    def cautions(self) -> list[str]:
        """What the rods are not for."""
        if not self.angle:
            return []
        told = [
            "centre the rack before the steering wheel is moved: a wheel set anew on its spline hides a rack off centre"
        ]
        if self.teeth is None:
            told.append("whole teeth are for the spline (--spline 36), never for the rods: they would put the rack off")
        if abs(self.rest) > _MOST:
            told.append(f"a workshop manual corrects up to {_MOST:g} deg with the rods, no more (handbook, looked up)")
        return told


def take_wheel(off: str | None, speed: str | None, spline: str | None, total: bool, system: str) -> WheelOff:
    """The steering wheel out of --wheel-off, --rack-speed and --spline.

    Args:
        total: whether the total toe alone was read; else the toe of each wheel tells already where it stands.

    Raises:
        UsageFault: one of them is of no use without another.
    """
    from fitment.quantity.parse import parse_quantity
    from fitment.quantity.units import system_unit
    from fitment.standards.splines import index_step

    if off is not None and not total:
        raise UsageFault(
            "--wheel-off is in the toe of each wheel already, read with the steering wheel straight",
            mending="leave it out, or give --toe for the total alone",
            code="usage-31",
        )
    for option, text, needed, given in (
        ("--wheel-off", off, "--rack-speed", speed),
        ("--spline", spline, "--wheel-off", off),
    ):
        if text is not None and given is None:
            raise UsageFault(f"{option} needs {needed}", mending=f"give {needed}", code="usage-32")
    if speed is None:
        return WheelOff(None, 0.0, 0.0, None, None, ())
    try:
        travel = parse_quantity(speed, "rate", system_unit("rate", system))
    except FitmentError as fault:
        raise fault.at("--rack-speed") from None
    taken = [as_given("--rack-speed", "rack speed", "rate", travel)]
    if off is None:
        return WheelOff(travel.value, 0.0, 0.0, None, None, tuple(taken))
    angle = _angle(off)
    taken.append(angle)
    if spline is None:
        return WheelOff(travel.value, angle.value, angle.u, None, None, tuple(taken))
    count = _count(spline)
    taken.append(count)
    # halves go to the rods: the nearest tooth leaves half a tooth at most
    teeth = -round(angle.value / index_step(int(count.value)))
    return WheelOff(travel.value, angle.value, angle.u, int(count.value), teeth, tuple(taken))


def _angle(text: str) -> Taken:
    """The steering wheel's angle, + to the left.

    Raises:
        DataFault: it does not say to which side.
    """
    match = _SIDE.fullmatch(text.strip())
    if match is None:
        raise DataFault(
            f'"{text}" does not say to which side', place="--wheel-off", mending="write 10 deg left", code="align-11"
        )
    taken = take_angle("--wheel-off", "steering wheel off centre", match["angle"], signed=False)
    sign = 1 if match["side"].casefold() == "left" else -1
    return Taken(taken.name, taken.title, "angle", sign * taken.value, taken.u, taken.tool, text.strip())


def _count(text: str) -> Taken:
    """Teeth of the spline."""
    from fitment.quantity.parse import parse_quantity

    try:
        quantity = parse_quantity(text, "count")
    except FitmentError as fault:
        raise fault.at("--spline") from None
    if not 10 <= quantity.value <= 100:
        raise DataFault(
            f"{quantity.value:g} teeth are on no steering shaft",
            place="--spline",
            mending="count over the full circle, as if there were no flat",
            code="align-12",
        )
    return as_given("--spline", "teeth", "count", quantity)
