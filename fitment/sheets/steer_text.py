"""A comparison of steerings as text: one table side by side in 80 columns, then what is not known and why."""

from __future__ import annotations

import string
import textwrap
from collections.abc import Iterable

from fitment.kits.card_geometry import TRAVEL, Reach
from fitment.kits.steer import Asked, Comparison, Steered
from fitment.kits.steering_results import Result, ResultRow, result_rows
from fitment.quantity.show import show_quantity
from fitment.sheets.effort_text import effort_notes

#: the groups of results, in their order, and what they are called
GROUPS = {
    "rack": "Rack and ratio",
    "lock": "Lock and turning",
    "bump": "Bump and rebound",
    "axis": "Steering axis",
    "rods": "Rods and joints",
    "effort": "Effort",
    "parts": "Parts and work",
}
#: columns of a cell and of the titles
_CELL, _TITLE = 16, 32
#: values named as what the doubt comes from
_LEADING = 5

#: unit -> how many of the inch system's, and its name
_INCH = {
    "mm": (1 / 25.4, "in"),
    "mm/turn": (1 / 25.4, "in/turn"),
    "deg/mm": (25.4, "deg/in"),
    "N": (1 / 4.4482216152605, "lbf"),
    "N·m": (1 / 1.3558179483314, "lbf·ft"),
    "kg": (1 / 0.45359237, "lb"),
}

SIGNS = "± is two standard uncertainties; * is measured on the car; + leaves out parts, see below."

NOTES = (
    "0 is straight ahead; toe + is toe-in; camber + is the top outboard, as inclination"
    " of the wheel, not as seen from the front; scrub + is the axis meeting the ground inboard.",
    "Ackermann percent is the difference of the two angles over the ideal difference: 100 ideal, 0 parallel. Other"
    " definitions give other numbers. The ideal is that of the wheelbase and the axes' distance on the ground.",
    "Circles are taken with the turn's middle on the rear axle's line: kerb to kerb over the outer tyre's nominal"
    " width, wall to wall over the body.",
    "Packing + raises the rack, - lowers it. Roll steer is the mean of both wheels, + to the left, per degree of roll"
    " to the right. The outer joint's stud is taken to stand along the steering axis.",
)


