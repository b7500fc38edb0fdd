"""What the align commands share: toe out of an option, sides and senses in words, the cautions, what they print."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Annotated, Any

import typer

from fitment.cli.bench_reading import Taken, take
from fitment.cli.common import hint, say, say_json
from fitment.errors import DataFault, FitmentError, UsageFault
from fitment.frozen import dataclass

if TYPE_CHECKING:
    from fitment.quantity.parse import Quantity

Base = Annotated[
    str | None,
    typer.Option("--base", help="Distance of the two points read on one rim: over the edge of its flange."),
]

#: more toe than this on one wheel is a slip of the reading, deg
MOST_TOE = 10.0

#: and a larger difference of two readings on one rim is, mm, where no base is given
MOST_LENGTH = 60.0

#: half-width of a toe that comes without its doubt, deg: by strings or toe plates (common practice, no source)
TOE_HALF_WIDTH = 0.1

#: common practice, no source
BEFORE = (
    "before reading: ride height, load and tyre pressures as driven, floor level, rack centred (half its turns from "
    "either lock) and the steering wheel held straight"
)
RUN_OUT = "read at the height of the hub; roll on half a turn of the wheel, read again, take the mean (rim run-out)"
AFTER = "last of all tighten the lock nuts of both rods, then read the toe again"

_ANGULAR = re.compile(r"deg|°|min|\d\s*['\u2032]", re.IGNORECASE)
_SENSE = re.compile(r"(?:^|[\s,])toe[- ]?(?P<toe>in|out)$|[\s,](?P<out>out)$", re.IGNORECASE)


@dataclass(frozen=True)
class Shown:
    """How an answer is shown: the units, as one object or not, with hints or not."""

    system: str
    as_json: bool
    quiet: bool


def take_base(text: str | None, system: str) -> Taken | None:
    """The base of --base, where it is given."""
    return None if text is None else take("--base", "base", text, system, "rule")


def nominal_rim(base: Taken | None) -> list[str]:
    """A caution where the base is a rim's nominal size to the millimetre, which is a tenth too small."""
    inches = round(base.value / 25.4) if base is not None else 0
    if base is None or not 10 <= inches <= 22 or abs(base.value - inches * 25.4) > 0.6:
        return []
    return [
        f"the base is the nominal size of a {inches} in rim; its flange stands about 34 mm (1 3/8 in) wider (from "
        "memory), so degrees come out a tenth too high: measure over the flange"
    ]


def in_range(option: str, length: float, base: float | None, system: str) -> None:
    """Refuses a difference of readings on one rim that no wheel has; both mm.

    Raises:
        DataFault: more toe than a car can have.
    """
    from fitment.geometry.alignment import toe_length

    most = MOST_LENGTH if base is None else toe_length(MOST_TOE, base)
    if abs(length) > most:
        raise DataFault(
            f"{shown(length, 'length', system)} of toe on one wheel is more than a car has",
            place=option,
            mending="look for a slip in one reading, and whether both are in the same unit",
            code="align-01",
        )


def take_toe(option: str, title: str, text: str, base: Taken | None, system: str, wheels: int = 1) -> Taken:
    """A toe as an angle (deg): ``0.2 deg``, ``12 min``, ``1.5 mm out``, ``1/16 in toe-in``; + is toe-in.

    A bare number is refused, since it may be an angle or a length. A toe without its own doubt has that of strings.

    Args:
        option: ``--toe-left``; its faults are said to be there.
        title: for people.
        text: as typed.
        base: what a length is over; None where none was given.
        system: "mm" or "inch", for what is said of it.
        wheels: 2 for the total of both wheels, which is read as twice their mean.

    Raises:
        DataFault: it cannot be read, or no car has so much.
        UsageFault: a length without a base.
    """
    from fitment.geometry.alignment import toe_angle, toe_angle_u
    from fitment.quantity.parse import standard_uncertainty

    plain, sign = _without_sense(option, text.strip())
    angular = _ANGULAR.search(plain) is not None
    quantity = _toe_quantity(option, plain, "angle" if angular else "length")
    if sign < 0 and quantity.value < 0:
        raise DataFault(f'"{text}" is minus and out', place=option, mending="write one of them", code="align-03")
    written = quantity.u is not None or quantity.half_width is not None
    u = standard_uncertainty(quantity)
    each = quantity.value / wheels
    if not angular:
        over = _needed(option, base)
        in_range(option, each, over.value, system)
        u = wheels * float(toe_angle_u(each, u / wheels, over.value, over.u))
        each = float(toe_angle(each, over.value))
    elif abs(each) > MOST_TOE:
        raise DataFault(
            f"{abs(each):g} deg of toe on one wheel is more than a car has",
            place=option,
            mending="look for a slip in the reading",
            code="align-01",
        )
    return Taken(
        name=option.lstrip("-"),
        title=title,
        kind="angle",
        value=sign * each * wheels,
        u=u if written else TOE_HALF_WIDTH * math.sqrt(wheels / 3),
        tool="as written" if written else "as by strings",
        entered=text.strip(),
    )


