"""``fitment bench holes``: where holes lie, from the distances between them."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from fitment.cli.common import Json, Quiet, Units, hint, say, say_json, units_named, width
from fitment.errors import StorageFault, UsageFault

if TYPE_CHECKING:
    from fitment.cli.hole_text import Typed
    from fitment.identify.holes import HolePattern, HolePosition, Suspect


def register(bench: typer.Typer) -> None:
    """Adds the command."""
    bench.command("holes")(holes)


def holes(
    readings: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="READING...",
            help='Two holes, the kind and what was read: "1-2 outside 430.2". Kinds: centre (centre to centre, also '
            "where none is said), inside (between the near edges), outside (over the far edges), edge (edges on the "
            "same side: from the far edge of the first hole named to the near edge of the second). ± or u= after the "
            "reading is its doubt; else that of a calliper up to 150 mm, of a tape above, or of the tool after @.",
        ),
    ] = None,
    dia: Annotated[
        list[str] | None, typer.Option("--dia", metavar="'HOLE DIA'", help='Diameter of one hole: "1 10.5".')
    ] = None,
    dia_all: Annotated[
        str | None, typer.Option("--dia-all", metavar="DIA", help="Diameter of all other holes.")
    ] = None,
    file: Annotated[
        Path | None,
        typer.Option("--from", metavar="FILE", help="One reading a line; dia 1 10.5 or dia all 10.5; # comments."),
    ] = None,
    clockwise: Annotated[
        str | None,
        typer.Option("--clockwise", metavar="yes|no", help="Looking at the face, do holes 1, 2, 3 run clockwise?"),
    ] = None,
    svg: Annotated[Path | None, typer.Option("--svg", metavar="FILE", help="Draws the pattern to scale.")] = None,
    units: Units = "mm",
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Where do these holes lie? Positions with their doubt, the reading that does not agree, what else to measure.

    Example: fitment bench holes "1-2 outside 430.2" "2-3 inside 49.1" "1-3 424.1" --dia-all 10.5

    Exit codes: 0 solved, 4 readings too few, ambiguous or not in agreement, 65 readings that make no sense.
    """
    from fitment.cli.hole_text import typed_readings
    from fitment.identify.holes import solve_holes

    system = units_named(units)
    if clockwise not in (None, "yes", "no"):
        raise UsageFault(f'--clockwise is "{clockwise}"', mending="allowed: yes, no", code="usage-11")
    typed = typed_readings(readings or [], dia or [], dia_all, file, system)
    pattern = solve_holes(typed.distances, typed.diameters, None if clockwise is None else clockwise == "yes")
    following = _next(pattern, clockwise, system)
    if as_json:
        say_json(_object(typed, pattern, clockwise, following))
    else:
        say("\n".join([_answer(pattern, system), "", *_lines(typed, pattern, clockwise, following, system)]))
    if svg and pattern.positions:
        from fitment.sheets.holes_svg import holes_svg

        diameters = {hole: diameter.value for hole, diameter in typed.diameters.items()}
        _write(svg, holes_svg(pattern.positions, diameters, system))
        hint(f"drawn in {svg}", quiet)
        if not pattern.settled:
            hint(f"{svg} shows a pattern that is not settled")
    elif svg:
        hint(f"{svg} is not drawn: the distances do not fix the pattern")
    raise typer.Exit(0 if pattern.settled else 4)


def _write(file: Path, text: str) -> None:
    """Writes a file aside, then renames it, so that nobody ever sees half of it."""
    import os
    import tempfile

    try:
        handle, aside = tempfile.mkstemp(dir=file.parent, prefix=f".{file.name}.", suffix=".part")
        try:
            with os.fdopen(handle, "w", encoding="utf-8") as out:
                out.write(text)
            os.chmod(aside, 0o666 & ~_umask())
            os.replace(aside, file)
        except BaseException:
            os.unlink(aside)
            raise
    except OSError as error:
        raise StorageFault(
            f"{file} cannot be written: {error.strerror}", mending="name a file in a folder of yours", code="holes-11"
        ) from None


def _umask() -> int:
    import os

    mask = os.umask(0)
    os.umask(mask)
    return mask


def _length(value: float, system: str, u: float | None = None) -> str:
    from fitment.quantity.show import show_quantity

    return show_quantity(value, "length", system, u)


def _pair(pair: tuple[int, int]) -> str:
    return f"{pair[0]}-{pair[1]}"


def _listed(words: list[str], last: str) -> str:
    return f" {last} ".join(filter(None, [", ".join(words[:-1]), words[-1]]))


