"""The answer to a check: one typed object, of which the screen, the JSON and every sheet are views."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from fitment.catalogue.found import CatalogueStamp, FoundVehicle
from fitment.finding import Finding, Gap, Margin, Verdict, worst
from fitment.frozen import dataclass
from fitment.joints.registration import Limit
from fitment.kits.assembly import NamedPart
from fitment.kits.jurisdiction import CertifierFacts
from fitment.kits.look_at import LookAt

if TYPE_CHECKING:
    from fitment.kits.odds import KitOdds

#: what every report says, whatever it found
STANDING_CAUTIONS = (
    "Dimensional compatibility only. Not an approval. Have the work certified where your authority requires it.",
    "Not checked: strength, fatigue, material, hidden cracks, welds.",
    "Confirm the direction of steering and every torque on the car.",
)


@dataclass(frozen=True)
class JointSummary:
    """One joint of the kit with what was found of it.

    Attributes:
        id: ``left.stud-eye``.
        side: ``left``, ``right`` or "".
        title: ``left rod end stud in knuckle eye``.
        features: names of the two features; of a part that is not named, its role.
        findings: at least one.
    """

    id: str
    side: str
    title: str
    features: tuple[str, str]
    findings: tuple[Finding, ...]

    @property
    def worst_finding(self) -> Finding:
        """The finding that decides it: of the worst verdict, the one with the least margin."""
        return min(self.findings, key=lambda finding: (finding.verdict.rank, _least(finding), finding.rule))

    @property
    def verdict(self) -> Verdict:
        """The worst verdict of its findings."""
        return worst(finding.verdict for finding in self.findings)

    @property
    def margin(self) -> Margin | None:
        """The margin of the finding that decides it."""
        return self.worst_finding.margin


def _least(finding: Finding) -> float:
    return finding.margin.low if finding.margin else float("inf")


@dataclass(frozen=True)
class Options:
    """What was in force besides the defaults.

    Attributes:
        limits: those that the kit states in place of the defaults.
        samples: number of samples of each value.
        seed: seed of the samples.
    """

    limits: tuple[Limit, ...]
    samples: int
    seed: int


@dataclass(frozen=True)
class Report:
    """What a check answers.

    Attributes:
        kit: the kit's name.
        kit_file: its file as it was named.
        kit_digest: SHA-256 of the file's bytes, hexadecimal.
        author, note, jurisdiction: as the kit states them; "" where absent.
        target: the vehicle it is for.
        wanted: wanted results, as the kit states them.
        catalogue: which catalogue in which state.
        parts: the parts that the kit names.
        joints: in the order of the chain, left, right, middle.
        not_checked: what no rule looked at.
        options: what was in force besides the defaults.
        look_at: what no rule tells and somebody must look at on the car.
        certifier_facts: rules held for the jurisdiction that touch the kit; None where the kit names none.
        odds: the chances that it and its joints fit; None where they were not asked for.
    """

    kit: str
    kit_file: str
    kit_digest: str
    author: str
    note: str
    jurisdiction: str
    target: FoundVehicle
    wanted: Mapping[str, str]
    catalogue: CatalogueStamp
    parts: tuple[NamedPart, ...]
    joints: tuple[JointSummary, ...]
    not_checked: tuple[str, ...]
    options: Options
    look_at: tuple[LookAt, ...] = ()
    certifier_facts: CertifierFacts | None = None
    odds: KitOdds | None = None

    @property
    def verdict(self) -> Verdict:
        """The worst of the joints; of none at all, *not known*."""
        return worst(joint.verdict for joint in self.joints)

    @property
    def answers(self) -> tuple[tuple[JointSummary, Finding], ...]:
        """Every finding with its joint, worst first; what rests on weak evidence after what does not."""
        pairs = [
            (finding.verdict.rank, _on_weak_evidence(finding), place, finding.rule, joint, finding)
            for place, joint in enumerate(self.joints)
            for finding in joint.findings
        ]
        return tuple((pair[4], pair[5]) for pair in sorted(pairs, key=lambda pair: pair[:4]))

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Every finding, worst first."""
        return tuple(finding for _, finding in self.answers)

    @property
    def counts(self) -> dict[Verdict, int]:
        """How many joints have each verdict, worst first."""
        return {verdict: sum(joint.verdict is verdict for joint in self.joints) for verdict in Verdict}

    @property
    def ruled_out_by(self) -> tuple[tuple[JointSummary, Finding], ...]:
        """What does not fit by measured values."""
        return tuple(pair for pair in self._failing() if not _on_weak_evidence(pair[1]))

    @property
    def ruled_out_on_hearsay(self) -> tuple[tuple[JointSummary, Finding], ...]:
        """What does not fit by somebody's word or an assumption: to be measured before anything is discarded."""
        return tuple(pair for pair in self._failing() if _on_weak_evidence(pair[1]))

    def _failing(self) -> tuple[tuple[JointSummary, Finding], ...]:
        return tuple(pair for pair in self.answers if pair[1].verdict is Verdict.DOES_NOT_FIT)

    @property
    def first_line(self) -> str:
        """The verdict, and whether anything known rules the kit out."""
        passing = self.verdict in (Verdict.FITS, Verdict.FITS_WITH_WORK)
        verdict = f"{self.verdict} (dimensions only)" if passing else str(self.verdict)
        return f"{verdict}: {self.ruling}"

    @property
    def ruling(self) -> str:
        """``nothing known rules it out``, or the joints that do."""
        if self.ruled_out_by:
            return "ruled out by " + _titles(self.ruled_out_by)
        if self.ruled_out_on_hearsay:
            return f"ruled out on hearsay only, by {_titles(self.ruled_out_on_hearsay)}: measure before discarding"
        return "nothing known rules it out"

    @property
    def unknowns(self) -> dict[str, tuple[Gap, ...]]:
        """What is missing, by part; of a part that is not named, by its role."""
        folded: dict[str, dict[Gap, None]] = {}
        for _, finding in self.answers:
            for gap in finding.gaps:
                folded.setdefault(self._part_of(gap), {})[gap] = None
        return {part: tuple(gaps) for part, gaps in folded.items()}

    def _part_of(self, gap: Gap) -> str:
        owners = [part.name for part in self.parts if gap.feature.startswith(f"{part.name} ")]
        return owners[0] if owners else gap.feature

    @property
    def cautions(self) -> tuple[str, ...]:
        """Those of the findings, then those of the parts themselves, each once, then the standing ones."""
        own = [caution for finding in self.findings for caution in finding.cautions]
        state = [caution for part in self.parts for caution in part.cautions]
        return tuple(dict.fromkeys((*own, *state, *STANDING_CAUTIONS)))


def _on_weak_evidence(finding: Finding) -> bool:
    return any(use.hearsay or use.assumed for use in finding.uses)


def _titles(pairs: tuple[tuple[JointSummary, Finding], ...]) -> str:
    return ", ".join(dict.fromkeys(joint.title for joint, _ in pairs))
