"""A taper sleeve in the eye of an arm: its wall, what holds its outside, what is left of the eye round it.

The stud in the sleeve's bore is another joint, and is judged as a stud in any eye.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from fitment.elementwise import maximum, minimum
from fitment.finding import Figure, Finding, Gap, Verdict, Work, held_back
from fitment.joints import sleeve_rules as pages
from fitment.joints.answering import Size, adopted, answer, formula, lacking, mm, names, size_of, with_figures
from fitment.joints.cone_seat import Seat, diameter_at, seat
from fitment.joints.registration import Feature, JointKind, Setting, missing
from fitment.joints.stud_sizes import cone_of
from fitment.joints.stud_work import CERTIFY, SLEEVES
from fitment.quantity.show import show_taper

if TYPE_CHECKING:
    from fitment.elementwise import Values

BORE = "bore for a sleeve"

_PULL = "A sleeve wants a flange or step on the loaded side, so that it cannot be pulled through: none is recorded."


def check(sleeve: Feature, eye: Feature, setting: Setting) -> list[Finding]:
    """The findings for a sleeve's outside in an eye, in the order of the rules."""
    findings = [_wall(sleeve, eye, setting), _seat(sleeve, eye, setting), _metal(sleeve, eye, setting)]
    flange = size_of(sleeve, "flange")
    held = () if flange.known and flange.central > 0 else (_PULL,)
    findings[1] = replace(findings[1], cautions=(CERTIFY, SLEEVES, *held))
    return [held_back(finding) for finding in findings]


def face_over_arm(sleeve: Feature, eye: Feature, setting: Setting, enters: str) -> Size:
    """How far the sleeve's face that the stud enters stands over the arm's face on that side, mm.

    As measured in place; else a straight sleeve stands by its flange, a tapered one by its flange and the exact seat
    of its outside cone. Not known where it does not seat, or where nothing stops a straight one.

    Args:
        enters: from which side the stud comes, ``below`` or ``above``.
    """
    told, flange = size_of(sleeve, "proud"), size_of(sleeve, "flange")
    if told.known or "proud" in sleeve.gaps:
        return told
    if _seat(sleeve, eye, setting).verdict is Verdict.DOES_NOT_FIT:
        return lacking(
            Gap(sleeve.name, "proud", f"does not seat ({pages.SEAT.code}): where it would stop is not known")
        )
    if not _tapered(sleeve):
        if flange.known and flange.central <= 0:
            why = "no reading, and without a flange nothing tells how far it is pressed"
            return lacking(Gap(sleeve.name, "proud", why))
        return flange
    opens = eye.get("opens")
    if opens is None:
        return lacking(eye.gap("opens"))
    if opens.word != {"below": "down", "above": "up"}[enters]:
        return lacking(Gap(sleeve.name, "proud", "no reading, and its large end lies away from the stud"))
    cone = cone_of(eye, "thick")
    length = formula(lambda over, thick: over - thick, size_of(sleeve, "length"), flange)
    outside = size_of(sleeve, "outside-large"), size_of(sleeve, "outside-taper"), length
    touch = formula(seat, *outside, cone.large, cone.ratio, cone.length)
    if touch.known and not touch.at(adopted).seated:
        return lacking(Gap(sleeve.name, "proud", "the cones of sleeve and eye do not overlap"))
    return formula(_stands, touch, flange)


def _stands(found: Seat, flange: Values) -> Values:
    return found.stand_off + flange


def _joint(sleeve: Feature, eye: Feature) -> tuple[str, str]:
    return sleeve.name, eye.name


def _wall(sleeve: Feature, eye: Feature, setting: Setting) -> Finding:
    wall, asked = size_of(sleeve, "wall-small"), setting.limits["sleeve_wall"].value
    margin = formula(lambda thick: thick - asked, wall)
    return answer(
        pages.WALL.code,
        _joint(sleeve, eye),
        margin,
        "mm",
        setting,
        lambda: f"the sleeve's wall is {mm(wall.central)} at its thinnest, {mm(asked)} is asked",
    )


def _tapered(sleeve: Feature) -> bool:
    return any(sleeve.get(name) is not None or name in sleeve.gaps for name in ("outside-taper", "outside-large"))


def _seat(sleeve: Feature, eye: Feature, setting: Setting) -> Finding:
    if _tapered(sleeve):
        return _cone(sleeve, eye, setting)
    profile = eye.get("profile")
    if profile is None:
        return missing(pages.SEAT.code, _joint(sleeve, eye), [eye.gap("profile")], names(sleeve, ["od"]))
    finding = _pressed(sleeve, eye, setting) if profile.word == "parallel" else _bored(sleeve, eye, setting)
    return replace(finding, uses=(*finding.uses, profile))


