"""The answer of a search for donors as text: how many, what was wanted, matches, those that may, near misses."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from fitment.catalogue.dictionary import PartKind
from fitment.catalogue.donors import Donor, Found
from fitment.catalogue.found import Carrier
from fitment.catalogue.windows import Standing, State, Window
from fitment.sheets.tables import table

NOTES = (
    "Dimensional compatibility only; not an approval.",
    "Makers changed parts within a model's years: take the readings on the very one before paying for it.",
)


def donors_text(kind: PartKind, windows: Sequence[Window], found: Found, near: int, width: int, system: str) -> str:
    """The whole answer, summary first.

    Args:
        kind: the kind of part.
        windows: what was wanted.
        found: the answer.
        near: how many near misses to list.
        width: columns.
        system: "mm" or "inch".
    """
    unread = [one for one in found.may if one.unread]
    may = [one for one in found.may if not one.unread]
    blocks = [_summary(kind, windows, found, width, system)]
    if found.sure:
        rows = [(_name(one), _carried(one.carriers), _values(one.standings, system)) for one in found.sure]
        blocks.append("Match\n" + _table(("part", "was fitted to", "reads"), rows, width))
    if may:
        rows = [(_name(one), _carried(one.carriers), _doubtful(one, system)) for one in may]
        blocks.append(
            "May match: measure first\n" + _table(("part", "was fitted to", "reads, and what is open"), rows, width)
        )
    if unread:
        names = ", ".join(one.name for one in unread)
        blocks.append(textwrap.fill(f"No reading of any of these: {names}", width, subsequent_indent="  "))
    if found.near[:near]:
        rows = [(_name(one), _carried(one.carriers), _missed(one, system)) for one in found.near[:near]]
        blocks.append("Near misses, nearest first\n" + _table(("part", "was fitted to", "why not"), rows, width))
    if found.outside > near:
        more = f"{found.outside - near} more outside; --near {found.outside} lists them all"
        blocks.append(textwrap.fill(more, width, break_on_hyphens=False))
    blocks.append("\n".join(textwrap.fill(note, width) for note in NOTES))
    return "\n\n".join(block.rstrip("\n") for block in blocks) + "\n"


def _table(headings: Sequence[str], rows: Sequence[Sequence[str]], width: int) -> str:
    """The table; records on a narrow screen are wrapped, as their lines are long."""
    lines = table(headings, rows, width).splitlines()
    return "\n".join(
        textwrap.fill(line, width, subsequent_indent="  ") if len(line) > width else line for line in lines
    )


def _summary(kind: PartKind, windows: Sequence[Window], found: Found, width: int, system: str) -> str:
    total = len(found.sure) + len(found.may) + found.outside
    of = f"{total} {kind.title}{'' if total == 1 else 's'} looked at" if total else f"there is no {kind.title} yet"
    first = f"{len(found.sure)} match, {len(found.may)} may match, {found.outside} outside ({of})"
    wanted = "; ".join(f"{one.name} {one.shown(system)}" for one in windows)
    return "\n".join((textwrap.fill(first, width), textwrap.fill(f"wanted: {wanted}", width, subsequent_indent="  ")))


def _name(donor: Donor) -> str:
    of = f" (item of {donor.part})" if donor.name != donor.part else ""
    return f"{donor.name}{of}\n{donor.title}"


def _carried(carriers: Iterable[Carrier]) -> str:
    lines = [" ".join(filter(None, (one.vehicle, one.title, one.years, one.position))) for one in carriers]
    return "\n".join(lines) or "no vehicle on record"


def value_text(one: Standing, system: str) -> str:
    """A value with its dimension, its doubt and its standing: ``inner-spacing 528.33 mm (u 0.33 mm)``."""
    if one.use is None:
        return f"{one.window.name}: {one.gap}"
    if one.window.word is not None:
        return f"{one.window.name} {one.use.word}"
    text = f"{one.window.name} {one.window.one(one.use.number, system, one.use.u)}"
    if not one.use.u:
        return text
    u = f"{one.use.u:.4f}" if one.window.kind == "taper" else one.window.one(one.use.u, system, one.use.u)
    return f"{text} (u {u})"


def _values(standings: Iterable[Standing], system: str) -> str:
    return "\n".join(value_text(one, system) for one in standings)


def _doubtful(donor: Donor, system: str) -> str:
    lines = []
    for one in donor.standings:
        text = value_text(one, system)
        if one.state is not State.INSIDE:
            text = text if one.use is None else f"{text}, {one.gap}"
            text = text if "measure" in one.gap else f"{text}: measure it"
        lines.append(text)
    return "\n".join(lines)


def reason(one: Standing, system: str) -> str:
    """Why a value is outside: ``inner-spacing 588.0 mm, 12.0 mm under``; ``hand LH, not RH``."""
    text = value_text(one, system)
    if one.off is None or one.use is None:
        why = f"{text}, not {one.window.shown(system)}"
    else:
        side = "under" if one.off < 0 else "over"
        off = abs(one.off)
        by = f"{off:.4f} on the ratio" if one.window.kind == "taper" else one.window.one(off, system, one.use.u)
        why = f"{text}, {by} {side}"
    return f"{why}, {one.gap}" if one.gap else why


def _missed(donor: Donor, system: str) -> str:
    lines = [reason(one, system) for one in donor.of(State.OUTSIDE)]
    lines += [f"{value_text(one, system)}, also open" for one in donor.of(State.CANNOT_TELL, State.NO_READING)]
    return "\n".join(lines)
