"""What `check` says of a mix, asked through a memory: its level, what it lacks, and upon which parts that rests."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import cached_property

from fitment.catalogue.found import CatalogueStamp, FoundPart, FoundVehicle, PartsBook
from fitment.catalogue.stock import Stocked
from fitment.doubt import Draws
from fitment.finding import Finding, Gap, Verdict, worst
from fitment.frozen import dataclass
from fitment.joints.limits import default_limits
from fitment.joints.registration import Setting
from fitment.kits.assembly import Assembly, assemble
from fitment.kits.chain import placed_joins
from fitment.kits.check import check, weighed
from fitment.kits.kit import Kit
from fitment.kits.propose.kit_of import Named, kit_of
from fitment.kits.propose.memory import Memory, Question
from fitment.kits.propose.rod_known import is_open
from fitment.kits.rack_place import surveyed
from fitment.kits.report import JointSummary, Report
from fitment.kits.roles import SIDES, WholeKitRow, joins, whole_kit_checks
from fitment.kits.rules import PART_NOT_NAMED
from fitment.kits.whole import Looked

#: level of a verdict, the best first; what does not fit has none
LEVELS = (Verdict.FITS, Verdict.FITS_WITH_WORK, Verdict.NOT_KNOWN)
#: checks of the whole kit that give figures and no verdict where a kit states no limit, as no proposal does
_FIGURES = frozenset({"bump_steer", "ackermann"})
#: checks of the whole kit that solve the linkage many times over: asked last
_COSTLY = frozenset({"direction", "stroke", "tilt", "boot_travel"})
#: mixes after which the samples are drawn anew, so that they do not fill the memory
_FRESH = 25


@dataclass(frozen=True)
class Want:
    """What a length would have to be set beyond what it can: by how many mm, longer or shorter."""

    by: float
    way: str


@dataclass(frozen=True)
class Rests:
    """One answer of `check` on a mix.

    Attributes:
        title: of the joint, for people.
        level: index in `LEVELS`; None where it does not fit.
        gaps: what it lacks, (feature, dimension).
        addresses: of the parts that it rests on; None where it may rest on any.
        want: what was forgiven it.
    """

    title: str
    level: int | None
    gaps: frozenset[tuple[str, str]]
    addresses: frozenset[str] | None
    want: Want | None = None


class StockBook:
    """The parts of a search as a kit's book: what was loaded at once is not asked for again."""

    def __init__(self, book: PartsBook, vehicle: str, stock: Iterable[Stocked]):
        self._book, self._parts = book, {one.part.name: one.part for one in stock}
        self.vehicle = book.find_vehicle(vehicle)

    @cached_property
    def _stamp(self) -> CatalogueStamp:
        return self._book.stamp()

    def stamp(self) -> CatalogueStamp:
        """The catalogue's stamp."""
        return self._stamp

    def find(self, reference: str) -> FoundPart:
        """The part or item; faults as the catalogue's own."""
        return self._parts[reference] if reference in self._parts else self._book.find(reference)

    def find_vehicle(self, reference: str) -> FoundVehicle:
        """The vehicle; faults as the catalogue's own."""
        return self.vehicle if reference == self.vehicle.name else self._book.find_vehicle(reference)


