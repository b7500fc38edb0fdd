"""What goes in a part's place, as it is or with which work; decided by the rules of check against its mates."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import field, replace

from fitment.catalogue.found import Carrier, FoundPart
from fitment.catalogue.places import Candidate, PlacesBook
from fitment.doubt import Draws
from fitment.finding import Finding, Verdict, Work, worst
from fitment.frozen import dataclass
from fitment.joints.limits import default_limits
from fitment.joints.registration import Setting
from fitment.joints.thread_adapter import ADAPTER
from fitment.kits.part_state import state_findings
from fitment.kits.place_ends import stand_in_findings
from fitment.kits.place_mates import Mate, mates_of, open_ends
from fitment.kits.place_sizes import Change, size_findings
from fitment.kits.variants import Telling, telling_dimensions

#: how many parts of a kind are looked at closely
LOOKED_AT = 200


@dataclass(frozen=True)
class Match:
    """A part held against another's place.

    Attributes:
        part: it, as the catalogue has it.
        carriers: vehicles that it was fitted to.
        verdict: the worst of its findings, an end that a named thread adapter would join counted as work.
        findings: every rule's answer, end by end, then sizes.
        works: the work that it needs.
        changes: sizes in which it differs from the old part, in the order of the table.
    """

    part: FoundPart
    carriers: tuple[Carrier, ...]
    verdict: Verdict
    findings: tuple[Finding, ...]
    works: tuple[Work, ...]
    changes: tuple[Change, ...]

    @property
    def off(self) -> float:
        """How far off it is, for the order: the differences of sizes, mm and deg alike, that are beyond their doubt."""
        return sum(abs(one.delta) for one in self.changes if one.sure)

    @property
    def open(self) -> tuple[Finding, ...]:
        """The findings that are not known."""
        return tuple(one for one in self.findings if one.verdict is Verdict.NOT_KNOWN)


@dataclass(frozen=True)
class Interchange:
    """What goes in a part's place.

    Attributes:
        part: the part.
        carriers: vehicles that it was fitted to.
        mates: what its ends mate with, as far as the catalogue tells.
        without_mate: its ends of which no mate is on record.
        matches: parts that go as they are, then with work, then those of which it is not known; in each, the least
            work first, then the fewest open questions, then the nearest in size.
        others: how many were looked at that do not fit, or only with work that was not allowed.
        looked_at: how many parts were looked at closely.
        of_kind: how many other parts of the kind there are.
        unkeyed: ends -> parts of the kind nobody knows the key of that end of.
        variants: what tells the part and those that go as they are from each other, in the order to read it.
    """

    part: FoundPart
    carriers: tuple[Carrier, ...]
    mates: tuple[Mate, ...]
    without_mate: tuple[str, ...]
    matches: tuple[Match, ...]
    others: int
    looked_at: int
    of_kind: int
    unkeyed: Mapping[str, int] = field(default_factory=dict)
    variants: tuple[Telling, ...] = ()

    def of(self, verdict: Verdict) -> tuple[Match, ...]:
        """The matches with this verdict."""
        return tuple(one for one in self.matches if one.verdict is verdict)

    @property
    def exit_code(self) -> int:
        """0 only where one goes as it is; 3 only with work, 4 only not known, 1 none."""
        verdicts = [one.verdict for one in self.matches]
        return max(verdicts, key=lambda one: one.rank).exit_code if verdicts else 1


def interchange(
    reference: str,
    book: PlacesBook,
    side: str = "",
    works: Sequence[str] | None = None,
    draws: Draws | None = None,
    look_at: int = LOOKED_AT,
) -> Interchange:
    """What goes in the place of a part.

    Args:
        reference: a part or an item.
        book: the catalogue.
        side: ``left`` or ``right``; "" for either.
        works: the operations allowed, by name; empty for none; None for any.
        draws: samples for the doubt; None for the usual number and seed.
        look_at: how many candidates to look at closely.

    Raises:
        NotFoundFault: no such part.
    """
    draws = draws or Draws()
    part = book.find(reference)
    mates = mates_of(part, book, side, draws)
    without = open_ends(part, mates, side)
    candidates = book.candidates(part, look_at)
    judged = [_judged(one, part, book, mates, without, draws) for one in candidates.found]
    kept = [one for one in judged if one.verdict is not Verdict.DOES_NOT_FIT and _allowed(one, works)]
    kept.sort(key=lambda one: (-one.verdict.rank, len(one.works), len(one.open), one.off, one.part.name))
    as_it_is = [one.part for one in kept if one.verdict is Verdict.FITS]
    return Interchange(
        part,
        book.carriers(book.design_of(part)),
        mates,
        without,
        tuple(kept),
        len(judged) - len(kept),
        len(judged),
        candidates.of_kind,
        candidates.unkeyed,
        telling_dimensions([part, *as_it_is]),
    )


def _allowed(match: Match, works: Sequence[str] | None) -> bool:
    return works is None or all(any(_named(name, work.operation) for name in works) for work in match.works)


def _named(asked: str, operation: str) -> bool:
    """Whether an operation is meant by a word: ``sleeve`` is a ``taper sleeve``, ``ream`` from either face."""
    return set(asked.split()) <= set(operation.split())


def _judged(
    candidate: Candidate,
    old: FoundPart,
    book: PlacesBook,
    mates: Sequence[Mate],
    without: Sequence[str],
    draws: Draws,
) -> Match:
    part = book.find(candidate.reference)
    own = Draws(draws.count, draws.seed)
    # it must go with all that the old part goes with
    findings = [finding for mate in mates for finding in mate.findings(part.features[mate.place.feature], own)]
    for name in without:
        findings += stand_in_findings(old.features[name], part.features[name], own)
    sizes, changes = size_findings(old, part, own)
    findings += [*sizes, *state_findings(part, old.name, Setting(default_limits(), own))]
    joined = [_joined(one) for one in findings]
    works = tuple(dict.fromkeys(work for one in joined for work in one.work))
    return Match(part, candidate.carriers, worst(one.verdict for one in joined), tuple(joined), works, changes)


def _joined(finding: Finding) -> Finding:
    """A misfit of threads that an adapter would get round, as the work that it is: nobody takes the two for one thread.

    In a kit it stays a misfit until the adapter is named as a part; here the question is which work there would be.
    """
    if finding.verdict is Verdict.DOES_NOT_FIT and any(work.operation == ADAPTER for work in finding.work):
        because = f"{finding.because}; only with a thread adapter, as a part more that a kit must name and check"
        return replace(finding, verdict=Verdict.FITS_WITH_WORK, because=because)
    return finding
