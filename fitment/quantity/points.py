"""Points and distances between holes out of the text that people write, and the one text that they are kept in.

A point is kept as ``x, y, z`` in mm, a set of distances as ``I-J kind value u`` in mm, parted by ``;``: plain decimals.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal
from typing import Protocol

from fitment.errors import DataFault
from fitment.frozen import dataclass
from fitment.quantity.parse import Quantity, parse_quantity, standard_uncertainty
from fitment.quantity.show import show_quantity
from fitment.quantity.units import Unit
from fitment.quantity.written import MAX_LENGTH, quoted, tidied

Triple = tuple[float, float, float]
Distance = tuple[int, int, str, float, float]

#: how a distance between two holes is taken: between their centres, near edges, far edges, or edges of the same side
DISTANCE_KINDS = ("centre", "inside", "outside", "edge")

#: decimals of what is kept: a nanometre is beyond any tool, and 12 in comes out as 304.8
_DECIMALS = 6

_LETTER = re.compile(r"(?<![^\W\d_])([xyz])\s*[=:]?\s*(?=[-+\u2212\u2013.\d])", re.IGNORECASE)
_DOUBT = re.compile(r"±|\+\s*/?\s*-|(?<![^\W\d_])u\s*=", re.IGNORECASE)
_UNIT_WORD = re.compile(r"[^\W\d_]+|[\"'\u2032\u2033\u201c\u201d\u2018\u2019]+")
_TIGHT = re.compile(r"(?<=\d),(?=\d)")
_DIGIT = re.compile(r"[\d\u00bc-\u00be\u2153-\u215e]")
_SPACED = re.compile(r"\s,|,\s")
_AFTER_UNIT = re.compile(r"(?<=[^\W\d_])\s*,|(?<=[\"'])\s*,")
_DISTANCE = re.compile(r"(?P<first>\d{1,2})\s*[-\u2013/]\s*(?P<second>\d{1,2})\s+(?P<kind>[^\W\d_]*)\s*(?P<value>.*)")

_MENDING = "write x, y and z like 12, -350.5, 88 or 12 mm, -350.5 mm, 88 mm"


class Valued(Protocol):
    """What has an adopted value."""

    @property
    def value(self) -> float | str:
        """A number, or the text of a word, of a point or of distances."""
        ...


@dataclass(frozen=True)
class Point:
    """A point read from text: its three coordinates, and the text as typed."""

    coordinates: tuple[Quantity, Quantity, Quantity]
    entered: str

    @property
    def mm(self) -> Triple:
        """x, y and z in mm."""
        x, y, z = self.coordinates
        return x.value, y.value, z.value

    @property
    def longest(self) -> float:
        """What the tool had to reach, mm: the largest coordinate without its sign."""
        return max(map(abs, self.mm))

    def u(self, tool_half_width: float | None = None) -> float:
        """Standard uncertainty of each coordinate, mm: the largest of the three.

        Args:
            tool_half_width: what the tool leaves in doubt of each coordinate, mm; None where that is not known.
        """
        return max(standard_uncertainty(one, tool_half_width) for one in self.coordinates)

    def stored(self, _u: float) -> str:
        """The text in which it is kept; the doubt stands beside it."""
        return point_text(self.mm)


@dataclass(frozen=True)
class HoleToHole:
    """A distance between two holes read from text: holes, kind (one of `DISTANCE_KINDS`), the length in mm."""

    first: int
    second: int
    kind: str
    length: Quantity

    @property
    def longest(self) -> float:
        """What the tool had to reach, mm."""
        return self.length.value

    def u(self, tool_half_width: float | None = None) -> float:
        """Standard uncertainty of the reading, mm, by what the tool leaves in doubt (mm; None if not known)."""
        return standard_uncertainty(self.length, tool_half_width)

    def stored(self, u: float) -> str:
        """The text in which it is kept, with its doubt `u` (mm)."""
        return distances_text([(self.first, self.second, self.kind, self.length.value, u)])


def _fault(entered: str, message: str, mending: str, code: str) -> DataFault:
    return DataFault(f"{quoted(entered)} {message}", mending=mending, code=code)


def parse_point(text: str, bare_unit: Unit | str | None = None) -> Point:
    """A point as people write it: ``12, -350.5, 88``, ``12 mm, -350,5 mm, 88 mm``, ``x=12 y=-350 z=88 ±2``.

    A unit, ``±`` or ``u=`` behind the last coordinate alone is that of all three. A decimal comma needs the letters or
    a unit after every coordinate.

    Args:
        text: the point as typed.
        bare_unit: the unit of coordinates without one; None to refuse them.

    Raises:
        DataFault: there are not three coordinates, they may mean two things, or one of them cannot be read.
    """
    entered = text.strip()
    if len(entered) > 3 * MAX_LENGTH:
        raise _fault(entered, f"is too long for a point ({len(entered)} characters)", _MENDING, "point-01")
    pieces = _lettered(entered) or _listed(entered)
    last_unit = _unit_of_all(entered, pieces)
    x, y, z = (parse_quantity(piece, "length", last_unit or bare_unit) for piece in pieces)
    doubts = [one.half_width is not None or one.u is not None for one in (x, y, z)]
    if any(doubts) and not all(doubts):
        if any(doubts[:2]):
            raise _mixed(entered, "±")
        x, y = (replace(one, half_width=z.half_width, u=z.u) for one in (x, y))
    return Point((x, y, z), entered)


def _unit_of_all(entered: str, pieces: list[str]) -> str | None:
    """The unit that stands behind the last coordinate alone, which is that of all three; None where none does so."""
    for piece in pieces:
        tidied(piece)
    units: list[set[str]] = [set(_UNIT_WORD.findall(_DOUBT.sub(" ", piece))) for piece in pieces]
    if all(units) or not any(units):
        return None
    if any(units[:2]) or len(units[2]) > 1:
        raise _mixed(entered, "a unit")
    return units[2].pop()


def _mixed(entered: str, what: str) -> DataFault:
    return _fault(
        entered, f"has {what} behind some coordinates only", f"write {what} behind all three, or once at the end",
        "point-03",
    )  # fmt: skip


def _lettered(entered: str) -> list[str] | None:
    """The texts of x, y and z where letters stand before them; None where there are no letters."""
    marks = list(_LETTER.finditer(entered))
    if not marks:
        return None
    if [mark[1].casefold() for mark in marks] != ["x", "y", "z"] or entered[: marks[0].start()].strip():
        raise _fault(entered, "does not name x, y and z in turn", "write it like x=12 y=-350.5 z=88", "point-01")
    ends = [mark.start() for mark in marks[1:]] + [len(entered)]
    return [entered[mark.end() : end].strip().removesuffix(",").strip() for mark, end in zip(marks, ends, strict=True)]


def _listed(entered: str) -> list[str]:
    """The texts of three coordinates parted by commas."""
    commas = entered.count(",")
    pieces = entered.split(",") if commas == 2 else _AFTER_UNIT.split(entered)
    tight = len(_TIGHT.findall(entered))
    if commas > 2 and len(pieces) != 3 and tight:
        raise _fault(
            entered,
            "has more commas than part three coordinates",
            "write decimal points, or a unit behind every coordinate",
            "point-02",
        )
    if len(pieces) != 3 or not all(_DIGIT.search(piece) for piece in pieces):
        raise _fault(entered, "is not three coordinates", _MENDING, "point-01")
    # 12,5, 88 is three numbers, or two of which one has a decimal comma
    if commas == 2 and tight and _SPACED.search(entered):
        raise _fault(
            entered,
            "may mean two things: a comma stands close between digits as in a decimal",
            "write a space behind the commas that part coordinates, and decimal points",
            "point-02",
        )
    return [piece.strip() for piece in pieces]


def parse_distance(text: str, bare_unit: Unit | str | None = None) -> HoleToHole:
    """One distance between two holes as people write it: ``1-2 centre 352``, ``1-3 outside 80.5 mm``.

    Args:
        text: one distance as typed.
        bare_unit: the unit of a length without one; None to refuse it.

    Raises:
        DataFault: holes or kind are missing, or the length cannot be read.
    """
    entered = text.strip()
    match = _DISTANCE.fullmatch(entered)
    if match is None:
        raise _fault(
            entered, "is no distance between two holes", "write it like 1-2 centre 352 or 1-3 outside 80.5 mm",
            "distances-01",
        )  # fmt: skip
    first, second, kind = int(match["first"]), int(match["second"]), match["kind"].casefold()
    if kind not in DISTANCE_KINDS:
        said = f'says "{kind}", which is no way to take a distance' if kind else "does not say how it was taken"
        raise _fault(
            entered,
            said,
            "allowed: centre, inside (near edges), outside (far edges), edge (same side of both holes)",
            "distances-02",
        )
    if first == second or 0 in (first, second):
        raise _fault(entered, "does not name two holes", "number the holes from 1", "distances-01")
    length = parse_quantity(entered[match.start("value") :], "length", bare_unit)
    if length.value <= 0:
        raise _fault(entered, "is not above zero", "write what the tool reads", "distances-01")
    return HoleToHole(first, second, kind, length)


def _plain(value: float) -> str:
    """A number as a plain decimal, without an exponent."""
    return f"{Decimal(repr(round(value, _DECIMALS) + 0.0)).normalize():f}"


def point_text(point: Triple) -> str:
    """The text in which a point (mm) is kept: ``12, -350.5, 88``."""
    return ", ".join(map(_plain, point))


def distances_text(distances: Iterable[Distance]) -> str:
    """The text in which distances (mm) are kept: ``1-2 centre 352 0.577; 1-3 outside 80.5 0.1``."""
    return "; ".join(f"{i}-{j} {kind} {_plain(value)} {Decimal(f'{u:.6g}'):f}" for i, j, kind, value, u in distances)


def stored_point(text: str) -> Triple:
    """x, y and z (mm) of the text in which a point is kept."""
    x, y, z = (float(piece) for piece in text.split(","))
    return x, y, z


def stored_distances(text: str) -> list[Distance]:
    """The distances (mm) of the text in which they are kept."""
    found = []
    for piece in text.split(";"):
        holes, kind, value, u = piece.split()
        first, _, second = holes.partition("-")
        found.append((int(first), int(second), kind, float(value), float(u)))
    return found


def point_of(use: Valued) -> Triple:
    """x, y and z of an adopted point, mm."""
    return stored_point(str(use.value))


def distances_of(use: Valued) -> list[Distance]:
    """The distances of an adopted set: first hole, second hole, kind, value and its standard uncertainty, mm."""
    return stored_distances(str(use.value))


def show_point(point: Triple, system: str = "mm", u: float | None = None) -> str:
    """A point (mm) for people: ``x 12.0 mm, y -350.5 mm, z 88.0 mm``; `u` of each coordinate sets the digits."""
    texts = (show_quantity(value, "length", system, u) for value in point)
    return ", ".join(f"{axis} {text}" for axis, text in zip("xyz", texts, strict=True))


def show_distances(distances: Iterable[Distance], system: str = "mm") -> str:
    """Distances (mm) for people: ``1-2 centre 352.0 mm; 1-3 outside 80.50 mm``."""
    return "; ".join(
        f"{i}-{j} {kind} {show_quantity(value, 'length', system, u)}" for i, j, kind, value, u in distances
    )
