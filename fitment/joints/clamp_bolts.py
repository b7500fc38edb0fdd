"""Bolts of a clamp in the crossmember: the pair of threads, how much of it engages and in what, what is clamped."""

from __future__ import annotations

from dataclasses import replace

from fitment.elementwise import maximum
from fitment.errors import DataFault
from fitment.finding import Figure, Finding, Gap, Use, Verdict, Work, held_back
from fitment.joints import clamp_rules as pages
from fitment.joints.answering import Size, answer, fixed, formula, mm, names, size_of, with_figures
from fitment.joints.fasteners import ALUMINIUM, STEEL, is_strong, metal_of, nominal_of
from fitment.joints.registration import Feature, JointKind, Setting, missing
from fitment.standards.thread_names import parse_thread
from fitment.standards.threads import Thread, same_thread

#: the operation that this joint may propose
OTHER_BOLTS = "bolts of another length"

#: most holes that the dictionary has diameters for
_MOST = 8

_HAND_START = (
    "The crossmember's thread is in aluminium: chase it first, start every bolt by hand, and take the torque for "
    "aluminium from its maker."
)

Pair = tuple[Feature, Feature]


def check(mount: Feature, pattern: Feature, setting: Setting) -> list[Finding]:
    """The findings for a clamp bolted to a crossmember, in the order of the rules."""
    pair = (mount, pattern)
    held = pattern.get("captive")
    if held is None and "captive" in pattern.gaps:
        found = missing(pages.PAIR.code, _joint(pair), [pattern.gap("captive")], names(mount, ["bolt"]))
        return [held_back(found)]
    findings = [_clear(pair, setting) if held is None else _held(pair, held)]
    if held is not None and findings[0].verdict is not Verdict.DOES_NOT_FIT:
        findings.append(_engaged(pair, setting))
    if "bolt-grip" in (mount.values.keys() | mount.gaps.keys()):
        findings.append(_stack(pair, held is not None, setting))
    return [held_back(finding) for finding in findings]


def _joint(pair: Pair) -> tuple[str, str]:
    return pair[0].name, pair[1].name


def _thread(use: Use | None) -> Thread | None:
    try:
        return None if use is None else parse_thread(use.word).thread
    except DataFault:
        return None


def _held(pair: Pair, held: Use) -> Finding:
    """bolts-01 where the crossmember holds the thread."""
    code, (mount, pattern) = pages.PAIR.code, pair
    uses = (*names(mount, ["bolt", "bolt-class"]), held)
    bolt, nut = _thread(mount.get("bolt")), _thread(held)
    gaps = [
        feature.gap(name) if (use := feature.get(name)) is None else Gap(feature.name, name, f"'{use.word}' is unread")
        for feature, name, thread in ((mount, "bolt", bolt), (pattern, "captive", nut))
        if thread is None
    ]
    if bolt is None or nut is None:
        return missing(code, _joint(pair), gaps, uses)
    if not same_thread(bolt, nut):
        because = f"the clamp's bolt is {bolt.designation} and the crossmember holds {nut.designation}"
        return Finding(code, _joint(pair), Verdict.DOES_NOT_FIT, because, uses=uses)
    because = f"bolt and crossmember are {bolt.designation}, the bolt {_marked(mount)}"
    cautions = (_HAND_START,) if metal_of(pattern) == ALUMINIUM else ()
    return Finding(code, _joint(pair), Verdict.FITS, because, uses=uses, cautions=cautions)


def _marked(mount: Feature) -> str:
    use = mount.get("bolt-class")
    return "of no recorded class" if use is None else f"marked {use.word}"


def _clear(pair: Pair, setting: Setting) -> Finding:
    """bolts-01 where the bolt goes through to a nut of its own."""
    mount, pattern = pair
    bolt, hole = nominal_of(mount, "bolt"), _least_hole(pattern)
    margin = formula(lambda dia, nominal: dia - nominal, hole, bolt)

    def words() -> str:
        told = f"the crossmember's hole is {mm(hole.central)} and the bolt {mm(bolt.central)}, {_marked(mount)}"
        return f"{told}; it wants a nut of its thread and class"

    finding = answer(pages.PAIR.code, _joint(pair), margin, "mm", setting, words)
    return replace(finding, uses=(*finding.uses, *names(mount, ["bolt-class"])))