def _toe_quantity(option: str, text: str, kind: str) -> Quantity:
    """The number of a toe; a bare one is refused as what it is, not as a length without a unit."""
    from fitment.quantity.parse import parse_quantity

    try:
        return parse_quantity(text, kind)
    except FitmentError as fault:
        if re.search(r"[^\d\s.,/+-]", text):
            raise fault.at(option) from None
        raise DataFault(
            f'"{text}" may be an angle or a length at the rim',
            place=option,
            mending="write its unit: 0.25 deg, 15 min, 1.5 mm or 1/16 in",
            code="align-02",
        ) from None


def _needed(option: str, base: Taken | None) -> Taken:
    if base is None:
        raise UsageFault(
            f"{option} is a length, and --base does not say over what",
            mending="give --base, over the edge of the rim's flange, or the toe in deg",
            code="usage-20",
        )
    return base


def _without_sense(option: str, text: str) -> tuple[str, int]:
    """The text without "out", "toe-in" or "toe-out" at its end, and -1 for out."""
    match = _SENSE.search(text)
    if match is None:
        return text, 1
    rest = text[: match.start()].strip()
    if not rest:
        raise DataFault(f'"{text}" has no number', place=option, mending="write 1.5 mm out", code="align-04")
    return rest, 1 if (match["toe"] or "").casefold() == "in" else -1


def take_angle(option: str, title: str, text: str, signed: bool = True) -> Taken:
    """An angle with what doubt it was written with; none where it was written with none."""
    from fitment.quantity.parse import parse_quantity

    try:
        quantity = parse_quantity(text, "angle", "deg")
    except FitmentError as fault:
        raise fault.at(option) from None
    return as_given(option, title, "angle", quantity, signed)


def as_given(option: str, title: str, kind: str, quantity: Quantity, signed: bool = False) -> Taken:
    """A value that is chosen or known and not read with a tool: what doubt it was written with, else none.

    Raises:
        DataFault: it is not above zero, and must be.
    """
    from fitment.quantity.parse import standard_uncertainty

    if not signed and quantity.value <= 0:
        raise DataFault(
            f'"{quantity.entered}" is not above zero', place=option, mending="write what it is", code="align-05"
        )
    written = quantity.u is not None or quantity.half_width is not None
    taken = Taken(option.lstrip("-"), title, kind, quantity.value, 0.0, "taken as exact", quantity.entered)
    return replace(taken, u=standard_uncertainty(quantity), tool="as written") if written else taken


def toe_words(value: float) -> str:
    """Which way a toe goes."""
    return "toe-in" if value >= 0 else "toe-out"


def side_words(angle: float) -> str:
    """Which way an angle that is + to the left goes."""
    return "to the left" if angle >= 0 else "to the right"


def shown(value: float, kind: str, system: str, u: float | None = None) -> str:
    """A value without its sign, with its unit and doubt."""
    from fitment.quantity.show import show_quantity

    text = show_quantity(abs(value), kind, system, u)
    return f"{text} (u {show_quantity(u, kind, system, u)})" if u else text


def inch_fraction(length: float, system: str) -> str:
    """``, about 1/16 in`` for a length (mm) in an inch shop, to the nearest 1/32 in; "" elsewhere and for none."""
    from fractions import Fraction

    step = Fraction(round(abs(length) / 25.4 * 32), 32)
    if system != "inch" or step == 0:
        return ""
    whole, rest = divmod(step, 1)
    return f", about {' '.join(str(part) for part in (whole, rest) if part)} in"


def figure(value: float, u: float, unit: str) -> dict[str, Any]:
    """A number for --json."""
    return {"value": value, "u": u, "unit": unit}


def print_answer(
    asked: str,
    lines: Iterable[str],
    facts: dict[str, Any],
    taken: Sequence[Taken],
    results: dict[str, Any],
    cautions: Sequence[str],
    how: Shown,
    hinted: str,
) -> None:
    """Prints an answer: its lines, what was understood, the cautions; or the same as one object.

    Args:
        asked: ``toe``, ``rods`` or ``strings``.
        lines: the answer, its first line before all.
        facts: what was understood beside the readings, words only.
        taken: the readings.
        results: for --json.
        cautions: sentences.
        how: it is shown.
        hinted: a hint for people.
    """
    if how.as_json:
        understood = facts | {"readings": [one.object() for one in taken]}
        head = {"schema": "fitment.align/1", "asked": asked, "understood": understood}
        say_json(head | {"results": results, "cautions": list(cautions)})
        return
    first, *rest = lines
    told = ", ".join(f"{name.replace('_', ' ')} {text}" for name, text in facts.items() if text is not None)
    understood_lines = [
        f"understood: {told}" if told else "understood:",
        *(f"  {one.words(how.system)}" for one in taken),
    ]
    say(
        "\n".join(
            [first, "", *rest, *([""] if rest else []), *understood_lines, *(f"caution: {one}" for one in cautions)]
        )
    )
    hint(hinted, how.quiet)