def _pressed(sleeve: Feature, eye: Feature, setting: Setting) -> Finding:
    most = setting.limits["sleeve_press"].value
    grip = formula(lambda od, bore: od - bore, size_of(sleeve, "od"), size_of(eye, "large"))
    margin = formula(lambda tight: minimum(tight, most - tight), grip)

    def words() -> str:
        tight = grip.central
        if tight < 0:
            return f"the sleeve is {mm(-tight)} smaller than its bore: nothing holds it"
        return f"the sleeve is {tight:.3f} mm larger than its bore, up to {mm(most)} is asked"

    finding = answer(pages.SEAT.code, _joint(sleeve, eye), margin, "mm", setting, words)
    return with_figures(finding, {"interference": (grip, "mm")}, setting)


def _bored(sleeve: Feature, eye: Feature, setting: Setting) -> Finding:
    """The eye has its cone still: boring to the sleeve's outside must clear it."""
    od, large = size_of(sleeve, "od"), size_of(eye, "large")
    widest = formula(
        lambda D, C, H: maximum(D, diameter_at(D, C, H)), large, size_of(eye, "taper"), size_of(eye, "thick")
    )
    cleared = formula(lambda outside, hole: outside - hole, od, widest)
    finding = answer(
        pages.SEAT.code,
        _joint(sleeve, eye),
        cleared,
        "mm",
        setting,
        lambda: (
            f"the eye still has its cone, {mm(widest.central)} at its widest, and the sleeve is {mm(od.central)} "
            f"outside"
        ),
    )
    if finding.verdict is not Verdict.FITS:
        return finding
    detail = (
        f"bore straight through to {mm(od.central)}, less the interference that the sleeve's drawing asks, measure the "
        f"bore and record it before the sleeve is pressed"
    )
    walls = _walls(sleeve, eye)
    left = walls.central if walls.known else None
    found = {
        "large_old": widest,
        "hole": od,
        "thick": size_of(eye, "thick"),
        "boss_large": size_of(eye, "boss-large"),
        "boss_small": size_of(eye, "boss-small"),
        "sleeve_wall": size_of(sleeve, "wall-small"),
    }
    sizes = {name: Figure(size.central, None, "mm") for name, size in found.items() if size.known}
    work = Work(BORE, eye.name, widest.central, od.central, "mm", left, detail, {**sizes, "sleeve": sleeve.name})
    return replace(finding, verdict=Verdict.FITS_WITH_WORK, work=(work,))


def _cone(sleeve: Feature, eye: Feature, setting: Setting) -> Finding:
    profile = eye.get("profile")
    if profile is not None and profile.word == "parallel":
        because = "the sleeve is tapered outside, and the eye is a parallel bore"
        uses = (*names(sleeve, ["outside-taper", "outside-large"]), profile)
        return Finding(pages.SEAT.code, _joint(sleeve, eye), Verdict.DOES_NOT_FIT, because, uses=uses)
    own, there = size_of(sleeve, "outside-taper"), size_of(eye, "taper")
    allowed = setting.limits["cone_mismatch"].value
    match = answer(
        pages.SEAT.code,
        _joint(sleeve, eye),
        formula(lambda one, other: allowed - abs(one - other), own, there),
        "",
        setting,
        lambda: f"{show_taper(own.central)} sleeve in {show_taper(there.central)} eye",
    )
    if match.verdict is not Verdict.FITS:
        return match
    least = setting.limits["stand_off_min"].value
    proud = formula(lambda Ds, De, C: (Ds - De) / C, size_of(sleeve, "outside-large"), size_of(eye, "large"), own)
    return answer(
        pages.SEAT.code,
        _joint(sleeve, eye),
        formula(lambda off: off - least, proud),
        "mm",
        setting,
        lambda: f"{match.because}; its large end stands {mm(proud.central)} proud of the face, {mm(least)} is asked",
    )


def _outside(sleeve: Feature) -> Size:
    return size_of(sleeve, "outside-large" if _tapered(sleeve) else "od")


def _walls(sleeve: Feature, eye: Feature) -> Size:
    bosses = (size_of(eye, "boss-large"), size_of(eye, "boss-small"))
    return formula(lambda one, other, hole: (minimum(one, other) - hole) / 2, *bosses, _outside(sleeve))


def _metal(sleeve: Feature, eye: Feature, setting: Setting) -> Finding:
    ratio, left, outside = setting.limits["wall_ratio"].value, _walls(sleeve, eye), _outside(sleeve)
    return answer(
        pages.METAL.code,
        _joint(sleeve, eye),
        formula(lambda wall, hole: minimum(wall - ratio * hole, wall), left, outside),
        "mm",
        setting,
        lambda: (
            f"{mm(left.central)} of the eye is left round the sleeve at its thinnest, {mm(ratio * outside.central)} is "
            f"asked round {mm(outside.central)}"
        ),
    )


def key(feature: Feature) -> tuple[str, ...] | None:
    """None: an eye may be bored to the sleeve."""
    return None


KIND = JointKind(
    name="sleeve",
    between=(frozenset({"adapter-body"}), frozenset({"eye"})),
    requires=(("od", "wall-small"), ("large", "profile", "boss-large", "boss-small")),
    key=key,
    rules=pages.RULES,
    works=(BORE,),
    check=check,
)
