"""The rules held for a kit's jurisdiction that touch what the kit does: facts to take to the certifier, no verdict."""

from __future__ import annotations

from collections.abc import Sequence

from fitment.finding import Work
from fitment.frozen import dataclass
from fitment.kits.assembly import Assembly
from fitment.kits.kit import Kit
from fitment.standards.jurisdictions import JurisdictionRule, find_jurisdiction, jurisdictions, rules_in
from fitment.standards.operations import operations_asked

#: what is said with the rules, whichever they are
CAUTION = (
    "These are facts to take along, as read, in our own words, and no verdict. Rules differ by the age and class of "
    "the vehicle and they change; that none is held says nothing. An inspector or certifier decides."
)

_MIX, _USED, _OTHER = "a mix of steering parts", "used parts", "parts that were not made for this car"

#: what any kit touches
_ALWAYS = {
    "certify": _MIX,
    "records": _MIX,
    "registration": _MIX,
    "condition": _USED,
    "play": _USED,
    "weld": "used parts may carry welds",
    "heat": "used parts may have been heated",
    "clearance": _OTHER,
    "travel": _OTHER,
    "stops": _OTHER,
    "toe": "tie rods are set anew",
}

#: what a part touches, by the last word of its address or by its section
_BY_PART = {
    "rack": ("assist", "crush zone", "hand conversion"),
    "knuckle": ("track width",),
    "column": ("column", "shaft", "joint angle", "wheel diameter"),
}

#: what a recorded word touches: dimension, word, tag, reason
_RECORDED = (("welds", "repair", "weld", "a repair weld"), ("heat-marks", "seen", "heat", "marks of heat"))


@dataclass(frozen=True)
class TouchedRule:
    """A rule, and what of the kit it touches."""

    rule: JurisdictionRule
    touched_by: tuple[str, ...]


@dataclass(frozen=True)
class CertifierFacts:
    """The rules to take to the certifier.

    Attributes:
        jurisdiction: its name; as the kit writes it where none is held.
        rules: those that touch the kit, its own jurisdiction's first.
        note: what is to be said with them.
    """

    jurisdiction: str
    rules: tuple[TouchedRule, ...]
    note: str


def certifier_facts(kit: Kit, assembly: Assembly, works: Sequence[Work]) -> CertifierFacts | None:
    """The rules of the kit's jurisdiction that touch it; None where the kit names no jurisdiction.

    Args:
        works: the work that the findings list.
    """
    if not kit.jurisdiction.strip():
        return None
    place = find_jurisdiction(kit.jurisdiction)
    if place is None:
        note = (
            f'No rules are recorded for "{kit.jurisdiction}"; absence says nothing. Held: {", ".join(jurisdictions())}.'
        )
        return CertifierFacts(kit.jurisdiction, (), f"{note} {CAUTION}")
    touched = _touched(kit, assembly, works)
    cited: dict[str, list[str]] = {}
    for work in works:
        for operation in operations_asked(work.operation):
            for rule in operation.rules:
                cited.setdefault(rule.id, []).append(_of(work))
    found = []
    for rule in rules_in(place):
        why = [reason for tag in rule.touches for reason in touched.get(tag, ())] + cited.get(rule.id, [])
        if why:
            found.append(TouchedRule(rule, tuple(dict.fromkeys(why))))
    return CertifierFacts(place.name, tuple(found), CAUTION)


def _of(work: Work) -> str:
    return f"work: {work.operation} {work.part}"


def _touched(kit: Kit, assembly: Assembly, works: Sequence[Work]) -> dict[str, list[str]]:
    """What of the kit touches each tag."""
    touched = {tag: [why] for tag, why in _ALWAYS.items()}

    def touch(tag: str, why: str) -> None:
        touched.setdefault(tag, []).append(why)

    for part in kit.parts:
        for word in {part.section, part.role.name} & _BY_PART.keys():
            for tag in _BY_PART[word]:
                touch(tag, f"{part.role.spoken(part.section)} {assembly.found[part.address].name}")
    for _, made in assembly.adapters:
        for tag in ("certify", "plating"):
            touch(tag, f"adapter {made.name}, a made part")
    for named in (*assembly.found.values(), *(made for _, made in assembly.adapters)):
        for feature in named.features.values():
            for dimension, word, tag, what in _RECORDED:
                use = feature.get(dimension)
                if use is not None and use.value == word:
                    touch(tag, f"{feature.name}: {what} recorded")
    for work in works:
        touch("certify", _of(work))
    return touched
