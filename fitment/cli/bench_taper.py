"""``fitment bench taper``: which standard cone a measured taper is."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Annotated, Any

import typer

from fitment.cli.bench_reading import Prior, Taken, exit_code, percent, prior_named, take, verdict_line
from fitment.cli.common import Json, Quiet, Units, say, say_json, units_named
from fitment.errors import DataFault, FitmentError, UsageFault
from fitment.frozen import dataclass

if TYPE_CHECKING:
    from fitment.identify.likelihood import Identification
    from fitment.standards.cones import Cone

#: how far apart two diameters usually are where nobody says, mm. Own choice, no source.
_USUAL_LENGTH = 16.0

_BALLS = ("--ball1", "--depth1", "--ball2", "--depth2")


@dataclass(frozen=True)
class Measured:
    """A taper as understood: ratio and its standard uncertainty, the readings, further words."""

    ratio: float
    u: float
    taken: tuple[Taken, ...] = ()
    told: tuple[str, ...] = ()


def register(app: typer.Typer) -> None:
    """Adds the command."""
    app.command("taper")(taper)


def taper(
    large: Annotated[str | None, typer.Option("--large", help="Diameter at the larger plane.")] = None,
    small: Annotated[str | None, typer.Option("--small", help="Diameter at the smaller plane.")] = None,
    length: Annotated[str | None, typer.Option("--length", help="Distance between the planes, along the axis.")] = None,
    eye: Annotated[bool, typer.Option("--eye", help="The diameters are inside a tapered eye.")] = False,
    angle: Annotated[
        str | None, typer.Option("--angle", help='An angle, and which: "7 deg incl" or "3.5 deg half".')
    ] = None,
    ratio: Annotated[str | None, typer.Option("--ratio", help="A ratio as worked out: 1:8.6 or 1.5 in/ft.")] = None,
    ball1: Annotated[str | None, typer.Option("--ball1", help="Diameter of the smaller gauge ball.")] = None,
    depth1: Annotated[str | None, typer.Option("--depth1", help="Large face to its top; minus where proud.")] = None,
    ball2: Annotated[str | None, typer.Option("--ball2", help="Diameter of the larger gauge ball.")] = None,
    depth2: Annotated[str | None, typer.Option("--depth2", help="Large face to its top; minus where proud.")] = None,
    tool: Annotated[
        str | None, typer.Option("--tool", metavar="NAME", help="What diameters, depths or angle were read with.")
    ] = None,
    prior: Prior = "flat",
    units: Units = "mm",
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Which standard taper is this? Ratio and angle with their doubt, every cone not excluded, what would decide.

    Example: fitment bench taper --large 15.0 --small 13.25 --length 17.5
    """
    from fitment.identify.cones import identify_cones, not_excluded

    system, prior = units_named(units), prior_named(prior)
    groups: dict[str, tuple[str | None, ...]] = {
        "--large, --small and --length": (large, small, length),
        "--angle": (angle,),
        "--ratio": (ratio,),
        ", ".join(_BALLS): (ball1, depth1, ball2, depth2),
    }
    given = [name for name, texts in groups.items() if any(text is not None for text in texts)]
    if len(given) != 1 or None in groups[given[0]]:
        raise UsageFault(
            "a taper is measured in one way" if len(given) > 1 else "there is no whole reading of a taper",
            mending="give " + "; or ".join(groups),
            code="usage-08",
        )
    if large is not None and small is not None and length is not None:
        measured = _from_diameters(large, small, length, eye, tool, system)
    elif angle is not None:
        measured = _from_angle(angle, tool or "angle-finder")
    elif ratio is not None:
        measured = _from_ratio(ratio)
    else:
        eye = True
        measured = _from_balls([text or "" for text in groups[given[0]]], tool or "depth-rod", system)
    found = identify_cones(measured.ratio, measured.u, prior)
    near = {cone.name for cone in not_excluded(measured.ratio, measured.u)}
    first, odds = (found.candidates[0].designation, found.candidates[0].odds) if found.candidates else ("", 0.0)
    code = exit_code(odds, found.none_of_these)
    decides = [] if code == 0 else _decides(found, eye)
    if as_json:
        say_json(_object(measured, found, near, decides, first if code == 0 else None, eye, prior))
    else:
        others = [(one.designation, one.odds) for one in found.candidates[1:] if one.odds >= 0.005]
        line = verdict_line(first, odds, others, found.none_of_these, "named taper")
        say("\n".join([line, "", *_lines(measured, found, near, decides, system)]))
    raise typer.Exit(code)


