"""What a turn of a tie rod does, and a wanted change of toe as turns that can be made under the car."""

from __future__ import annotations

import math
import re
from typing import Any

from fitment.cli.align_reading import as_given, figure, shown, take_angle, toe_words
from fitment.cli.bench_reading import Taken, one_of, take
from fitment.errors import DataFault, FitmentError, UsageFault
from fitment.frozen import dataclass

#: pitches and arms (mm) beyond these are a slip of the pen
_PITCHES = (0.3, 5.0)
_ARMS = (40.0, 400.0)

#: less is no turn (a fiftieth of a flat would be shown as nothing)
_NO_TURN = 0.005


@dataclass(frozen=True)
class Adjuster:
    """What a turn does.

    Attributes:
        per_turn: mm added to the rod.
        toe: deg that one turn changes its wheel.
        u_share: relative standard uncertainty of `toe`.
    """

    per_turn: float
    toe: float
    u_share: float


@dataclass(frozen=True)
class Turn:
    """What one rod asks for.

    Attributes:
        turns, u: towards toe-in, with standard uncertainty.
        rod: "longer" or "shorter"; None where it is not said on which side of the axis the rods lie.
        sense: "clockwise" or "anticlockwise", seen from the middle of the car; None where the thread is not said.
        top: "front" or "rear": towards which end of the car the rod's top then moves.
    """

    turns: float
    u: float
    rod: str | None
    sense: str | None
    top: str | None

    @property
    def moves(self) -> bool:
        """Whether there is anything to turn."""
        return abs(self.turns) >= _NO_TURN

    def words(self) -> str:
        """``0.46 turn (2.8 flats, u 0.09 turn) shorter, clockwise``."""
        if not self.moves:
            return f"no turn (u {self.u:.2f} turn)"
        way = self.rod or f"towards {toe_words(self.turns)}"
        turned = f", {self.sense}" if self.sense else ""
        return f"{abs(self.turns):.2f} turn ({abs(self.turns) * 6:.1f} flats, u {self.u:.2f} turn) {way}{turned}"

    def object(self) -> dict[str, Any]:
        """For --json."""
        return {
            "turns": figure(abs(self.turns), self.u, "turn"),
            "towards": toe_words(self.turns),
            "rod": self.rod,
            "sense": self.sense,
            "top_towards": self.top,
        }


def take_adjuster(
    pitch: str | None, tpi: str | None, sleeve: bool, arm: str, castor: str, kpi: str, system: str
) -> tuple[Adjuster, list[Taken]]:
    """What a turn does, and the readings that say so."""
    from fitment.geometry.alignment import axis_z, length_per_turn
    from fitment.geometry.results import toe_per_mm
    from fitment.quantity.parse import parse_quantity
    from fitment.quantity.units import system_unit

    one_of({"--pitch": pitch, "--tpi": tpi})
    option, text = ("--tpi", tpi) if tpi is not None else ("--pitch", pitch)
    if text is None:
        raise UsageFault("the thread's pitch is missing", mending="give --pitch 1.5 or --tpi 18", code="usage-28")
    kind = "number" if tpi is not None else "length"
    try:
        quantity = parse_quantity(text, kind, None if tpi is not None else system_unit("length", system))
    except FitmentError as fault:
        raise fault.at(option) from None
    thread = as_given(option, "threads per inch" if tpi is not None else "pitch", kind, quantity)
    step = 25.4 / thread.value if tpi is not None else thread.value
    if not _PITCHES[0] <= step <= _PITCHES[1]:
        raise DataFault(
            f"{shown(step, 'length', system)} is no pitch of a tie rod",
            place=option,
            mending='write --pitch "1.5 mm", or --tpi 18 for an inch thread',
            code="align-08",
        )
    length = take("--arm", "arm about the steering axis", arm, system, "tape")
    if not _ARMS[0] <= length.value <= _ARMS[1]:
        raise DataFault(
            f"{shown(length.value, 'length', system)} is no arm of a steered wheel",
            place="--arm",
            mending="measure from the steering axis square to the tie rod; 100 to 180 mm is usual",
            code="align-09",
        )
    back = take_angle("--castor", "castor", castor)
    inward = take_angle("--kpi", "steering-axis inclination", kpi)
    if max(abs(back.value), abs(inward.value)) > 30:
        raise DataFault(
            "no steering axis leans by more than 30 deg",
            place="--castor, --kpi",
            mending="write both in deg; 2 to 8 of castor and 6 to 14 of inclination are usual",
            code="align-10",
        )
    per_turn = float(length_per_turn(step, sleeve))
    toe = per_turn * float(toe_per_mm(length.value, axis_z(back.value, inward.value)))
    share = math.hypot(length.u / length.value, thread.u / thread.value)
    leans = [one for one in (back, inward) if one.entered != "0"]
    return Adjuster(per_turn, toe, share), [thread, length, *leans]


def take_hands(text: str | None) -> tuple[str | None, str | None]:
    """Hand of the outer thread, left and right.

    Raises:
        UsageFault: it is neither RH nor LH.
    """
    if text is None:
        return None, None
    hands = [part.strip().upper() for part in re.split(r"[,/]", text)]
    if len(hands) > 2 or not set(hands) <= {"RH", "LH"}:
        raise UsageFault(
            f'--hand is "{text}"', mending="RH or LH for both rods, or left and right: RH,LH", code="usage-29"
        )
    return hands[0], hands[-1]


def rods_ahead(rack: str | None) -> bool | None:
    """Whether the rods lie ahead of the steering axes.

    Raises:
        UsageFault: neither word.
    """
    if rack not in (None, "ahead", "behind"):
        raise UsageFault(f'--rack is "{rack}"', mending="allowed: ahead, behind", code="usage-30")
    return None if rack is None else rack == "ahead"


def turn_of(turns: float, u: float, ahead: bool | None, hand: str | None, left: bool) -> Turn:
    """The turn in words, as far as they can be said."""
    from fitment.geometry.alignment import clockwise, longer, top_goes_forward

    if ahead is None:
        return Turn(turns, u, None, None, None)
    lengthens = float(longer(turns, ahead)) >= 0
    rod = "longer" if lengthens else "shorter"
    if hand is None:
        return Turn(turns, u, rod, None, None)
    right_round = clockwise(lengthens, hand)
    top = "front" if top_goes_forward(right_round, left) else "rear"
    return Turn(turns, u, rod, "clockwise" if right_round else "anticlockwise", top)
