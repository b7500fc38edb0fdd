"""Every rule of every joint with what it found, and the values they rest on, each told once and cited by number."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby

from fitment.finding import Finding, Use
from fitment.sheets.blocks import Block, Heading, PageBreak, Table, Words
from fitment.sheets.context import SheetContext
from fitment.sheets.finding_text import margin_text
from fitment.sheets.showing import figure_text


def evidence(context: SheetContext) -> tuple[Block, ...]:
    """The section, with its heading."""
    numbers = _numbered(context)
    rules: list[tuple[str, ...]] = []
    for title, joints in groupby(context.report.joints, lambda joint: joint.title):
        rules.append((title,))
        rules += [
            (
                one.rule,
                str(one.verdict),
                _found(context, one),
                _margin(context, one),
                ranges(numbers[_key(use)] for use in one.uses) or "none",
            )
            for joint in joints
            for one in joint.findings
        ]
    return (
        PageBreak(),
        Heading("Annex: evidence"),
        Words(
            "Every rule of every joint: what it asked and found, its margin with the 2.3 % and 97.7 % quantiles, and "
            "the numbers of the values it used, which follow. u is the standard uncertainty; fitment explain RULE "
            "tells the rule's formula, source and limits."
        ),
        Table(
            "Rules",
            ("rule", "verdict", "asked and found", "margin", "values"),
            tuple(rules),
            (17, 16, 0, 42, 30),
            small=True,
        ),
        _values(context, numbers),
    )


def _key(use: Use) -> tuple[str, str, str]:
    return use.feature, use.dimension, use.shown or str(use.value)


def _numbered(context: SheetContext) -> dict[tuple[str, str, str], int]:
    """A number for each value, by the feature and dimension that it is of."""
    keys = sorted({_key(use) for one in context.report.findings for use in one.uses})
    return {key: number for number, key in enumerate(keys, 1)}


def _found(context: SheetContext, one: Finding) -> str:
    figures = [f"{name.replace('_', ' ')} {figure_text(context, figure)}" for name, figure in one.figures.items()]
    gaps = [f"missing: {gap.feature} {gap.dimension} ({gap.why})" for gap in one.gaps]
    return context.shown(one.because) + "".join(f" [{'; '.join(told)}]" for told in (figures, gaps) if told)


def _margin(context: SheetContext, one: Finding) -> str:
    if one.margin is None:
        return "no number"
    unit = f" {one.margin.unit}" if one.margin.unit else ""
    return f"{margin_text(one.margin, context.system)}{context.shown(f', u {one.margin.u:.2g}{unit}')}"


def _values(context: SheetContext, numbers: dict[tuple[str, str, str], int]) -> Table:
    uses = {_key(use): use for one in context.report.findings for use in one.uses}
    rows: list[tuple[str, ...]] = []
    for feature, keys in groupby(numbers, lambda key: key[0]):
        rows.append((feature,))
        for key in keys:
            use = uses[key]
            doubt = f", u {use.u:.2g} {use.unit}".rstrip() if use.u else ""
            weak = (", hearsay" if use.hearsay else "") + (", assumed as left" if use.assumed else "")
            rows.append(
                (
                    str(numbers[key]),
                    use.dimension,
                    context.shown(f"{key[2]}{doubt}"),
                    f"{use.basis}{weak}; {use.source}",
                    " ".join(use.readings) or "none",
                )
            )
    return Table(
        "Values, by the first eight letters of the ids of the readings behind them",
        ("no.", "dimension", "adopted", "basis and source", "readings"),
        tuple(rows),
        (9, 27, 46, 0, 44),
        small=True,
    )


def ranges(numbers: Iterable[int]) -> str:
    """``1, 4-7, 9``."""
    ordered = sorted(set(numbers))
    told: list[str] = []
    for _, run in groupby(enumerate(ordered), lambda pair: pair[1] - pair[0]):
        members: Sequence[int] = [number for _, number in run]
        told.append(str(members[0]) if len(members) == 1 else f"{members[0]}-{members[-1]}")
    return ", ".join(told)