def _from_diameters(large: str, small: str, length: str, eye: bool, tool: str | None, system: str) -> Measured:
    from fitment.quantity.show import show_quantity
    from fitment.standards.cones import ratio_from_diameters, ratio_uncertainty

    own = tool or ("calliper-tapered-eye" if eye else "calliper")
    big, little = take("--large", "large end", large, system, own), take("--small", "small end", small, system, own)
    apart = take("--length", "length between", length, system, "calliper")
    shown = [show_quantity(one.value, "length", system) for one in (big, little, apart)]
    if little.value >= big.value:
        raise DataFault(
            f"the small end, {shown[1]}, is not smaller than the large end, {shown[0]}",
            mending="look whether the two are swapped; --large is the end that is thicker",
            code="bench-05",
        )
    ratio = ratio_from_diameters(big.value, little.value, apart.value)
    if ratio >= 2 * math.tan(math.radians(30)):
        raise DataFault(
            f"from {shown[0]} to {shown[1]} within {shown[2]} is too steep for a stud or an eye",
            mending="--length is the distance between the two planes, along the axis",
            code="bench-06",
        )
    u = ratio_uncertainty(big.u, little.u, apart.value, apart.u, ratio)
    return Measured(ratio, u, (big, little, apart))


def _from_angle(text: str, tool: str) -> Measured:
    """From an angle; what it is read with leaves its doubt on that angle, half or whole."""
    from fitment.quantity.parse import parse_taper
    from fitment.quantity.tools import find_tool

    try:
        read = parse_taper(text)
        if not any(side in text.casefold() for side in ("incl", "full", "half")):
            raise DataFault(
                f'"{read.entered}" is no angle', mending="write 7 deg incl, or use --ratio", code="bench-09"
            )
        found = find_tool(tool)
        half_width = found.half_width_for("angle", 0.0)
    except FitmentError as fault:
        raise fault.at("--angle") from None
    if half_width is None:
        raise DataFault(
            f"{found.title} gives pass or fail, not a number", place="--angle", mending="name another", code="bench-02"
        )
    halves = 1 if "half" in text.casefold() else 2
    slope = math.radians(2 / halves) * (1 + (read.ratio / 2) ** 2)  # dC/dA, with C = 2 tan(A/2)
    u = _written(read.u, read.half_width)
    told = f'angle "{read.entered}" ({found.title if u is None else "as written"})'
    return Measured(read.ratio, half_width / math.sqrt(3) * slope if u is None else u, told=(told,))


def _from_ratio(text: str) -> Measured:
    """From a ratio that somebody worked out: without a doubt of its own it is taken as two diameters by calliper."""
    from fitment.quantity.parse import parse_taper
    from fitment.quantity.tools import find_tool
    from fitment.standards.cones import ratio_uncertainty

    try:
        read = parse_taper(text)
    except FitmentError as fault:
        raise fault.at("--ratio") from None
    u = _written(read.u, read.half_width)
    if u is not None:
        return Measured(read.ratio, u, told=(f'ratio "{read.entered}" (as written)',))
    u_diameter = (find_tool("calliper").half_width_for("length", _USUAL_LENGTH) or 0.0) / math.sqrt(3)
    u = ratio_uncertainty(u_diameter, u_diameter, _USUAL_LENGTH)
    told = f'ratio "{read.entered}" (no doubt written: taken as two diameters by calliper, {_USUAL_LENGTH:g} mm apart)'
    return Measured(read.ratio, u, told=(told,))


def _written(u: float | None, half_width: float | None) -> float | None:
    return u if u is not None else None if half_width is None else half_width / math.sqrt(3)


def _from_balls(texts: list[str], tool: str, system: str) -> Measured:
    from fitment.identify.taper_readings import bore_from_balls
    from fitment.quantity.show import show_quantity

    taken = tuple(
        take(option, title, text, system, tool if "depth" in option else "micrometer", signed="depth" in option)
        for option, title, text in zip(
            _BALLS, ("smaller ball", "depth to its top", "larger ball", "depth to its top"), texts, strict=True
        )
    )
    bore = bore_from_balls(*(one.reading for one in taken))
    large, u = bore.large
    told = f"diameter at the large face {show_quantity(large, 'length', system, u)} (worked out)"
    return Measured(*bore.ratio, taken, (told,))


