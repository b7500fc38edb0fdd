"""Readings between holes out of the text that people type: ``1-2 outside 430.2``, ``dia 1 10.5``."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path

from fitment.errors import DataFault, Faults, FitmentError, NotFoundFault, nearest
from fitment.frozen import dataclass
from fitment.identify.hole_readings import HoleDiameter, HoleDistance

#: spellings of the trade -> kind
_KINDS = {
    "": "centre",
    "centre": "centre",
    "center": "centre",
    "centres": "centre",
    "centers": "centre",
    "c-c": "centre",
    "pitch": "centre",
    "inside": "inside",
    "between": "inside",
    "near": "inside",
    "web": "inside",
    "outside": "outside",
    "over": "outside",
    "far": "outside",
    "overall": "outside",
    "edge": "edge",
    "same-side": "edge",
    "edge-to-edge": "edge",
}

#: tool of a distance that the calliper reaches; over the far edges of two holes its inside jaws measure
_CALLIPERS = {"centre": "calliper", "inside": "calliper", "outside": "calliper-inside", "edge": "calliper"}

_DISTANCE = re.compile(
    r"(?P<first>\d+)\s*[-\u2013/]\s*(?P<second>\d+)\s+(?P<kind>[a-z][a-z -]*?)?\s*(?P<value>[\d.].*)"
)
_DIAMETER = re.compile(r"(?P<hole>\d+|all)\s+(?P<value>[\d.].*)")


@dataclass(frozen=True)
class Understood:
    """A reading as understood: of what, value and standard uncertainty in mm, whose doubt, text as typed."""

    name: str
    value: float
    u: float
    tool: str
    entered: str


@dataclass(frozen=True)
class Typed:
    """What was typed, understood; `words` echo the distances in order, then the diameters."""

    distances: tuple[HoleDistance, ...]
    diameters: dict[int, HoleDiameter]
    words: tuple[Understood, ...]


def typed_readings(
    readings: Sequence[str], diameters: Sequence[str], all_alike: str | None, file: Path | None, system: str
) -> Typed:
    """Everything that was typed or stands in a file, understood; bare numbers are in the units of `system`.

    Raises:
        Faults: each fault with its place.
        NotFoundFault: there is no such file.
    """
    lines = [(f'"{text}"', text) for text in readings]
    lines += [(f'--dia "{text}"', f"dia {text}") for text in diameters]
    lines += [("--dia-all", f"dia all {all_alike}")] if all_alike is not None else []
    lines += _lines_of(file) if file else []
    distances: dict[tuple[int, int, str], tuple[HoleDistance, Understood]] = {}
    dias: dict[str, tuple[HoleDiameter, Understood, str]] = {}
    faults: list[FitmentError] = []
    for place, text in lines:
        try:
            if text.casefold().startswith("dia "):
                hole, diameter, words = _diameter(text[4:].strip(), system)
                if hole in dias:
                    raise _twice(f"the diameter of hole {hole}" if hole != "all" else "the diameter of all holes")
                dias[hole] = (diameter, words, place)
            else:
                distance, words = _distance(text.strip(), system)
                key = (
                    *(distance.pair if distance.kind != "edge" else (distance.first, distance.second)),
                    distance.kind,
                )
                if key in distances:
                    raise _twice(distance.name)
                distances[key] = (distance, words)
        except FitmentError as fault:
            faults.append(fault.at(place))
    holes = sorted({hole for distance, _ in distances.values() for hole in distance.pair})
    faults += [
        DataFault(
            f"no distance names hole {hole}",
            place=place,
            mending="holes named: " + ", ".join(map(str, holes)),
            code="holes-03",
        )
        for hole, (_, _, place) in dias.items()
        if hole != "all" and int(hole) not in holes and distances
    ]
    if faults:
        raise Faults(faults)
    if not distances:
        raise DataFault("no distance is given", mending='write one like "1-2 outside 430.2"', code="holes-01")
    by_hole = {hole: dias[str(hole)][0] for hole in holes if str(hole) in dias}
    if "all" in dias:
        by_hole = dict.fromkeys(holes, dias["all"][0]) | by_hole
    echoed = [*(words for _, words in distances.values()), *(words for _, words, _ in dias.values())]
    return Typed(tuple(distance for distance, _ in distances.values()), by_hole, tuple(echoed))


def _lines_of(file: Path) -> Iterable[tuple[str, str]]:
    """The lines of a file that say something, each with its place; ``-`` is what is piped in."""
    try:
        text = sys.stdin.read() if str(file) == "-" else file.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise DataFault(f"{file} is not UTF-8 text", mending="save it as plain text, UTF-8", code="holes-01") from None
    except OSError as error:
        raise NotFoundFault(f"{file} cannot be read: {error.strerror}", code="holes-10") from None
    for number, line in enumerate(text.splitlines(), start=1):
        said = line.partition("#")[0].strip()
        if said:
            yield f"{file}:{number}", said


def _twice(what: str) -> DataFault:
    return DataFault(
        f"{what} is given twice", mending="give it once, the mean of repeats, with ± for their spread", code="holes-02"
    )


def _distance(text: str, system: str) -> tuple[HoleDistance, Understood]:
    match = _DISTANCE.fullmatch(text.casefold())
    if match is None:
        raise DataFault(
            "this is no distance between two holes",
            mending="write two holes, the kind and the reading: 1-2 outside 430.2",
            code="holes-01",
        )
    first, second = int(match["first"]), int(match["second"])
    word = "-".join((match["kind"] or "").split())
    if word not in _KINDS:
        raise DataFault(f'no kind of distance "{word}"', mending=nearest(word, filter(None, _KINDS)), code="holes-07")
    if first == second:
        raise DataFault(f"hole {first} has no distance from itself", mending="name two holes", code="holes-01")
    kind = _KINDS[word]
    value = text[match.start("value") :]
    name = HoleDistance(first, second, kind, 0.0, 0.0).name
    found = _length(value, system, _CALLIPERS[kind], name, text)
    return HoleDistance(first, second, kind, found.value, found.u), found


def _diameter(text: str, system: str) -> tuple[str, HoleDiameter, Understood]:
    match = _DIAMETER.fullmatch(text.casefold())
    if match is None:
        form = "the diameter alone: 10.5" if text.startswith("all ") else 'the hole and its diameter: "1 10.5"'
        raise DataFault("this is no diameter of a hole", mending=f"write {form}", code="holes-01")
    hole = match["hole"] if match["hole"] == "all" else str(int(match["hole"]))
    found = _length(text[match.start("value") :], system, "calliper-inside", f"dia {hole}", text)
    return hole, HoleDiameter(found.value, found.u, hole), found


def _length(text: str, system: str, calliper: str, name: str, entered: str) -> Understood:
    """A length ``430.2 ±0.5 @tape``; without its tool, a calliper's as far as it reaches, then a tape's."""
    from fitment.quantity.parse import parse_quantity, standard_uncertainty
    from fitment.quantity.tools import find_tool
    from fitment.quantity.units import system_unit

    value, _, tool = text.partition("@")
    quantity = parse_quantity(value, "length", system_unit("length", system))
    if quantity.value <= 0:
        raise DataFault(f'"{value.strip()}" is not above zero', mending="write what the tool reads", code="holes-01")
    usual = find_tool(calliper)
    found = find_tool(tool) if tool else usual if usual.reaches(quantity.value) else find_tool("tape")
    half_width = found.half_width_for("length", quantity.value)
    if half_width is None:
        raise DataFault(
            f"{found.title} gives pass or fail, not a number", mending="name the tool that gave it", code="holes-01"
        )
    written = quantity.u is not None or quantity.half_width is not None
    u = standard_uncertainty(quantity, half_width)
    return Understood(name, quantity.value, u, "as written" if written else found.title, entered)