def _least_hole(pattern: Feature) -> Size:
    """The least diameter of the pattern's holes."""
    named = ["hole-dia", *(f"hole-{number}-dia" for number in range(1, _MOST + 1))]
    sizes = [size for name in named if (size := size_of(pattern, name)).known]
    if not sizes:
        return size_of(pattern, "hole-dia")
    least = sizes[0]
    for size in sizes[1:]:
        least = formula(lambda one, other: -maximum(-one, -other), least, size)
    return least


def _engaged(pair: Pair, setting: Setting) -> Finding:
    """bolts-02: enough of the crossmember for the thread that it holds."""
    code, (mount, pattern) = pages.ENGAGED.code, pair
    metal, nominal, thick = metal_of(pattern), nominal_of(pattern, "captive"), size_of(pattern, "thick")
    mark = mount.get("bolt-class")
    uses = names(pattern, ["material"]) + names(mount, ["bolt-class"])
    if metal is None or (metal == ALUMINIUM and mark is None):
        material = [] if metal else [Gap(pattern.name, "material", "does not say steel or aluminium")]
        marked = [mount.gap("bolt-class")] if metal == ALUMINIUM else []
        return missing(code, _joint(pair), [*material, *marked, *thick.gaps], (*nominal.uses, *uses))
    name = "engagement_factor"
    if metal == ALUMINIUM and mark is not None:
        name = "aluminium_factor_strong" if is_strong(mark.word) else "aluminium_factor"
    factor = setting.limits[name].value
    need = formula(lambda d: factor * d, nominal)
    finding = answer(
        code,
        _joint(pair),
        formula(lambda have, asked: have - asked, thick, need),
        "mm",
        setting,
        lambda: f"the {metal} is {mm(thick.central)} thick, and {mm(need.central)} is asked ({factor:g} d)",
    )
    if finding.verdict is Verdict.DOES_NOT_FIT and metal == STEEL:
        gap = Gap(pattern.name, "thick", "thinner than the thread asked: is the thread in a weld nut or a boss?")
        because = f"{finding.because}; the height of a weld nut is not recorded"
        finding = replace(finding, verdict=Verdict.NOT_KNOWN, because=because, gaps=(gap,))
    finding = replace(finding, uses=(*finding.uses, *uses))
    return with_figures(finding, {"thread_asked": (need, "mm")}, setting)


def _stack(pair: Pair, captive: bool, setting: Setting) -> Finding:
    """bolts-03: what the bolts clamp, against the grip recorded of them."""
    code, (mount, pattern) = pages.STACK.code, pair
    most = setting.limits["grip_difference"].value
    foot, grip = size_of(mount, "foot"), size_of(mount, "bolt-grip")
    plate = fixed(0.0) if captive else size_of(pattern, "thick")
    stack = formula(lambda one, other: one + other, foot, plate)
    margin = formula(lambda now, was: most - maximum(now - was, was - now), stack, grip)

    def words() -> str:
        parts = f"foot {mm(foot.central)}" if captive else f"foot {mm(foot.central)} and plate {mm(plate.central)}"
        return f"the bolts clamp {mm(stack.central)} ({parts}); the grip recorded of them is {mm(grip.central)}"

    finding = answer(code, _joint(pair), margin, "mm", setting, words)
    finding = with_figures(finding, {"stack": (stack, "mm")}, setting)
    if finding.verdict is not Verdict.DOES_NOT_FIT:
        return finding
    longer = stack.central > grip.central
    detail = (
        f"bolts {mm(abs(stack.central - grip.central))} {'longer' if longer else 'shorter'} under the head, of the "
        "same thread and class"
    )
    work = Work(OTHER_BOLTS, mount.name, grip.central, stack.central, "mm", None, detail)
    figures = {**finding.figures, "grip_difference": Figure(stack.central - grip.central, None, "mm")}
    because = f"{finding.because}: take {detail}"
    return replace(finding, verdict=Verdict.FITS_WITH_WORK, because=because, work=(work,), figures=figures)


KIND = JointKind(
    name="clamp-bolts",
    between=(frozenset({"mount-body"}), frozenset({"pattern"})),
    requires=(("bolt", "bolt-class", "foot", "bolt-grip"), ("hole-dia", "thick", "material")),
    key=lambda feature: None,
    rules=pages.BOLT_RULES,
    works=(OTHER_BOLTS,),
    check=check,
)
