"""The answer to `propose`: kits with their ledgers, how far they are proven, and why there is none."""

from __future__ import annotations

from dataclasses import field

from fitment.catalogue.found import CatalogueStamp, FoundVehicle
from fitment.catalogue.stock import Stocked
from fitment.finding import Verdict
from fitment.frozen import dataclass
from fitment.kits.propose.keys import Unkeyed
from fitment.kits.propose.ledger import STEP, Entry
from fitment.kits.propose.wants import Wants
from fitment.kits.report import Report


@dataclass(frozen=True)
class Asked:
    """What is asked for.

    Attributes:
        vehicle: reference of the target.
        wants: of the kit.
        keep: parts or items that every kit must name.
        without: vehicles that are no donors.
        adapters: most adapters of a kit, a pair for both sides counted once.
        unknown: most readings that a kit may lack.
        top: how many kits.
    """

    vehicle: str
    wants: Wants = field(default_factory=Wants)
    keep: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    adapters: int = 0
    unknown: int = 0
    top: int = 20


@dataclass(frozen=True)
class PartOfKit:
    """A part of a proposed kit.

    Attributes:
        address: ``left.rod_end``; ``adapter.1`` for the first adapter.
        role: for people.
        stocked: the part.
        own: whether it came with the car.
    """

    address: str
    role: str
    stocked: Stocked
    own: bool


@dataclass(frozen=True)
class ProposedKit:
    """A kit that is proposed.

    Attributes:
        name: the kit's name in its file.
        text: the kit file.
        report: what `check` says of that file.
        parts: what it names.
        ledger: its lines, the sum of which is `cost`.
        lacks: the readings that it lacks, (feature, dimension).
    """

    name: str
    text: str
    report: Report
    parts: tuple[PartOfKit, ...]
    ledger: tuple[Entry, ...]
    lacks: tuple[tuple[str, str], ...]

    @property
    def verdict(self) -> Verdict:
        """That of its report."""
        return self.report.verdict

    @property
    def cost(self) -> float:
        """Points of its ledger."""
        return sum(entry.cost for entry in self.ledger) / STEP


@dataclass(frozen=True)
class Least:
    """What was not looked at is no better than this: verdict first, then points."""

    verdict: Verdict
    cost: float


@dataclass(frozen=True)
class Opens:
    """One change that would open kits.

    Attributes:
        sort: ``reading``, ``adapter``, ``join``, ``work`` or ``length``.
        changes: what is changed, each for people, in the fewest words.
        count: how many kits go then; `capped` where counting stopped there.
        cost: points of the cheapest of them without the change itself.
        minutes: for readings: how long they take; None else.
        example: parts of the cheapest of them that are bought, by name.
    """

    sort: str
    changes: tuple[str, ...]
    count: int
    capped: bool
    cost: float
    minutes: float | None
    example: tuple[str, ...]


@dataclass(frozen=True)
class Bottleneck:
    """An interface that no chain gets past.

    Attributes:
        where: the branch and the place, for people.
        arriving: what comes to it from the racks, with how many candidates offer it.
        accepted: what something after it would take, with how many candidates.
    """

    where: str
    arriving: tuple[tuple[str, int], ...]
    accepted: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Refusal:
    """What kept mixes from being proposed that go together by every key.

    Attributes:
        title: of the joint or the check; of the place where pairs meet.
        count: how many mixes, or pairs, it refused.
        pairs: whether pairs are meant.
    """

    title: str
    count: int
    pairs: bool


@dataclass(frozen=True)
class OutOfReach:
    """The racks that no rod on record can be set to, of those that rods with their ends go onto by their keys."""

    racks: int
    of: int


@dataclass(frozen=True)
class WhyNone:
    """Why there is no kit, as data.

    Attributes:
        lacks: what is not in the catalogue at all.
        bottlenecks: interfaces that no chain gets past.
        refusals: what `check` refused, most often first.
        openings: single changes that would open kits, the cheapest first; the fewest together where no single one does.
        out_of_reach: the racks that tie rods are too long or too short for; None where there are none.
    """

    lacks: tuple[str, ...] = ()
    bottlenecks: tuple[Bottleneck, ...] = ()
    refusals: tuple[Refusal, ...] = ()
    openings: tuple[Opens, ...] = ()
    out_of_reach: OutOfReach | None = None


@dataclass(frozen=True)
class Proposal:
    """The answer.

    Attributes:
        asked: the question.
        vehicle: the target.
        catalogue: in which state.
        kits: the best, best first.
        proven: whether they are the best there are, and all where fewer than asked for.
        least: what was not looked at is no better than this; None where everything was.
        stopped: why the search ended: "done", "budget", "interrupted".
        tests: whole mixes that `check` was asked about.
        left_out: what no proposed kit has, and why.
        unkeyed: parts that could not be looked up by their ends.
        candidates: how many candidates there were by role.
        why_none: why there is no kit; None where there is one.
    """

    asked: Asked
    vehicle: FoundVehicle
    catalogue: CatalogueStamp
    kits: tuple[ProposedKit, ...]
    proven: bool
    least: Least | None
    stopped: str
    tests: int
    left_out: tuple[str, ...]
    unkeyed: tuple[Unkeyed, ...]
    candidates: tuple[tuple[str, int], ...]
    why_none: WhyNone | None

    @property
    def exit_code(self) -> int:
        """That of the best kit's verdict; 1 where there is none."""
        return self.kits[0].verdict.exit_code if self.kits else 1

    @property
    def gap(self) -> float | None:
        """Points by which something not looked at might beat the last kit; None where none can, or a verdict might."""
        if self.proven or self.least is None or not self.kits or self.least.verdict.rank > self.kits[-1].verdict.rank:
            return None
        return max(0.0, self.kits[-1].cost - self.least.cost)