def steer_text(comparison: Comparison, width: int, system: str, full: bool) -> str:
    """The comparison.

    Args:
        comparison: what to show.
        width: columns.
        system: "mm" or "inch".
        full: every result, where its doubt comes from, and how each is defined.
    """
    columns = lettered(comparison)
    lines = [_wrap(f"Steering of {comparison.vehicle.name} {comparison.vehicle.title}", width)]
    for letter, one in columns[1:]:
        verdict = f"; fitment check: {one.verdict}" if one.verdict else ""
        lines.append(_wrap(f"{letter} = {one.name} ({one.kit_file}){verdict}", width))
    lines.append(f"Doubt by {comparison.samples} samples of the survey.")
    per_block = max(1, (width - _TITLE) // _CELL - 1)
    rest = columns[1:]
    lines.append(_wrap(SIGNS, width))
    for start in range(0, max(len(rest), 1), per_block):
        lines += ["", *_table([columns[0], *rest[start : start + per_block]], width, system, full)]
    for one in comparison.proposals:
        if one.asked is not None:
            lines += ["", *_asked(one, one.asked, comparison.vehicle.name, width, system)]
    for letter, one in columns:
        lines += _below(letter, one, width, full)
    notes = (*NOTES, *effort_notes(comparison)) if full else NOTES[:1]
    lines += ["", *(_wrap(f"- {note}", width, "  ") for note in (*notes, *comparison.cautions))]
    return "\n".join(lines) + "\n"


def lettered(comparison: Comparison) -> list[tuple[str, Steered]]:
    """The steerings that are worked out, each with the letter that it goes by in the table and in the plots."""
    shown = [one for one in comparison.steerings if one.asked is None]
    letters = ("original", *string.ascii_uppercase, *(f"kit {number}" for number in range(27, len(shown) + 1)))
    return list(zip(letters, shown, strict=False))


def _table(columns: list[tuple[str, Steered]], width: int, system: str, full: bool) -> list[str]:
    title = min(_TITLE + 12, max(20, width - _CELL * len(columns)))
    lines = [" " * title + "".join(letter.rjust(_CELL) for letter, _ in columns)]
    for group, heading in GROUPS.items():
        rows = [row for row in result_rows().values() if row.group == group and (full or row.first)]
        rows = [row for row in rows if any(row.name in one.told.results for _, one in columns)]
        if rows:
            lines.append(heading)
        for row in rows:
            lines += _row(row, [one for _, one in columns], title, system)
    return lines


def _row(row: ResultRow, columns: list[Steered], title: int, system: str) -> list[str]:
    _, unit = _unit(row, system)
    wide = textwrap.wrap(f"  {row.title}{f', {unit}' if unit else ''}", title - 1, subsequent_indent="    ")
    cells = [_cell(row, one.told.results.get(row.name), system, one) for one in columns]
    return [*wide[:-1], wide[-1].ljust(title) + "".join(cell.rjust(_CELL) for cell in cells)]


def _unit(row: ResultRow, system: str) -> tuple[float, str]:
    """How many of the system's unit one of the row's own is, and its name."""
    return _INCH.get(row.unit, (1.0, row.unit)) if system == "inch" else (1.0, row.unit)


def _cell(row: ResultRow, result: Result | None, system: str, one: Steered) -> str:
    if result is None:
        return "not known" if row.name in one.told.gaps else "-"
    value, spread = _digits(row, result, system)
    partly = "+" if row.group == "parts" and row.name in one.told.gaps else ""
    measured = "*" if result.measured else ""
    return value + partly + measured + (f" ±{spread}" if float(spread) else "")


def _digits(row: ResultRow, result: Result, system: str) -> tuple[str, str]:
    """Value and two standard uncertainties."""
    factor, _ = _unit(row, system)
    decimals = row.decimals + (1 if factor < 0.1 else 0)
    value = f"{result.value * factor:.{decimals}f}"
    if float(value) == 0:
        value = value.removeprefix("-")
    return value, f"{2 * (result.u or 0.0) * factor:.{decimals}f}"


def in_units(row: ResultRow, result: Result, system: str) -> str:
    """A result with its unit and two standard uncertainties, ``231.5 mm ±1.8``."""
    value, spread = _digits(row, result, system)
    _, unit = _unit(row, system)
    return f"{value} {unit}".strip() + (f" ±{spread}" if float(spread) else "")


def _below(letter: str, one: Steered, width: int, full: bool) -> list[str]:
    """What is not known, where the doubt comes from, and what was taken for granted."""
    lines: list[str] = []
    told = one.told
    if told.missing:
        lines += ["", f"Not known of {letter}:", *(_wrap(f"- {line}", width, "  ") for line in missing_lines(one))]
    leading = _leading(one) if full else {}
    if leading:
        lines += ["", f"Where the doubt of {letter} comes from most:"]
        shown = list(leading.items())[:_LEADING]
        lines += [_wrap(f"- {dimension}: {_some(names)}", width, "  ") for dimension, names in shown]
    for heading, sentences in (("Taken for granted", told.notes), ("Mind", told.cautions)):
        if sentences:
            lines += ["", f"{heading}, {letter}:", *(_wrap(f"- {sentence}", width, "  ") for sentence in sentences)]
    if one.work:
        operations = (f"- {work.operation}: {work.part}" for work in one.work)
        lines += ["", f"Work, {letter}:", *(_wrap(operation, width, "  ") for operation in operations)]
    return lines


def missing_lines(one: Steered) -> list[str]:
    """What is missing of a steering, a line for each with the results that wait for it."""
    titles = {name: row.title for name, row in result_rows().items()}
    return [
        f"{why}: {_some([titles.get(name, f'curve {name}') for name in waiting])}"
        for why, waiting in _by_names(one).items()
    ]


def _by_names(one: Steered) -> dict[str, list[str]]:
    """What is missing in words, several gaps of the same results together, with the results that wait for it."""
    together: dict[tuple[str, ...], list[str]] = {}
    for gap, names in one.told.missing.items():
        why = "" if gap.why == "no reading" else f" {gap.why}"
        together.setdefault(tuple(names), []).append(f"{gap.feature} {gap.dimension}{why}")
    return {"; ".join(gaps): list(names) for names, gaps in together.items()}


def _leading(one: Steered) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for name, result in one.told.results.items():
        row = result_rows()[name]
        spread = 2 * (result.u or 0.0)
        if result.leading is None or result.measured or float(f"{spread:.{row.decimals}f}") == 0:
            continue
        dimension = f"{result.leading.feature} {result.leading.dimension}"
        found.setdefault(dimension, []).append(f"{row.title} ({result.share:.0%})")
    return dict(sorted(found.items(), key=lambda pair: -len(pair[1])))


def _some(names: Iterable[str]) -> str:
    names = list(names)
    return ", ".join(names[:4]) + (f" and {len(names) - 4} more" if len(names) > 4 else "")


def _asked(one: Steered, asked: Asked, vehicle: str, width: int, system: str) -> list[str]:
    lines = [_wrap(f"{one.name} ({one.kit_file}) names only the car. What to look for:", width)]
    limit = f"toe change of {asked.toe_limit:g} deg per wheel in {TRAVEL:g} mm of travel, half for each"
    for what, reach in (("inner-joint spacing", asked.spacing), ("height of the inner joints", asked.height)):
        if reach is not None:
            lines.append(_wrap(f"- {what}: {_window(reach, system)} ({limit})", width, "  "))
    if asked.spacing is None:
        told = ", ".join(f"{gap.feature} {gap.dimension}" for gap in asked.gaps) or "points that close"
        lines.append(_wrap(f"- not known: measure {told}", width, "  "))
    lines.append(_wrap(f"The whole card for the yard: fitment donors rack --wanted {vehicle}", width))
    return lines


def _window(reach: Reach, system: str) -> str:
    value, doubt = (show_quantity(round(size, 1), "length", system) for size in (reach.value, 2 * reach.u))
    best = f"best {value.partition(' ')[0]} ±{doubt}"
    ends = (reach.low, reach.high)
    low, high = (None if end is None else show_quantity(round(end, 1), "length", system) for end in ends)
    if reach.low is not None and reach.low > reach.high:
        return f"{best}; no window: the survey leaves more doubt than the limit"
    return f"{low} to {high}, {best}" if low else f"{high} or less, {best}"


def _wrap(text: str, width: int, indent: str = "  ") -> str:
    return textwrap.fill(text, width, subsequent_indent=indent, break_on_hyphens=False)