def _answer(pattern: HolePattern, system: str) -> str:
    """The answer in one line."""
    count, given = len(pattern.holes), len(pattern.centres)
    if pattern.missing:
        few = len(pattern.missing)
        wanted = _listed([_pair(pair) for pair in pattern.missing], "and")
        return f"not known: {few} distance{'s' if few > 1 else ''} too few to fix {count} holes; measure {wanted}"
    if pattern.suspects:
        named = [s for s in pattern.suspects if pattern.left_out in (None, s)]
        if len(named) == 1:
            return f"not known: {_doubt(named[0], system)}"
        if len(named) == given:
            return f"not known: the {given} readings do not agree, and too few check each other to say which is wrong"
        return f"not known: one of {_listed([s.reading.name for s in named], 'and')} does not agree with the rest"
    if not pattern.agree:
        return f"not known: the readings scatter more than their stated doubt (rms {pattern.rms:.1f} times it)"
    if pattern.others:
        more = f"{len(pattern.others) + 1} patterns" if pattern.others[1:] else "two patterns"
        return f"not known: {more} agree with these distances; measure {_telling(pattern, system)}"
    widest = _widest(pattern.positions)
    checked = "" if pattern.freedom else ", but no distance checks another"
    return (
        f"solved: {count} holes from {given} distance{'s' if given > 1 else ''}, "
        f"each coordinate within ±{_length(2 * widest, system, 2 * widest)}{checked}"
    )


def _doubt(suspect: Suspect, system: str) -> str:
    off = suspect.reading.value - suspect.expected
    meant = f"; did you mean {suspect.meant.name}?" if suspect.meant else ""
    return (
        f"{suspect.reading.name} does not agree with the rest: it reads {_length(abs(off), system)} too "
        f"{'long' if off > 0 else 'short'}, {abs(suspect.t):.1f} times its doubt{meant}"
    )


def _telling(pattern: HolePattern, system: str) -> str:
    if pattern.telling is None:
        return ""
    values = _listed([_length(centre, system) for centre in sorted(pattern.telling.centres)], "or")
    return f"{_pair(pattern.telling.pair)}: {values} between centres"


def _next(pattern: HolePattern, clockwise: str | None, system: str) -> dict[str, str] | None:
    """What to measure or to look at next; None where nothing is left to ask."""

    def asked(measure: str, tool: str, separates: str) -> dict[str, str]:
        return {"measure": measure, "tool": tool, "separates": separates}

    if pattern.missing:
        wanted = _listed([_pair(pair) for pair in pattern.missing], "and")
        return asked(wanted, "calliper or tape", "one pattern from those that the distances given leave free")
    if pattern.suspects or not pattern.agree:
        again = [suspect.reading.name for suspect in pattern.suspects]
        measure = f"{_listed(again, 'and')} again" if again else "all distances again"
        measure += " and a further distance" if len(again) > 1 else ""
        return asked(measure, "calliper or tape", "the wrong reading from the sound ones")
    if pattern.telling:
        values = [f"{_length(c, system)} is pattern {n}" for n, c in enumerate(pattern.telling.centres, start=1)]
        return asked(f"{_pair(pattern.telling.pair)} between centres", "calliper or tape", ", ".join(values))
    if pattern.in_a_row:
        ends = _pair((pattern.positions[0].hole, max(pattern.positions, key=lambda p: abs(p.x)).hole))
        return asked(f"how far the other holes are off the line {ends}", "straight edge and rule", "a row from a bend")
    if pattern.facing and clockwise is None:
        named = ", ".join(map(str, pattern.facing))
        return asked(f"do {named} run clockwise, looking at the face?", "look", "the pattern from its mirror image")
    return None


def _lines(
    typed: Typed, pattern: HolePattern, clockwise: str | None, following: dict[str, str] | None, system: str
) -> list[str]:
    """Everything below the answer."""
    lines = _understood(typed, pattern, system)
    if pattern.positions:
        lines += ["", *_table(pattern.positions, system)]
        without, used = _without(pattern), len(typed.distances)
        used -= pattern.left_out is not None and pattern.left_out.meant is None
        lines += [
            "",
            f"rms {pattern.rms:.2f} of the stated doubt, {used} distances{without}, {pattern.freedom} to spare",
        ]
        if pattern.left_out and not pattern.agree:
            lines.append("the rest do not agree among themselves either")
        if pattern.suspects:
            lines.append("do not agree with the rest:")
            lines += [f"  {_doubt(suspect, system)}" for suspect in pattern.suspects]
        for number, other in enumerate(pattern.others, start=2):
            lines += ["", f"pattern {number}, which agrees as well", *_table(other, system)]
        if pattern.in_a_row:
            lines.append("holes nearly in a row: distances hardly fix how far one is out of line")
        if pattern.facing:
            way = "clockwise" if clockwise == "yes" else "anticlockwise"
            told = "as you said" if clockwise else "or the mirror image: say --clockwise yes or no"
            lines.append(f"holes {', '.join(map(str, pattern.facing))} run {way} as one looks at the face ({told})")
        if pattern.settled:
            lines += ["", *_catalogue(pattern.positions)]
    if following:
        lines += ["", f"next: {following['measure']} ({following['tool']}; tells {following['separates']})"]
    return lines


