"""Rack housing in a clamp: rigid saddle or bush, the gap between the feet, the hole for the bolt, movement sideways."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from fitment.elementwise import minimum
from fitment.finding import Figure, Finding, Gap, Verdict, held_back
from fitment.joints import clamp_rules as pages
from fitment.joints.answering import Size, answer, formula, lacking, mm, names, size_of, spread, with_figures
from fitment.joints.fasteners import metal_of, nominal_of, spanners, spanners_told
from fitment.joints.registration import Feature, JointKind, Setting, missing

if TYPE_CHECKING:
    from fitment.elementwise import Values

#: sizes that only a bush has
_OF_A_BUSH = ("bush-inside", "bush-outside", "bush-width", "bush-split", "bush-height", "hardness")

Pair = tuple[Feature, Feature]


def squeeze(inside: Values, outside: Values, bore: Values, housing: Values) -> Values:
    """How much a clamp squeezes the wall of its bush, %: 100 (t_free - t_clamped)/t_free.

    t_free = (outside - inside)/2, t_clamped = (bore - housing)/2 (geometry).

    Args:
        inside, outside: diameters of the bush, free, mm.
        bore: of the clamp, closed, mm.
        housing: diameter of the housing in it, mm.
    """
    return 100.0 * (1.0 - (bore - housing) / (outside - inside))


def between(value: Values, low: float, high: float) -> Values:
    """How far a value is inside two limits; negative outside; all in one unit."""
    inside: Values = minimum(value - low, high - value)
    return inside


def check(housing: Feature, mount: Feature, setting: Setting) -> list[Finding]:
    """The findings for a rack's housing in a clamp; the setting's fact ``side`` says on which side of the rack."""
    pair = (housing, mount)
    tube = _tube(housing, setting.facts.get("side", ""))
    findings = [
        _bush(pair, tube, setting) if _has_bush(mount) else _rigid(pair, tube, setting),
        _gap(pair, tube, setting),
        _hole(pair, setting),
    ]
    if "lateral-movement" in (mount.values.keys() | mount.gaps.keys()):
        findings.append(_movement(pair, setting))
    return [held_back(finding) for finding in findings]


def _joint(pair: Pair) -> tuple[str, str]:
    return pair[0].name, pair[1].name


def _tube(housing: Feature, side: str) -> Size:
    if not side:
        return lacking(Gap(housing.name, "tube", "on which side of the rack the clamp sits is not said"))
    return size_of(housing, f"tube-{side}")


def _has_bush(mount: Feature) -> bool:
    return any(name in mount.values or name in mount.gaps for name in _OF_A_BUSH)


def _rigid(pair: Pair, tube: Size, setting: Setting) -> Finding:
    code, most = pages.GRIP.code, setting.limits["saddle_play"].value
    mount, bore = pair[1], size_of(pair[1], "clamp-bore")
    if not bore.known:
        return missing(code, _joint(pair), [*tube.gaps, *bore.gaps, mount.gap("bush-outside")], tube.uses)
    play = formula(lambda inside, outside: inside - outside, bore, tube)
    margin = formula(lambda room: between(room, 0.0, most), play)

    def words() -> str:
        asked = f"0 to {mm(most)} is asked of a rigid saddle before clamping"
        sizes = f"the saddle's bore is {mm(bore.central)} and the housing {mm(tube.central)}"
        if play.central < 0:
            return f"{sizes}, {mm(-play.central)} too large for it; {asked}"
        return f"{sizes}, {mm(play.central)} of room; {asked}"

    finding = answer(code, _joint(pair), margin, "mm", setting, words)
    if finding.verdict is Verdict.DOES_NOT_FIT and play.central > 0 and metal_of(mount) is None:
        gap = Gap(mount.name, "bush-outside", "no reading: a rigid saddle, or one with a bush? (material says)")
        finding = replace(
            finding,
            verdict=Verdict.NOT_KNOWN,
            because=f"{finding.because}; whether a bush goes between is not recorded",
            gaps=(gap,),
        )
    finding = replace(finding, uses=(*finding.uses, *names(mount, ["material"])))
    return _own_tube(with_figures(finding, {"room": (play, "mm")}, setting), pair, tube, setting)


def _bush(pair: Pair, tube: Size, setting: Setting) -> Finding:
    code, mount = pages.GRIP.code, pair[1]
    low, high = (setting.limits[f"bush_squeeze_{name}"].value for name in ("min", "max"))
    if "bush-height" in mount.values or "bush-height" in mount.gaps:
        gap = Gap(mount.name, "bush-height", "a D-shaped bush: its squeeze is not reckoned, only a round one's is")
        return missing(code, _joint(pair), [gap], names(mount, ["bush-height"]))
    inside, outside, bore = (size_of(mount, name) for name in ("bush-inside", "bush-outside", "clamp-bore"))
    wall = formula(lambda one, other: (other - one) / 2, inside, outside)
    if wall.known and wall.central <= 0:
        gap = Gap(mount.name, "bush-outside", f"is not larger than bush-inside, {mm(inside.central)}")
        return missing(code, _joint(pair), [gap], wall.uses)
    share = formula(squeeze, inside, outside, bore, tube)
    left = formula(lambda one, other: (one - other) / 2, bore, tube)
    margin = formula(lambda value: between(value, low, high), share)

    def words() -> str:
        told = f"a bush of {mm(wall.central)} wall has {mm(left.central)} left between clamp and housing"
        if share.central < 0:
            return f"{told} and is loose by {mm(left.central - wall.central)}; {low:g} to {high:g} % squeeze is asked"
        return f"{told}, squeezed by {share.central:.1f} %; {low:g} to {high:g} % is asked"

    finding = answer(code, _joint(pair), margin, "%", setting, words)
    room = formula(lambda bush, outer: bush - outer, inside, tube)
    sizes = {"squeeze": (share, "%"), "wall_free": (wall, "mm"), "wall_clamped": (left, "mm"), "room": (room, "mm")}
    finding = with_figures(finding, sizes, setting)
    split = mount.get("bush-split")
    if split is not None and split.word == "whole":
        caution = f"The bush of {mount.name} is whole: see that it goes over the housing from its end."
        finding = replace(finding, cautions=(*finding.cautions, caution))
    return _own_tube(finding, pair, tube, setting)


def _own_tube(finding: Finding, pair: Pair, tube: Size, setting: Setting) -> Finding:
    """The finding with a word where the clamp is recorded as made for another housing."""
    own = size_of(pair[1], "tube-dia")
    difference = formula(lambda here, there: here - there, tube, own)
    if not difference.known:
        return finding
    low, high = spread(difference, setting.draws)
    if low <= 0 <= high:
        return finding
    told = f"{pair[1].name} is recorded on a housing of {mm(own.central)}; this one is {mm(tube.central)}."
    return replace(finding, cautions=(*finding.cautions, told))


def _gap(pair: Pair, tube: Size, setting: Setting) -> Finding:
    measured, own = size_of(pair[1], "gap"), size_of(pair[1], "tube-dia")
    here = formula(lambda gap, housing, old: gap + housing - old, measured, tube, own)

    def words() -> str:
        told = f"gripping a housing of {mm(own.central)} the feet were {mm(measured.central)} apart"
        if here.central <= 0:
            closed = "the feet close on one another before the clamp grips it"
            return f"{told}; on this one, {mm(tube.central)}, {closed} by {mm(-here.central)}"
        return f"{told}; on this one, {mm(tube.central)}, {mm(here.central)} is left"

    if measured.known and here.known and measured.central <= 0:
        return _touching(pair, measured, here)
    finding = answer(pages.GAP.code, _joint(pair), here, "mm", setting, words)
    return with_figures(finding, {"gap": (here, "mm")}, setting)


def _touching(pair: Pair, measured: Size, here: Size) -> Finding:
    """Feet that touched: by how much the clamp was too wide is not told, so that a larger housing proves nothing."""
    because = "the clamp's feet touched when its bolts were tight: it bottomed on itself and gripped nothing"
    if here.central - measured.central <= 0:
        because = f"{because}; this housing is no larger"
        return Finding(pages.GAP.code, _joint(pair), Verdict.DOES_NOT_FIT, because, uses=here.uses)
    gap = Gap(pair[1].name, "gap", "touched on a smaller housing: measure it on this one")
    because = f"{because}; whether it grips this larger one is not told"
    return Finding(pages.GAP.code, _joint(pair), Verdict.NOT_KNOWN, because, uses=here.uses, gaps=(gap,))


def _hole(pair: Pair, setting: Setting) -> Finding:
    mount = pair[1]
    bolt, hole = nominal_of(mount, "bolt"), size_of(mount, "hole-dia")
    margin = formula(lambda dia, nominal: dia - nominal, hole, bolt)
    marked = mount.get("bolt-class")
    marked_told = "of no recorded class" if marked is None else f"marked {marked.word}"

    def words() -> str:
        told = f"the clamp's hole is {mm(hole.central)} and the bolt {mm(bolt.central)}, {marked_told}"
        return f"{told}; {spanners_told(bolt.central)}"

    finding = answer(pages.HOLE.code, _joint(pair), margin, "mm", setting, words)
    if bolt.known:
        figures = {name: Figure(value, None, "mm") for name, value in spanners(bolt.central).items()}
        finding = replace(finding, figures={**finding.figures, **figures})
    return replace(finding, uses=(*finding.uses, *names(mount, ["bolt-class"])))


def _movement(pair: Pair, setting: Setting) -> Finding:
    most, moved = setting.limits["lateral_movement"].value, size_of(pair[1], "lateral-movement")
    return answer(
        pages.MOVEMENT.code,
        _joint(pair),
        formula(lambda value: most - value, moved),
        "mm",
        setting,
        lambda: f"under 300 N the rack moved {mm(moved.central)} sideways, and {mm(most)} at most is wanted",
    )


KIND = JointKind(
    name="clamp",
    between=(frozenset({"rack-body"}), frozenset({"mount-body"})),
    requires=(
        ("tube-left", "tube-right"),
        ("clamp-bore", "bush-inside", "bush-outside", "gap", "tube-dia", "hole-dia", "bolt"),
    ),
    key=lambda feature: None,
    rules=pages.CLAMP_RULES,
    works=(),
    check=check,
)
