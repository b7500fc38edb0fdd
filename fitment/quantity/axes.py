"""The axes of a survey in words, and how its points turn into the project's own: x forward, y left, z up."""

from __future__ import annotations

import re
from functools import cache

from fitment.errors import DataFault
from fitment.frozen import dataclass
from fitment.quantity.written import quoted

#: the wording of the project's own axes
OWN_AXES = "x forward, y left, z up"

#: word -> which of the project's own axes it lies along, and which way
_WORDS = {
    "forward": (0, 1),
    "rearward": (0, -1),
    "left": (1, 1),
    "right": (1, -1),
    "up": (2, 1),
    "down": (2, -1),
}

_AXIS = re.compile(r"(?P<axis>[xyz])\s+(?P<word>[a-z]+)")

Triple = tuple[float, float, float]


@dataclass(frozen=True)
class Axes:
    """The axes that points were read in.

    Attributes:
        along: for x, y and z, which of the project's own axes it lies along (0 to 2) and which way (1 or -1).
    """

    along: tuple[tuple[int, int], tuple[int, int], tuple[int, int]]

    def into_own(self, point: Triple) -> Triple:
        """A point read in these axes, in the project's own: x forward, y left, z up. Its unit stays."""
        turned = [0.0, 0.0, 0.0]
        for coordinate, (axis, way) in zip(point, self.along, strict=True):
            turned[axis] = way * coordinate
        return turned[0], turned[1], turned[2]


@cache
def parse_axes(text: str) -> Axes:
    """Axes as a sitting states them: ``x forward, y left, z up``, or any other three of the same words.

    Sets of either hand are taken as stated, since the words leave nothing open.

    Raises:
        DataFault: an axis or a direction is missing or named twice, or a word is none of the six.
    """
    pieces = [piece.strip() for piece in text.casefold().split(",")]
    found = [match for match in map(_AXIS.fullmatch, pieces) if match is not None]
    told = {match["axis"]: _WORDS.get(match["word"]) for match in found}
    along = [told.get(axis) for axis in "xyz"]
    known = [one for one in along if one is not None]
    if len(pieces) != 3 or len(known) != 3:
        raise _fault(text, "does not say which way x, y and z point")
    if len({axis for axis, _ in known}) != 3:
        raise _fault(text, "has two axes along one line")
    return Axes((known[0], known[1], known[2]))


def _fault(text: str, what: str) -> DataFault:
    return DataFault(
        f"{quoted(text)} {what}",
        mending=f'write it like "{OWN_AXES}": forward or rearward, left or right, up or down, each once',
        code="axes-01",
    )


def datum_of(datum: str, sitting: str) -> str:
    """A datum by the words of its sitting; where it has none it is that sitting's own, shared with no other."""
    return " ".join(datum.casefold().split()) or f"the unnamed datum of {sitting}"