def _decides(found: Identification[Cone], eye: bool) -> list[dict[str, Any]]:
    """With each tool, how far apart two diameters must lie to tell the first two; empty where no length does."""
    from fitment.identify.taper_readings import length_to_tell
    from fitment.quantity.tools import find_tool

    if len(found.candidates) < 2:
        return []
    first, second = (candidate.what.ratio for candidate in found.candidates[:2])
    decides = []
    for code in ("calliper-tapered-eye", "ball-gauge") if eye else ("calliper", "micrometer"):
        tool = find_tool(code)
        length = length_to_tell(first, second, (tool.half_width_for("length", 15.0) or 0.0) / math.sqrt(3))
        if length is not None:
            decides.append({"tool": tool.title, "length": length, "unit": "mm"})
    return decides


def _angle(measured: Measured) -> tuple[float, float]:
    """Included angle and its standard uncertainty, degrees."""
    from fitment.standards.cones import included_angle

    return included_angle(measured.ratio), math.degrees(measured.u / (1 + (measured.ratio / 2) ** 2))


def _lines(
    measured: Measured, found: Identification[Cone], near: set[str], decides: list[dict[str, Any]], system: str
) -> list[str]:
    from fitment.cli.bench_reading import SHOWN
    from fitment.quantity.show import show_quantity, show_taper

    angle, u_angle = _angle(measured)
    lines = [
        f"measured: {show_taper(measured.ratio)}, ratio {measured.ratio:.4f} (u {measured.u:.4f}), "
        f"included angle {show_quantity(angle, 'angle', system, u_angle)} "
        f"(u {show_quantity(u_angle, 'angle', system, u_angle)})",
        "",
        "candidates and odds",
    ]
    rows = [
        (one.designation, one.standard or "trade name", percent(one.odds), one.designation in near)
        for one in found.candidates
        if one.odds >= SHOWN or one.designation in near
    ]
    rows.append(("none of these", "", percent(found.none_of_these), True))
    wide, standard = (max(len(str(row[column])) for row in rows) for column in (0, 1))
    lines += [
        f"  {name:<{wide}}  {of:<{standard}}  {odds:>9}{'' if within else '  further off than 2 u'}"
        for name, of, odds, within in rows
    ]
    lines += ["", "understood:", *(f"  {one.words(system)}" for one in measured.taken)]
    lines += [f"  {told}" for told in measured.told]
    if found.next is not None:
        lines += ["", f"next: {found.next.measure} ({found.next.tool}), to tell {found.next.separates}"]
    if decides:
        told = ", ".join(
            f"{one['tool']}: {show_quantity(one['length'], 'length', system, one['length'] / 10)}" for one in decides
        )
        first, second = (candidate.designation for candidate in found.candidates[:2])
        lines.append(f"two diameters tell {first} from {second} when at least so far apart: {told}")
    elif len(found.candidates) > 1 and found.next is not None:
        first, second = (candidate.designation for candidate in found.candidates[:2])
        lines.append(f"no two diameters tell {first} from {second}: blue it against a gauge")
    return lines


def _object(
    measured: Measured,
    found: Identification[Cone],
    near: set[str],
    decides: list[dict[str, Any]],
    identified: str | None,
    eye: bool,
    prior: str,
) -> dict[str, Any]:
    angle, u_angle = _angle(measured)
    return {
        "schema": "fitment.bench-taper/1",
        "identified": identified,
        "understood": {
            "in": "eye" if eye else "stud",
            "prior": prior,
            "readings": [one.object() for one in measured.taken],
            "told": list(measured.told),
        },
        "ratio": {"value": measured.ratio, "u": measured.u, "unit": ""},
        "included_angle": {"value": angle, "u": u_angle, "unit": "deg"},
        "candidates": [
            {
                "designation": one.designation,
                "standard": one.standard,
                "odds": one.odds,
                "not_excluded": one.designation in near,
            }
            for one in found.candidates
        ],
        "none_of_these": found.none_of_these,
        "next": None if found.next is None else vars(found.next),
        "decides": decides,
    }
