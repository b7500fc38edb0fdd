"""Sizes on which the car depends, of a part in another's place; the table is ``place_sizes.csv``."""

from __future__ import annotations

import csv
import math
from functools import cache
from pathlib import Path

from fitment.catalogue.found import FoundPart
from fitment.doubt import Draws
from fitment.elementwise import where
from fitment.finding import Finding, Gap, Use, Verdict, held_back
from fitment.frozen import dataclass
from fitment.joints.answering import Size, answer, formula, lacking, size_of
from fitment.joints.limits import default_limits
from fitment.joints.registration import Feature, Setting, missing
from fitment.kits.place_rules import SIZE

#: a difference is sure beyond so many of its standard uncertainties
_SURE = 2.0
_WITHIN = ("within", "taken up")


@dataclass(frozen=True)
class SizeRow:
    """One row of the table.

    `how` is ``same``, ``within``, ``not less``, ``not more`` or ``taken up``; `always` is False where nothing is asked
    of two parts neither of which has the dimension.
    """

    feature: str
    dimension: str
    always: bool
    how: str
    tolerance: float
    unit: str
    changes: str


@dataclass(frozen=True)
class Change:
    """A size in which the new part differs from the old.

    Attributes:
        feature, dimension: which.
        before, after: the two values, in `unit`.
        delta: after - before.
        u: standard uncertainty of that; None where one of them has none.
        unit: ``mm``, ``deg``, ``turn``.
        changes: what it changes on the car.
        taken_up: whether the adjustment of the rod takes it up.
    """

    feature: str
    dimension: str
    before: float
    after: float
    delta: float
    u: float | None
    unit: str
    changes: str
    taken_up: bool

    @property
    def sure(self) -> bool:
        """Whether the two differ beyond the doubt."""
        return abs(self.delta) > _SURE * (self.u or 0.0)


@cache
def _rows() -> dict[str, tuple[SizeRow, ...]]:
    found: dict[str, tuple[SizeRow, ...]] = {}
    with Path(__file__).with_name("place_sizes.csv").open(encoding="utf-8", newline="") as table:
        for row in csv.DictReader(table, strict=True):
            one = SizeRow(
                row["feature"],
                row["dimension"],
                row["where"] == "always",
                row["how"],
                float(row["tolerance"] or 0),
                row["unit"],
                row["changes"],
            )
            found[row["kind"]] = (*found.get(row["kind"], ()), one)
    return found


def size_findings(old: FoundPart, new: FoundPart, draws: Draws) -> tuple[list[Finding], tuple[Change, ...]]:
    """The findings of the table's rows for a kind of part, and the sizes that differ.

    Args:
        old: the part that is to be replaced.
        new: the part that is to come in its place, of the same kind.
        draws: samples for the doubt.
    """
    findings: list[Finding] = []
    changes: list[Change] = []
    for row in _rows().get(old.kind, ()):
        before, after = old.features[row.feature], new.features[row.feature]
        if not row.always and not any(row.dimension in {**one.values, **one.gaps} for one in (before, after)):
            continue
        changes += _change(row, before.get(row.dimension), after.get(row.dimension))
        if row.how == "same":
            findings.append(_same(row, before, after))
        else:
            findings.append(_sized(row, before, after, Setting(default_limits(), draws)))
    return findings, tuple(changes)


def _change(row: SizeRow, before: Use | None, after: Use | None) -> list[Change]:
    if before is None or after is None or isinstance(before.value, str) or isinstance(after.value, str):
        return []
    u = None if before.u is None or after.u is None else math.hypot(before.u, after.u)
    delta = after.value - before.value
    if not delta:
        return []
    taken_up = row.how == "taken up"
    return [Change(row.feature, row.dimension, before.value, after.value, delta, u, row.unit, row.changes, taken_up)]


def _same(row: SizeRow, before: Feature, after: Feature) -> Finding:
    joint, uses = (after.name, before.name), (before.get(row.dimension), after.get(row.dimension))
    known = tuple(use for use in uses if use is not None)
    if len(known) < 2:
        gaps = [one.gap(row.dimension) for one in (before, after) if one.get(row.dimension) is None]
        return missing(SIZE.code, joint, gaps, known)
    same = known[0].word == known[1].word
    said = f"is {known[0].word} on both" if same else f"is {known[1].word}, and was {known[0].word}"
    verdict = Verdict.FITS if same else Verdict.DOES_NOT_FIT
    return held_back(Finding(SIZE.code, joint, verdict, f"{row.dimension} {said} ({row.changes})", uses=known))


def _sized(row: SizeRow, before: Feature, after: Feature, setting: Setting) -> Finding:
    old, new = size_of(before, row.dimension), size_of(after, row.dimension)
    joint = (after.name, before.name)
    if not (old.known and new.known):
        return answer(SIZE.code, joint, lacking(*old.gaps, *new.gaps), row.unit, setting, lambda: "")
    finding = answer(SIZE.code, joint, _margin(row, old, new), row.unit, setting, lambda: _says(row, old, new))
    if row.how not in _WITHIN and old.central == new.central and finding.verdict is Verdict.NOT_KNOWN:
        # as much as before is enough: the doubt of two equal readings proves no difference
        return held_back(Finding(SIZE.code, joint, Verdict.FITS, _says(row, old, new), uses=finding.uses))
    if finding.verdict is Verdict.DOES_NOT_FIT:
        # what it does to the car is not known here; it is no misfit
        because = f"{finding.because}; what that does to the car is for fitment check and fitment steer to say"
        gap = Gap(after.name, row.dimension, f"beyond what changes nothing of {row.changes}")
        return Finding(SIZE.code, joint, Verdict.NOT_KNOWN, because, uses=finding.uses, gaps=(gap,))
    return held_back(finding)


def _margin(row: SizeRow, old: Size, new: Size) -> Size:
    if row.how in _WITHIN:
        return formula(lambda a, b: row.tolerance - where(b > a, b - a, a - b), old, new)
    sign = 1.0 if row.how == "not less" else -1.0
    return formula(lambda a, b: sign * (b - a) + row.tolerance, old, new)


def _says(row: SizeRow, old: Size, new: Size) -> str:
    unit = f" {row.unit}" if row.unit else ""
    asked = f"within {row.tolerance:g}{unit}" if row.how in _WITHIN else row.how
    return (
        f"{row.dimension} is {new.central:.2f}{unit}, and was {old.central:.2f}{unit}: {asked} is asked ({row.changes})"
    )