class Judge:
    """Asks `check` about mixes for one target.

    Args:
        book: the parts.
        samples: of each value; None for the usual number.
    """

    def __init__(self, book: StockBook, samples: int | None = None):
        self.book, self._samples = book, samples
        self._memory = Memory()
        self.limits = default_limits()
        self._draws, self._asked = self.draws(), 0
        self._last: tuple[Kit, Assembly] | None = None

    def draws(self) -> Draws:
        """Samples such as every report of this search rests on."""
        return Draws() if self._samples is None else Draws(self._samples)

    def report_of(self, kit: Kit) -> Report:
        """What `check` says of a kit."""
        self._refresh()
        return check(kit, self.book, self._draws, self._memory.kinds, looking=self._looking)

    def _looking(self, row: WholeKitRow, kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
        self._last = (kit, assembly)
        return self._memory.looking(row, kit, assembly, setting)

    def rests(
        self, named: Named, admits: Callable[[int | None], bool], unknown: int, forgiven: str = ""
    ) -> list[Rests]:
        """The answers of `check` on a mix, up to the first that keeps it from being proposed.

        Args:
            admits: whether something of a level may be in a kit.
            unknown: how many readings it may lack.
            forgiven: module of a check of the whole kit of which a length out of reach is noted and let pass.
        """
        self._refresh()
        rows: list[tuple[WholeKitRow, Kit, Assembly, Setting]] = []

        def later(row: WholeKitRow, kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
            rows.append((row, kit, assembly, setting))
            return Looked()

        report = check(kit_of(named, self.limits), self.book, self._draws, self._memory.kinds, looking=later)
        met: dict[str, frozenset[str]] = {}
        for placed in placed_joins(named.parts, joins()):
            # the halves of a joint with an adapter; adapters are always counted among what an answer rests on
            ends = {"": {placed.a, placed.b}, ".1": {placed.a}, ".2": {placed.b}}
            met |= {f"{placed.id}{half}": frozenset(at) for half, at in ends.items()}
        found = [
            Rests(joint.title, level_of(joint.verdict), gaps_of(joint.findings), met.get(joint.id))
            for joint in report.joints
        ]
        for row, kit, assembly, setting in sorted(rows, key=lambda one: one[0].module in _COSTLY):
            if _too_bad(found, admits, unknown):
                break
            if row.module not in _FIGURES:
                found += self._row(row, kit, assembly, setting, row.module == forgiven)
        return found

    def _row(self, row: WholeKitRow, kit: Kit, assembly: Assembly, setting: Setting, forgiven: bool) -> list[Rests]:
        looked = self._memory.looking(row, kit, assembly, setting)
        at = self._addresses(self._memory.answers[row.title].asked)
        found = []
        for summary in looked.summaries:
            findings = tuple(map(weighed, summary.findings))
            wants = [_want(finding) for finding in findings if finding.verdict is Verdict.DOES_NOT_FIT]
            want = wants[0] if forgiven and len(wants) == 1 else None
            kept = [finding for finding in findings if want is None or finding.verdict is not Verdict.DOES_NOT_FIT]
            level = level_of(worst(finding.verdict for finding in kept)) if kept else 0
            found.append(Rests(summary.title, level, gaps_of(kept), at, want))
        return found

    def toe(self) -> float | None:
        """The largest change of toe of either wheel of the kit asked about last, deg; None where it is not known.

        The check of bump steer tells it as a figure as soon as a limit is stated, whatever that is.
        """
        if self._last is None:
            return None
        kit, assembly = self._last
        row = replace(whole_kit_checks()["bump-steer"], title="toe of a proposal")
        limits = {**self.limits, "toe_change": replace(self.limits["toe_change"], overridden=True)}
        looked = self._memory.looking(row, kit, assembly, Setting(limits, self._draws))
        found = [one.figures.get("largest") for each in looked.summaries for one in each.findings]
        values = [figure.value for figure in found if figure is not None]
        return max(values) if values and len(values) == len(found) else None

    def _refresh(self) -> None:
        self._asked += 1
        if self._asked % _FRESH == 0:
            self._draws = self.draws()

    def _addresses(self, asked: Sequence[Question]) -> frozenset[str] | None:
        """The addresses upon which an answer rests."""
        found: set[str] = set()
        for question in asked:
            if question[0] == "addresses":
                return None
            if question[0] in ("part", "named"):
                found.add(question[1])
            elif question[0] in ("fact", "facts"):
                found |= {f"{question[1]}.{role}" for role in ("inner_joint", "tie_rod", "rod_end", "knuckle")}
            else:
                found |= {f"{side}.{role}" for side in SIDES for role in _THREADED} | {"rack"}
        return frozenset(found)

    @cached_property
    def surveyed(self) -> bool:
        """Whether the target has points, so that its tie rods are asked for a length."""
        return surveyed(self.book.vehicle)

    def pair(self, named: Named) -> int | None:
        """The level of the joints among a few parts alone; what is not named is not asked for.

        Parts that leave a tie rod of a surveyed car without a length make no kit that is known: said here of the two it
        spares every mix with them.
        """
        verdicts = [joint.verdict for joint in self._joints(named)]
        if self.leaves_open(named):
            verdicts.append(Verdict.NOT_KNOWN)
        return level_of(worst(verdicts)) if verdicts else 0

    def leaves_open(self, named: Named) -> bool:
        """Whether the length of a tie rod that is asked for cannot be known with these parts."""
        found = {address: one.part for address, one in named.parts.items()}
        return self.surveyed and is_open(kit_of(named, self.limits), found, Setting(self.limits, self._draws))

    def _joints(self, named: Named) -> list[JointSummary]:
        self._refresh()
        kit = kit_of(named, self.limits)
        report = check(kit, self.book, self._draws, self._memory.kinds, looking=_not_now)
        return [joint for joint in report.joints if joint.findings[0].rule != PART_NOT_NAMED]

    def state(self, named: Named) -> int | None:
        """The level of what is recorded of the state of single parts."""
        from fitment.kits import part_state

        kit = kit_of(named, self.limits)
        assembly = assemble(kit, self.book, self._memory.kinds)
        looked = part_state.look(kit, assembly, Setting(self.limits, self._draws))
        verdicts = [summary.verdict for summary in looked.summaries]
        return level_of(worst(verdicts)) if verdicts else 0


_THREADED = ("inner_joint", "tie_rod", "rod_end", "spherical_rod_end")


def _not_now(row: WholeKitRow, kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
    """No check of the whole kit: its parts are not all there."""
    return Looked()


def _want(finding: Finding) -> Want | None:
    """How far a length is out of reach, doubt included; None of any other finding."""
    left = [finding.figures.get(f"range_left_{way}") for way in ("out", "in")]
    if finding.margin is None or finding.margin.unit != "mm" or None in left:
        return None
    out, back = (figure.value for figure in left if figure is not None)
    return Want(-finding.margin.low, "longer" if out < back else "shorter")


def _too_bad(found: Sequence[Rests], admits: Callable[[int | None], bool], unknown: int) -> bool:
    gaps = {gap for one in found for gap in one.gaps}
    return len(gaps) > unknown or not all(admits(one.level) for one in found)


def level_of(verdict: Verdict) -> int | None:
    """Place in `LEVELS`; None for what does not fit."""
    return LEVELS.index(verdict) if verdict in LEVELS else None


def gaps_of(findings: Iterable[Finding]) -> frozenset[tuple[str, str]]:
    """What findings lack: (feature, dimension); a finding that is not known without naming what it lacks counts too."""
    found: set[tuple[str, str]] = set()
    for finding in findings:
        if finding.verdict is Verdict.NOT_KNOWN:
            found |= {_key(gap) for gap in finding.gaps} or {(finding.joint[0], finding.rule)}
    return frozenset(found)


def _key(gap: Gap) -> tuple[str, str]:
    return gap.feature, gap.dimension
