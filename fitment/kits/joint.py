"""Two ends that meet in a kit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from fitment.finding import Finding, Gap
from fitment.frozen import dataclass
from fitment.joints.registration import Feature, JointKind


@dataclass(frozen=True)
class Joint:
    """Two ends that meet.

    Attributes:
        id: ``left.stud-eye``; either half of an adapter has ``.1`` or ``.2`` behind it.
        side: ``left``, ``right`` or "".
        title: for people.
        names: names of the two features; of a part that is not named, its role.
        kind: the check for it; None where there is none.
        ends: the features in the order that the check wants; None where a part is not named.
        facts: what the kit says of it.
        gaps: parts that are not named.
        findings: what the kit itself says of it, besides its check.
    """

    id: str
    side: str
    title: str
    names: tuple[str, str]
    kind: JointKind | None = None
    ends: tuple[Feature, Feature] | None = None
    facts: Mapping[str, str] = field(default_factory=dict)
    gaps: tuple[Gap, ...] = ()
    findings: tuple[Finding, ...] = ()
