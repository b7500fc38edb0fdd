"""How a kind of joint registers itself: once, in one place, read by check, explain and every later question.

A joint sees two `Feature`s and a `Setting`; it returns findings. It never asks the catalogue or the kit anything.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field

from fitment.doubt import Draws
from fitment.finding import Basis, Finding, Gap, Use, Verdict
from fitment.frozen import dataclass


@dataclass(frozen=True)
class Trial:
    """A pass-or-fail trial as recorded.

    Attributes:
        dimension: which trial, ``seat-trial``, ``gauge-trial``, ``reamed-to``, ``assembled-with``, ``thread-trial``.
        passed: the result.
        against: what it was tried against: a feature ``NORTH/KN-1 eye``, a gauge name ``1:10`` or a thread.
        contact: contact found by blueing, fraction 0 to 1; None where not recorded.
        stand_off: gauge plane proud of the large face, in mm; None where not recorded.
        use: the reading behind it, as evidence (its value is the text as entered).
    """

    dimension: str
    passed: bool
    against: str
    contact: float | None
    stand_off: Use | None
    use: Use


@dataclass(frozen=True)
class Feature:
    """One end of a part as a joint sees it.

    Attributes:
        name: ``NORTH/RE-3 stud``; for an item ``NORTH/RE-3a stud``. A trial holds for just the name it was made with.
        kind: feature kind of the dictionary, ``stud``.
        values: adopted values by dimension.
        gaps: why a dimension that has readings has no adopted value ("in conflict: ...", "undecided: ...").
        trials: pass-or-fail trials recorded on it.
    """

    name: str
    kind: str
    values: Mapping[str, Use] = field(default_factory=dict)
    gaps: Mapping[str, str] = field(default_factory=dict)
    trials: tuple[Trial, ...] = ()

    def get(self, dimension: str) -> Use | None:
        """The adopted value, or None."""
        return self.values.get(dimension)

    def gap(self, dimension: str) -> Gap:
        """The gap to name where a dimension is missing."""
        return Gap(self.name, dimension, self.gaps.get(dimension, "no reading"))


@dataclass(frozen=True)
class Limit:
    """A limit that a rule holds a margin against; `overridden` where the kit states its own."""

    name: str
    value: float
    unit: str
    title: str
    source: str
    overridden: bool = False


@dataclass(frozen=True)
class Setting:
    """What a joint is told from outside.

    Attributes:
        limits: by name.
        draws: samples for the doubt of this check.
        facts: what the kit says of this joint (``enters`` = "below", ``nut`` = "DIN 935", ``adjuster`` = "yes").
    """

    limits: Mapping[str, Limit]
    draws: Draws
    facts: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Rule:
    """One rule with its page for ``fitment explain``."""

    code: str
    title: str
    checks: str
    formula: str
    source: str
    limits: str
    leaves_out: str


@dataclass(frozen=True)
class JointKind:
    """A kind of joint.

    Attributes:
        name: ``thread``, ``stud-in-eye``.
        between: feature kinds of either side; a side that takes several lists them all.
        requires: dimensions that each side must have for a verdict, for the list of what to measure.
        key: the designation by which the two sides must agree, from one feature; None where unknown.
        rules: every rule that it may return, with its page.
        works: names of the operations that it may propose.
        check: the findings for two features.
        keyed_by: dimensions that the key is made of; empty where no designation must agree.
    """

    name: str
    between: tuple[frozenset[str], frozenset[str]]
    requires: tuple[tuple[str, ...], tuple[str, ...]]
    key: Callable[[Feature], tuple[str, ...] | None]
    rules: tuple[Rule, ...]
    works: tuple[str, ...]
    check: Callable[[Feature, Feature, Setting], list[Finding]]
    keyed_by: tuple[str, ...] = ()


def missing(rule: str, joint: tuple[str, str], gaps: list[Gap], uses: tuple[Use, ...] = ()) -> Finding:
    """The *not known* finding for a rule that lacks dimensions."""
    names = "; ".join(f"{gap.feature} {gap.dimension}: {gap.why}" for gap in gaps)
    return Finding(rule, joint, Verdict.NOT_KNOWN, names, uses=uses, gaps=tuple(gaps))


def as_assembled(first: Feature, second: Feature) -> Trial | None:
    """The record that the two were taken together, undisturbed, from one donor; None where there is none."""
    for one, other in ((first, second), (second, first)):
        for trial in one.trials:
            if trial.dimension == "assembled-with" and trial.passed and trial.against == other.name:
                return trial
    return None


def assembled_finding(rule: str, first: Feature, second: Feature, trial: Trial) -> Finding:
    """*fits*, as assembled: the two came off one donor together (hearsay about it is held back elsewhere)."""
    return Finding(
        rule,
        (first.name, second.name),
        Verdict.FITS,
        f"{first.name} and {second.name} were taken together, undisturbed, from one donor ({trial.use.source})",
        basis=Basis.AS_ASSEMBLED,
        uses=(trial.use,),
        cautions=("As assembled holds only while the two stay together; once parted, measure them.",),
    )
