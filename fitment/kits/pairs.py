"""Handed pairs: whether the parts of the left and of the right are alike in length, stud height and taper."""

from __future__ import annotations

from dataclasses import replace

from fitment.catalogue.found import FoundPart
from fitment.elementwise import maximum
from fitment.finding import Finding, held_back
from fitment.frozen import dataclass
from fitment.joints.answering import Size, answer, fixed, formula, mm, size_of
from fitment.joints.registration import Feature, Rule, Setting
from fitment.joints.thread_ends import thread_of
from fitment.kits import pair_rules as pages
from fitment.kits.assembly import Assembly
from fitment.kits.chain import address_of
from fitment.kits.kit import Kit
from fitment.kits.report import JointSummary
from fitment.kits.roles import SIDES, roles
from fitment.kits.whole import Looked, WholeKitCheck
from fitment.quantity.show import show_taper
from fitment.standards.threads import same_thread


@dataclass(frozen=True)
class Alike:
    """Something that the two parts of a pair should have alike."""

    rule: Rule
    role: str
    feature: str
    dimension: str
    title: str
    limit: str
    unit: str = "mm"


_ALIKE = (
    Alike(pages.LENGTH, "inner_joint", "body", "ball-offset", "ball centre to shoulder", "pair_length"),
    Alike(pages.LENGTH, "tie_rod", "body", "length", "length", "pair_length"),
    Alike(pages.LENGTH, "rod_end", "body", "centre", "ball centre to thread end", "pair_length"),
    Alike(pages.HEIGHT, "rod_end", "stud", "height", "stud height", "pair_height"),
    Alike(pages.TAPER, "rod_end", "stud", "taper", "taper", "cone_mismatch", ""),
)

#: threads of a pair that are worth a word where they differ
_THREADS = (
    ("inner_joint", ("bar-side", "rod-side")),
    ("tie_rod", ("inner", "outer")),
    ("rod_end", ("shank", "stud")),
    ("spherical_rod_end", ("shank",)),
)

Pair = tuple[FoundPart, FoundPart]


def look(kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
    """Every role of which the kit names two part numbers; one number on both sides is alike by its record."""
    pairs = {role: pair for role in roles() if (pair := _pair(assembly, role)) is not None}
    unlike = {role: pair for role, pair in pairs.items() if pair[0].name != pair[1].name}
    if not pairs:
        return Looked(not_checked=("the kit names no part on both sides",))
    findings: dict[str, list[Finding]] = {role: [] for role in unlike}
    lacks = []
    for alike in _ALIKE:
        if alike.role not in unlike or (alike.rule is pages.TAPER and not _eyes_alike(pairs.get("knuckle"), setting)):
            continue
        pair = unlike[alike.role]
        ends = (pair[0].features[alike.feature], pair[1].features[alike.feature])
        if any(alike.dimension in (end.values.keys() | end.gaps.keys()) for end in ends):
            findings[alike.role].append(_finding(alike, ends, setting))
        else:
            lacks.append(f"{alike.title} of {pair[0].name} and {pair[1].name}")
    summaries = []
    for role, found in findings.items():
        if not found:
            continue
        cautions = _on_threads(role, unlike[role])
        last = replace(found[-1], cautions=(*found[-1].cautions, *cautions))
        told = tuple(held_back(one) for one in (*found[:-1], last))
        pair = unlike[role]
        title = f"{roles()[role].title}, left against right"
        summaries.append(JointSummary(f"{CHECK.row}.{role}", "", title, (pair[0].name, pair[1].name), told))
    why = (f"nothing is recorded of {'; '.join(lacks)}",) if lacks else ()
    return Looked(tuple(summaries), why)


CHECK = WholeKitCheck("pairs", look)


def _pair(assembly: Assembly, role: str) -> Pair | None:
    if roles()[role].sections != SIDES:
        return None
    left, right = (assembly.found.get(address_of(role, side)) for side in SIDES)
    return None if left is None or right is None else (left, right)


def _finding(alike: Alike, ends: tuple[Feature, Feature], setting: Setting) -> Finding:
    most = setting.limits[alike.limit].value
    left, right = (size_of(end, alike.dimension) for end in ends)
    apart = formula(lambda one, other: maximum(one - other, other - one), left, right)

    def shown(size: Size) -> str:
        return mm(size.central) if alike.unit else show_taper(size.central)

    def words() -> str:
        told = f"{alike.title} {shown(left)} left and {shown(right)} right"
        if not alike.unit:
            return f"{told}, a difference of {apart.central:.4f} where {most:g} at most is asked"
        return f"{told}, {mm(apart.central)} apart where {mm(most)} at most is asked"

    joint = (ends[0].name, ends[1].name)
    margin = formula(lambda limit, off: limit - off, fixed(most), apart)
    return answer(alike.rule.code, joint, margin, alike.unit, setting, words)


def _eyes_alike(knuckles: Pair | None, setting: Setting) -> bool:
    """Whether both eyes are recorded as one taper: one part number, or ratios within the mismatch allowed."""
    if knuckles is None:
        return False
    if knuckles[0].name == knuckles[1].name:
        return True
    left, right = (size_of(knuckle.features["eye"], "taper") for knuckle in knuckles)
    if not (left.known and right.known):
        return False
    return abs(left.central - right.central) <= setting.limits["cone_mismatch"].value


def _on_threads(role: str, pair: Pair) -> list[str]:
    """What is unlike in the threads: nothing that fails by itself, but two sets of nuts and two ways of turning."""
    told = []
    for feature in dict(_THREADS).get(role, ()):
        ends = [part.features[feature] for part in pair]
        threads, hands = [thread_of(end) for end in ends], [end.get("hand") for end in ends]
        if threads[0] is not None and threads[1] is not None and not same_thread(threads[0], threads[1]):
            told.append(f"{feature} {threads[0].designation} left and {threads[1].designation} right")
        if hands[0] is not None and hands[1] is not None and hands[0].word != hands[1].word:
            told.append(f"{feature} {hands[0].word} left and {hands[1].word} right")
    if not told:
        return []
    return [f"{pair[0].name} and {pair[1].name} have unlike threads: {'; '.join(told)}. Keep their nuts apart."]
