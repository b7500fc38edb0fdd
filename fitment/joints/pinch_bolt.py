"""What holds a shaft in a bore: the clamp, its bolt across the shaft, the groove under it; and the engagement."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from fitment.elementwise import maximum, minimum, sqrt
from fitment.errors import DataFault
from fitment.finding import Finding, Gap, Verdict
from fitment.joints import spline_rules as pages
from fitment.joints.answering import Size, answer, fixed, formula, lacking, mm, names, size_of, with_figures
from fitment.joints.registration import Feature, Setting, missing
from fitment.joints.spline_ends import Ends
from fitment.standards.thread_names import parse_thread

if TYPE_CHECKING:
    from fitment.elementwise import Values

THROUGH, ON_SLIT, SET_SCREW, WELDED, NO_CLAMP = (
    "pinch bolt through groove",
    "pinch on slit",
    "set screw",
    "weld-on",
    "none",
)

_LOOK = (
    "Look that the pinch bolt stands in its groove before it is tightened: it goes in as well where the shaft ends "
    "short of it."
)
_WIRE = "A set screw works loose: it needs its lock nut or lock wire, and to be looked at again after the first drive."


def notch_depth(radius: Values, offset: Values, bolt: Values) -> Values:
    """How deep a bolt runs into a shaft, mm: R - (e - db/2); at or below nought it does not touch it.

    Args:
        radius: of the shaft, mm.
        offset: e, axis of the bolt to axis of the shaft, mm.
        bolt: diameter of the bolt, mm.
    """
    return radius - (offset - bolt / 2)


def notch_width(radius: Values, offset: Values, bolt: Values) -> Values:
    """Width of the notch across the shaft at its surface, mm: 2 sqrt(R^2 - (e - db/2)^2); nought without a notch."""
    inner = maximum(offset - bolt / 2, 0.0)
    width: Values = 2 * sqrt(maximum(radius * radius - inner * inner, 0.0))
    return width


def bolt_at_surface(bolt: Values, depth: Values) -> Values:
    """Width along the shaft of a bolt at the surface of a shaft into which it runs `depth`, mm; its own at most."""
    radius = bolt / 2
    above = maximum(radius - maximum(depth, 0.0), 0.0)
    width: Values = 2 * sqrt(maximum(radius * radius - above * above, 0.0))
    return width


def position_room(play: Values, reach: Values, insertion: Values) -> Values:
    """How far a bolt is from missing its groove, mm: the smaller of its play and reach - insertion + play/2."""
    room: Values = minimum(play, reach - insertion + play / 2)
    return room


def clamp_of(ends: Ends) -> str:
    """How the bore holds the shaft, "" where nobody looked."""
    use = ends.female.get("clamp")
    return "" if use is None else use.word


def _bolt(female: Feature) -> Size:
    """Nominal diameter of the clamp bolt, which no bolt thread exceeds."""
    use = female.get("bolt")
    if use is None:
        return lacking(female.gap("bolt"))
    try:
        nominal = parse_thread(use.word).thread.nominal
    except DataFault:
        return lacking(Gap(female.name, "bolt", f"'{use.word}' cannot be read"))
    return Size(lambda pick: nominal, (use,))


def insertion(ends: Ends) -> Size | None:
    """How far the shaft stands in the bore with its groove or pocket under the bolt, mm; None where nothing says."""
    where = {THROUGH: "groove-position", SET_SCREW: "pocket-position"}.get(clamp_of(ends))
    if where is None:
        return None
    return formula(lambda mouth, end: mouth + end, size_of(ends.female, "bolt-to-end"), size_of(ends.male, where))


def _reach(ends: Ends) -> Size:
    """How far the shaft can go in, mm: to the bottom of the bore, or to where the shaft comes out of its housing."""
    depth, out = size_of(ends.female, "bore-depth"), size_of(ends.male, "protrusion")
    return formula(minimum, depth, out) if out.known else depth


def _depth(ends: Ends) -> Size:
    """Depth of the groove, mm: as read, or from the diameter at the bottom of an annular one."""
    read, bottom, groove = size_of(ends.male, "groove-depth"), size_of(ends.male, "groove-dia"), ends.male.get("groove")
    if read.known or groove is None or groove.word != "annular" or not bottom.known:
        return read
    return formula(lambda outside, inside: (outside - inside) / 2, size_of(ends.male, "od"), bottom)


def holds(ends: Ends) -> Finding:
    """What keeps the shaft from sliding out (spline-07)."""
    code, clamp = pages.HOLDS.code, clamp_of(ends)
    dimension = "pocket" if clamp == SET_SCREW else "groove"
    end = ends.male.get(dimension)
    uses = names(ends.female, ["clamp"]) + names(ends.male, [dimension])
    if clamp == "":
        return missing(code, ends.joint, [ends.female.gap("clamp")], uses)
    if clamp == NO_CLAMP:
        return Finding(code, ends.joint, Verdict.DOES_NOT_FIT, "nothing holds the shaft in the bore", uses=uses)
    if clamp == WELDED:
        gap = Gap(ends.female.name, "clamp", "weld-on, and no check is built for a weld")
        told = "A weld on a steering shaft cannot be judged from dimensions."
        return replace(missing(code, ends.joint, [gap], uses), cautions=(told,))
    if end is None:
        return missing(code, ends.joint, [ends.male.gap(dimension)], uses)
    if clamp == SET_SCREW:
        if end.word == "no":
            because = "the set screw has no pocket in the shaft: on the crests it works off"
            return Finding(code, ends.joint, Verdict.DOES_NOT_FIT, because, uses=uses)
        because = "a set screw in a pocket of the shaft holds it"
        return Finding(code, ends.joint, Verdict.FITS, because, uses=uses, cautions=(_WIRE,))
    if end.word == "none":
        because = {
            THROUGH: "the bolt would cross the shaft, which has no groove: it cannot be put in, or holds nothing",
            ON_SLIT: "nothing but friction holds the shaft: a clamp on a slit, and no groove for its bolt (own limit)",
        }[clamp]
        return Finding(code, ends.joint, Verdict.DOES_NOT_FIT, because, uses=uses)
    if clamp == ON_SLIT:
        gap = Gap(ends.female.name, "clamp", f"said to squeeze only: does its bolt cross the {end.word} of the shaft?")
        return missing(code, ends.joint, [gap], uses)
    if end.word == "flat" and ends.male.get("groove-position") is None:
        gap = Gap(
            ends.male.name, "groove-position", "a flat over the whole length lets the shaft slide: is there a notch?"
        )
        return missing(code, ends.joint, [gap], uses)
    because = f"the pinch bolt runs through {'an annular groove' if end.word == 'annular' else 'a notch'} of the shaft"
    return Finding(code, ends.joint, Verdict.FITS, because, uses=uses, cautions=(_LOOK,))


def _into(ends: Ends) -> Size:
    return formula(
        lambda od, offset, bolt: notch_depth(od / 2, offset, bolt),
        size_of(ends.male, "od"),
        size_of(ends.female, "bolt-offset"),
        _bolt(ends.female),
    )


def crosses(ends: Ends, setting: Setting) -> Finding:
    """Whether the bolt runs into the shaft, and the groove lets it pass (spline-08)."""
    least = setting.limits["bolt_overlap"].value
    into, groove = _into(ends), _depth(ends)
    margin = formula(lambda bolt, depth: minimum(bolt - least, depth - bolt), into, groove)

    def words() -> str:
        if into.central <= 0:
            return f"the bolt passes {mm(-into.central)} clear of the shaft and does not hold it"
        return (
            f"the bolt runs {mm(into.central)} into the shaft, {mm(least)} at least is asked, and the groove is "
            f"{mm(groove.central)} deep"
        )

    if into.known and not groove.known:
        # without the groove's depth a bolt that misses the shaft is still known to hold nothing
        alone = answer(
            pages.CROSSES.code,
            ends.joint,
            formula(lambda bolt: bolt - least, into),
            "mm",
            setting,
            lambda: (
                f"the bolt runs {mm(into.central)} into the shaft, and {mm(least)} at least is asked"
                if into.central > 0
                else words()
            ),
        )
        if alone.verdict is Verdict.DOES_NOT_FIT:
            return alone
    finding = answer(pages.CROSSES.code, ends.joint, margin, "mm", setting, words)
    across = formula(
        lambda od, offset, bolt: notch_width(od / 2, offset, bolt),
        size_of(ends.male, "od"),
        size_of(ends.female, "bolt-offset"),
        _bolt(ends.female),
    )
    return with_figures(finding, {"notch_depth": (into, "mm"), "notch_width": (across, "mm")}, setting)


def in_groove(ends: Ends, setting: Setting) -> Finding:
    """Whether groove or pocket comes to stand under the bolt or screw (spline-09)."""
    code, reach = pages.IN_GROOVE.code, _reach(ends)
    stands = insertion(ends) or lacking(ends.female.gap("clamp"))
    screw = clamp_of(ends) == SET_SCREW
    thing, place = ("set screw", "pocket") if screw else ("bolt", "groove")
    play = fixed(0.0) if screw else _play(ends)
    margin = (
        formula(lambda far, deep: far - deep, reach, stands) if screw else formula(position_room, play, reach, stands)
    )

    def words() -> str:
        because = f"the {place} stands under the {thing} with the shaft {mm(stands.central)} in, and it goes in "
        because += mm(reach.central)
        if stands.central - reach.central > play.central / 2:
            return f"{because}: the {thing} misses its {place} by {mm(stands.central - reach.central)}"
        if screw:
            return because
        if play.central < 0:
            return f"{because}; the groove is {mm(-play.central)} too narrow for the bolt"
        return f"{because}; the bolt has {mm(play.central)} of play along the shaft in the groove"

    finding = answer(code, ends.joint, margin, "mm", setting, words)
    finding = with_figures(finding, {"insertion": (stands, "mm")}, setting)
    full = size_of(ends.male, "engagement")
    if stands.known and full.known and full.central < stands.central:
        caution = (
            f"The teeth run out {mm(full.central)} from the shaft's end, and the {thing} wants it {mm(stands.central)} "
            "in: see that it goes in so far."
        )
        finding = replace(finding, cautions=(caution,))
    return finding


def _play(ends: Ends) -> Size:
    """Play of the bolt along the shaft in its groove, mm; negative where the groove is too narrow."""
    return formula(
        lambda width, bolt, depth: width - bolt_at_surface(bolt, depth),
        size_of(ends.male, "groove-width"),
        _bolt(ends.female),
        _into(ends),
    )


def engagement(ends: Ends, setting: Setting) -> Finding:
    """Whether enough of the teeth can engage (spline-06)."""
    factor = setting.limits["spline_engagement_factor"].value
    full, od, depth = size_of(ends.male, "engagement"), size_of(ends.male, "od"), size_of(ends.female, "bore-depth")
    have = formula(minimum, full, depth)
    stands = insertion(ends)
    if stands is not None and stands.known:
        have = formula(minimum, have, stands)
    margin = formula(lambda length, diameter: length - factor * diameter, have, od)
    finding = answer(
        pages.ENGAGEMENT.code,
        ends.joint,
        margin,
        "mm",
        setting,
        lambda: f"{mm(have.central)} of full teeth engages, and {mm(factor * od.central)} is asked ({factor:g} d)",
    )
    finding = with_figures(finding, {"engagement": (have, "mm")}, setting)
    out = size_of(ends.male, "protrusion")
    long = out if out.known else full
    stopped = stands is not None and stands.known and depth.known and stands.central <= depth.central
    if not stopped and long.known and depth.known and long.central > depth.central:
        caution = (
            f"The shaft is {mm(long.central - depth.central)} longer than the bore is deep: stop it at the bore's end, "
            "or it pokes into the cross."
        )
        finding = replace(finding, cautions=(caution,))
    return finding
