"""What goes in a part's place as text: how many, as it is, with work, not known; and which one have I."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from fitment.catalogue.found import Carrier
from fitment.finding import Finding, Verdict, Work
from fitment.kits.interchange import Interchange, Match
from fitment.kits.place_rules import SIZE
from fitment.kits.variants import Telling
from fitment.quantity.show import show_quantity
from fitment.sheets.finding_text import in_system, margin_text
from fitment.sheets.tables import table

NOTES = (
    "Dimensional compatibility only; not an approval. Strength, fatigue, material and welds are not checked, nor what "
    "only the whole kit shows: fitment check, with the part named in a kit.",
    "Makers changed parts within a model's years: take the readings on the very one before paying for it.",
)
_KIND_OF_UNIT = {"mm": "length", "deg": "angle", "turn": "turns"}


def interchange_text(told: Interchange, near: int, width: int, system: str) -> str:
    """The whole answer, summary first.

    Args:
        told: the answer.
        near: how many parts to list of which it is not known.
        width: columns.
        system: "mm" or "inch".
    """
    blocks = [_summary(told, width)]
    for verdict, title in ((Verdict.FITS, "As it is"), (Verdict.FITS_WITH_WORK, "With work")):
        if ones := told.of(verdict):
            rows = [(_name(one), _carried(one.carriers), _said(one, system)) for one in ones]
            blocks.append(f"{title}\n" + _table(("part", "was fitted to", "rests on, and what changes"), rows, width))
    unknown = told.of(Verdict.NOT_KNOWN)
    if unknown[:near]:
        rows = [(_name(one), _carried(one.carriers), _open(one, system)) for one in unknown[:near]]
        blocks.append("Not known: measure first\n" + _table(("part", "was fitted to", "what is open"), rows, width))
    if len(unknown) > near:
        blocks.append(_fill(f"{len(unknown) - near} more not known; --near {len(unknown)} lists them all", width))
    if told.variants:
        lines = ["Which one have I?", *(_fill(line, width) for one in told.variants for line in _which(one, system))]
        blocks.append("\n".join(lines))
    cautions = dict.fromkeys(
        caution
        for one in (*told.of(Verdict.FITS), *told.of(Verdict.FITS_WITH_WORK))
        for finding in one.findings
        for caution in finding.cautions
    )
    if cautions:
        blocks.append("Cautions\n" + "\n".join(_fill(f"- {in_system(one, system)}", width) for one in cautions))
    blocks.append("\n".join(textwrap.fill(note, width) for note in NOTES))
    return "\n\n".join(block.rstrip("\n") for block in blocks) + "\n"


def _fill(text: str, width: int) -> str:
    return textwrap.fill(text, width, subsequent_indent="  ", break_on_hyphens=False)


def _summary(told: Interchange, width: int) -> str:
    counts = [len(told.of(one)) for one in (Verdict.FITS, Verdict.FITS_WITH_WORK, Verdict.NOT_KNOWN)]
    of = f"{told.looked_at} of {told.of_kind} others of its kind looked at"
    lines = [
        f"{counts[0]} as it is, {counts[1]} with work, {counts[2]} not known, {told.others} not ({of})",
        f"in the place of {told.part.name} {told.part.title}, {_carried_line(told.carriers)}",
    ]
    for name in dict.fromkeys(mate.place.feature for mate in told.mates):
        ends = dict.fromkeys(mate.end.name for mate in told.mates if mate.place.feature == name)
        lines.append(f"its {name} mates with {', '.join(ends)}")
    if told.without_mate:
        lines.append(f"no mate on record of its {', '.join(told.without_mate)}: judged by what the end itself shows")
    if told.unkeyed and told.looked_at < told.of_kind:
        open_ends = ", ".join(f"{number} at the {name}" for name, number in told.unkeyed.items())
        lines.append(f"not searched, as nobody knows their key: {open_ends}")
    return "\n".join(_fill(line, width) for line in lines)


def _carried_line(carriers: Sequence[Carrier]) -> str:
    names = dict.fromkeys(" ".join(filter(None, (one.vehicle, one.title))) for one in carriers)
    return f"which came on {', '.join(names)}" if names else "no vehicle on record"


def _table(headings: Sequence[str], rows: Sequence[Sequence[str]], width: int) -> str:
    lines = table(headings, rows, width).splitlines()
    return "\n".join(_fill(line, width) if len(line) > width else line for line in lines)


def _name(one: Match) -> str:
    return f"{one.part.name}\n{one.part.title}"


def _carried(carriers: Iterable[Carrier]) -> str:
    lines = [" ".join(filter(None, (one.vehicle, one.title, one.years, one.position))) for one in carriers]
    return "\n".join(lines) or "no vehicle on record"


def _said(one: Match, system: str) -> str:
    lines = [_work(work, system) for work in one.works]
    least = _least(one.findings)
    if least is not None and least.margin is not None:
        rests = f", {least.basis}" if least.basis else ""
        lines.append(f"least margin {margin_text(least.margin, system)} [{least.rule}{rests}]")
    return "\n".join([*lines, *_changes(one, system)])


def _work(work: Work, system: str) -> str:
    """The work in short; check prints it in full, for the kit in which it is done."""
    text = f"{work.operation} {work.part}"
    if work.before is not None and work.after is not None and work.unit == "mm":
        text += in_system(f", {work.before:.2f} to {work.after:.2f} mm", system)
    left = in_system(f", {work.remaining:.2f} mm left", system) if work.remaining is not None else ""
    return text + left


def _least(findings: Iterable[Finding]) -> Finding | None:
    """The finding of a joint with the least margin in mm."""
    in_mm = [one for one in findings if one.margin is not None and one.margin.unit == "mm" and one.rule != SIZE.code]
    return min(in_mm, key=lambda one: one.margin.low if one.margin else 0.0, default=None)


def _changes(one: Match, system: str) -> list[str]:
    lines = []
    for change in one.changes:
        if change.sure:
            kind = _KIND_OF_UNIT[change.unit]
            before, after = (show_quantity(value, kind, system, None) for value in (change.before, change.after))
            lines.append(f"{change.dimension} {after}, was {before}: {change.changes}")
    return lines or ["nothing known differs"]


def _open(one: Match, system: str) -> str:
    told = dict.fromkeys(f"{in_system(finding.because, system)} [{finding.rule}]" for finding in one.open)
    shown = list(told)[:2]
    more = [f"and {len(told) - len(shown)} more open"] if len(told) > len(shown) else []
    works = [f"after work: {', '.join(dict.fromkeys(work.operation for work in one.works))}"] if one.works else []
    return "\n".join([*shown, *more, *works])


def _which(telling: Telling, system: str) -> list[str]:
    kind = telling.dimension.value_kind
    how = f"{telling.tool}: {telling.dimension.how}" if telling.tool else telling.dimension.how
    said = []
    for name, use in telling.values:
        numeric = not isinstance(use.value, str) and kind in ("length", "angle", "turns", "mass", "count")
        value = show_quantity(use.number, kind, system, use.u) if numeric else use.shown or str(use.value)
        said.append(f"{name} {value}")
    apart = "" if telling.apart is None else f"; the widest difference is {telling.apart:.0f} times its doubt"
    return [
        f"- {telling.dimension.title} ({telling.feature}): {', '.join(said)}{apart}",
        f"  {how}",
    ]