def _without(pattern: HolePattern) -> str:
    if pattern.left_out is None:
        return ""
    meant = pattern.left_out.meant
    return f" without {pattern.left_out.reading.name}" if meant is None else f" with {meant.name} as perhaps meant"


def _understood(typed: Typed, pattern: HolePattern, system: str) -> list[str]:
    from fitment.sheets.tables import table

    rows = []
    for index, words in enumerate(typed.words):
        row = [words.name, _length(words.value, system), _length(words.u, system, words.u), words.tool]
        if index < len(pattern.centres):
            row.append(_length(pattern.centres[index], system))
            row.append(_length(pattern.residuals[index], system) if pattern.residuals else "")
        rows.append([*row, "", ""][:6])
    return table(["understood", "reading", "u", "doubt of", "centres", "off"], rows, width()).splitlines()


def _table(positions: tuple[HolePosition, ...], system: str) -> list[str]:
    from fitment.quantity.units import system_unit

    unit, head = system_unit("length", system), f"{'hole':>4}"
    head += "".join(f"{f'{name} [{unit.symbol}]':>13}" for name in ("x", "y", "u(x)", "u(y)"))
    decimals = 3 if system == "mm" else 4
    return [head] + [
        f"{p.hole:>4}" + "".join(f"{unit.from_canonical(v):>13.{decimals}f}" for v in (p.x, p.y, p.u_x, p.u_y))
        for p in positions
    ]


def _catalogue(positions: tuple[HolePosition, ...]) -> list[str]:
    # one doubt for all, as that of the hole that the others are laid from is in theirs
    u = f"u={math.ceil(1000 * _widest(positions)) / 1000:g}"
    points = [f'"hole-{p.hole}={_plain(p.x)}, {_plain(p.y)}, 0 {u}"' for p in positions]
    return [
        "for the catalogue, feature mount, mm; these run from hole 1 with x towards hole 2: turn and shift them first",
        "(x forward, y left, z up; rack: from midway between its inner balls; crossmember: from the car's datum)",
        "  fitment reading add REF mount --sitting NAME --who INITIALS --units mm \\",
        *(f"    {point} \\" for point in points[:-1]),
        f"    {points[-1]}",
    ]


def _widest(positions: tuple[HolePosition, ...]) -> float:
    return max(max(position.u_x, position.u_y) for position in positions)


def _plain(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _object(
    typed: Typed, pattern: HolePattern, clockwise: str | None, following: dict[str, str] | None
) -> dict[str, Any]:
    from dataclasses import asdict

    understood = []
    for index, words in enumerate(typed.words):
        one: dict[str, Any] = {"measure": words.name, "value": words.value, "u": words.u, "unit": "mm"}
        one |= {"tool": words.tool, "entered": words.entered}
        if index < len(pattern.centres):
            residual = pattern.residuals[index] if pattern.residuals else None
            one |= {"centre_distance": pattern.centres[index], "residual": residual}
        understood.append(one)
    telling = pattern.telling
    return {
        "schema": "fitment.bench-holes/1",
        "solved": pattern.settled,
        "understood": understood,
        "positions": [asdict(position) for position in pattern.positions],
        "covariance": [list(row) for row in pattern.covariance],
        "unit": "mm",
        "rms": pattern.rms if pattern.positions else None,
        "degrees_of_freedom": pattern.freedom if pattern.positions else None,
        "agree": pattern.agree if pattern.positions else None,
        "suspects": [
            {
                "reading": suspect.reading.name,
                "value": suspect.reading.value,
                "expected": suspect.expected,
                "t": suspect.t,
                "did_you_mean": suspect.meant.name if suspect.meant else None,
                "left_out": suspect == pattern.left_out,
            }
            for suspect in pattern.suspects
        ],
        "missing": [_pair(pair) for pair in pattern.missing],
        "ambiguous": {
            "others": [[{"hole": p.hole, "x": p.x, "y": p.y} for p in other] for other in pattern.others],
            "told_by": _pair(telling.pair),
            "centre_distances": list(telling.centres),
        }
        if telling
        else None,
        "clockwise": {"holes": list(pattern.facing), "told": clockwise is not None, "yes": clockwise == "yes"}
        if pattern.facing
        else None,
        "in_a_row": pattern.in_a_row,
        "next": following,
    }
