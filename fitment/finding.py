"""A verdict, its margin and its evidence: what every check returns and every output shows.

Words and their order are fixed: does not fit, not known, fits with work, fits; the worst one wins.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import field, replace
from enum import StrEnum

from fitment.frozen import dataclass

#: more degrees of freedom than these change no digit that is printed: 2.003 standard uncertainties in place of 2
_MANY = 1000.0


class Verdict(StrEnum):
    """The four plain answers."""

    DOES_NOT_FIT = "does not fit"
    NOT_KNOWN = "not known"
    FITS_WITH_WORK = "fits with work"
    FITS = "fits"

    @property
    def rank(self) -> int:
        """Order of gravity: 0 is the worst."""
        return list(Verdict).index(self)

    @property
    def exit_code(self) -> int:
        """The exit code that answers with this verdict; only 0 ever means yes."""
        return {"fits": 0, "does not fit": 1, "fits with work": 3, "not known": 4}[self.value]


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """The verdict of a whole: the worst of its members; of nothing at all, *not known*."""
    return min(verdicts, key=lambda verdict: verdict.rank, default=Verdict.NOT_KNOWN)


class Basis(StrEnum):
    """What a value rests on, strongest claim last in no order: always shown, never compared."""

    MEASURED = "measured"
    IDENTIFIED = "identified"
    AS_ASSEMBLED = "as assembled"
    TRIAL = "trial"
    STATED = "stated"


@dataclass(frozen=True)
class Use:
    """One value that a verdict rests on.

    Attributes:
        feature: which feature of which part, ``NORTH/RE-3 stud``.
        dimension: name of the dimension in the dictionary, ``large``.
        value: number in `unit` (mm, deg, N, N·m, kg, turn, or the plain ratio of a cone), or a word.
        u: standard uncertainty in `unit`; None for words.
        unit: unit of `value` and `u`; None for words, "" for plain ratios.
        basis: what the value rests on.
        readings: ids of the readings behind it.
        source: the source in a few words, ``own measurement, calliper``.
        hearsay: whether it rests on a listing, a forum post or memory alone.
        assumed: whether it was copied from the other side ("right as left").
        shape: distribution for drawing samples: "normal", "rectangular", or "t4.1": Student's t with so many degrees
            of freedom, which `u` multiplies.
        shared: (key, standard uncertainty) of errors that it shares with other values, part of `u`.
        shown: the value as people write it, with its unit.
    """

    feature: str
    dimension: str
    value: float | str
    u: float | None
    unit: str | None
    basis: Basis
    readings: tuple[str, ...] = ()
    source: str = ""
    hearsay: bool = False
    assumed: bool = False
    shape: str = "normal"
    shared: tuple[tuple[str, float], ...] = ()
    shown: str = ""

    def __hash__(self) -> int:
        # over the fields that tell values apart: sizes collect what they follow from by the thousand
        return hash((self.feature, self.dimension, self.value))

    @property
    def number(self) -> float:
        """The value as a number.

        Raises:
            TypeError: for a word.
        """
        if isinstance(self.value, str):
            raise TypeError(f"{self.feature} {self.dimension} is a word, not a number")
        return self.value

    @property
    def word(self) -> str:
        """The value as a word."""
        return str(self.value)


def shape_of(freedom: float) -> str:
    """The shape of a doubt that has so many degrees of freedom, rounded down; of very many, the normal one."""
    return "normal" if freedom > _MANY else f"t{math.floor(freedom * 10) / 10:g}"


def freedom_of(shape: str) -> float:
    """The degrees of freedom of a shape; infinite where it is not Student's t."""
    return float(shape[1:]) if shape.startswith("t") else math.inf


@dataclass(frozen=True)
class Margin:
    """How far from the limit: positive fits. `low` and `high` are the 2.3 % and 97.7 % quantiles; all in `unit`.

    `samples` is how many samples they are read from; 0 where that was not recorded.
    """

    value: float
    u: float
    low: float
    high: float
    unit: str
    samples: int = 0


@dataclass(frozen=True)
class Figure:
    """A number worth knowing that decides nothing by itself; `u` None where it was not worked out."""

    value: float
    u: float | None
    unit: str


@dataclass(frozen=True)
class Work:
    """One operation that would make the joint fit, or that it needs.

    Attributes:
        operation: short name, ``ream``.
        part: on which feature of which part.
        before, after: the dimension before and after, in `unit`; None where the operation has none.
        unit: unit of both.
        remaining: wall or engagement left afterwards, in mm; None where it has none.
        detail: the numbers and the stop rule in one sentence.
        sizes: what a machinist needs of it, by name: figures, and words such as a thread's; nothing that is not known.
    """

    operation: str
    part: str
    before: float | None
    after: float | None
    unit: str
    remaining: float | None
    detail: str
    sizes: Mapping[str, Figure | str] = field(default_factory=dict, compare=False)


@dataclass(frozen=True)
class Gap:
    """What a check needed and did not have."""

    feature: str
    dimension: str
    why: str


@dataclass(frozen=True)
class Finding:
    """The answer of one rule on one joint.

    Attributes:
        rule: stable code, ``thread-02``.
        joint: names of the two features that it is between.
        verdict: one of the four.
        because: one sentence with the numbers.
        basis: the weakest basis among what it used; None where it used nothing.
        margin: None where the rule has no number.
        gaps: what was missing, for *not known*.
    """

    rule: str
    joint: tuple[str, str]
    verdict: Verdict
    because: str
    basis: Basis | None = None
    margin: Margin | None = None
    uses: tuple[Use, ...] = ()
    work: tuple[Work, ...] = ()
    figures: dict[str, Figure] = field(default_factory=dict)
    cautions: tuple[str, ...] = ()
    gaps: tuple[Gap, ...] = ()

    @property
    def on_hearsay(self) -> bool:
        """Whether any value behind it is only somebody's word."""
        return any(use.hearsay for use in self.uses)


def weakest_basis(uses: Iterable[Use]) -> Basis | None:
    """The basis to show for several values: the one that a reader should doubt first."""
    order = [Basis.STATED, Basis.IDENTIFIED, Basis.MEASURED, Basis.AS_ASSEMBLED, Basis.TRIAL]
    found = {use.basis for use in uses}
    return next((basis for basis in order if basis in found), None)


def held_back(finding: Finding) -> Finding:
    """The finding after the rules on weak evidence: hearsay and assumption never yield a pass.

    What passes on hearsay, or on "right as left", becomes *not known* and names the value; what fails on
    hearsay stays *does not fit* and says "on hearsay: measure before discarding".
    """
    finding = replace(finding, basis=finding.basis or weakest_basis(finding.uses))
    weak = [use for use in finding.uses if use.hearsay or use.assumed]
    if not weak or finding.verdict is Verdict.NOT_KNOWN:
        return finding
    if finding.verdict is Verdict.DOES_NOT_FIT:
        if finding.on_hearsay:
            return replace(finding, because=f"{finding.because}; on hearsay: measure before discarding")
        names = ", ".join(f"{use.feature} {use.dimension}" for use in weak)
        return replace(finding, because=f"{finding.because}; on an assumption ({names}): measure before discarding")
    gaps = tuple(
        Gap(
            use.feature, use.dimension, "assumed from the other side" if use.assumed else f"only hearsay ({use.source})"
        )
        for use in weak
    )
    names = ", ".join(f"{gap.feature} {gap.dimension} is {gap.why}" for gap in gaps)
    return replace(
        finding,
        verdict=Verdict.NOT_KNOWN,
        because=f"would be '{finding.verdict}', but {names}",
        gaps=finding.gaps + gaps,
    )
