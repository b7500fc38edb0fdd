"""What the line from column to pinion asks for beside its geometry: supports, yokes, slip, collapse, gaps, cautions."""

from __future__ import annotations

from dataclasses import replace
from functools import reduce

from fitment.elementwise import minimum
from fitment.finding import Finding, Gap, Verdict
from fitment.joints.answering import answer, formula, mm, names, size_of, with_figures
from fitment.joints.registration import Feature, Setting, as_assembled, assembled_finding, missing
from fitment.kits import shaft_rules as pages
from fitment.kits.shaft_parts import Line, Member, Yoke

_BEARING = ("bearing-bore", "bearing-housing", "bearing-position", "bearing-alignment")
_GAPS = {"gap-cold": "cold", "gap-hot": "hot", "gap-roll": "at full engine roll"}


def facts_of(line: Line, joint: tuple[str, str], setting: Setting) -> list[Finding]:
    """Every finding that needs no place in the car."""
    found = [_supports(line, joint), *(_pokes(yoke, setting) for yoke in line.yokes)]
    for shaft in line.shafts:
        found += [_slip(shaft, setting), *_clear(shaft, setting)]
    return [*found, _collapse(line, joint, setting)]


def _supports(line: Line, joint: tuple[str, str]) -> Finding:
    code = pages.SUPPORT.code
    gaps = [member.body.gap("joints") for member in line.joints if not member.word("joints")]
    gaps += [
        member.body.gap("centring")
        for member in line.joints
        if member.word("joints") == "double" and not member.word("centring")
    ]
    uses = tuple(use for member in line.joints for use in names(member.body, ("joints", "centring")))
    if gaps:
        return missing(code, joint, gaps, uses)
    loose = [one for one in line.joints if one.word("joints") == "double" and one.word("centring") == "no"]
    count = len(line.joints) + len(loose)
    wanted = max(count - 2, 0)
    states = [(shaft, _bearing(shaft)) for shaft in line.shafts]
    have = sum(state is True for _, state in states)
    uses += tuple(use for shaft in line.shafts for use in names(shaft.body, _BEARING))
    told = f"{count} joint{'s want' if count > 1 else ' wants'} {wanted} support bearing{'' if wanted == 1 else 's'}"
    because = f"{told}, and {have} {'is' if have == 1 else 'are'} recorded"
    if have >= wanted:
        spare = "A support bearing more than the line needs binds unless it lines itself up."
        return Finding(code, joint, Verdict.FITS, because, uses=uses, cautions=(spare,) if have > wanted else ())
    open_ = [shaft.body.gap("bearing-alignment") for shaft, state in states if state is None]
    if open_:
        return replace(missing(code, joint, open_, uses), because=because)
    return Finding(code, joint, Verdict.DOES_NOT_FIT, f"{because}: the line does not stay in place", uses=uses)


def _bearing(shaft: Member) -> bool | None:
    """Whether a shaft has a support bearing; None where nobody looked."""
    word = shaft.word("bearing-alignment")
    if word == "none":
        return False
    return True if word or names(shaft.body, _BEARING) else None


def _pokes(yoke: Yoke, setting: Setting) -> Finding:
    code, ends = pages.POKES.code, yoke.ends
    together = as_assembled(yoke.shaft, yoke.bore)
    if together is not None:
        return assembled_finding(code, yoke.shaft, yoke.bore, together)
    depth, stands = size_of(ends.female, "bore-depth"), yoke.insertion
    finding = answer(
        code,
        ends.joint,
        formula(lambda bore, shaft: bore - shaft, depth, stands),
        "mm",
        setting,
        lambda: (
            f"{yoke.title}: the shaft stands {mm(stands.central)} in the bore, "
            + (
                f"{mm(depth.central - stands.central)} short of the cross"
                if depth.central >= stands.central
                else f"{mm(stands.central - depth.central)} past its {mm(depth.central)}, into the cross"
            )
        ),
    )
    return with_figures(finding, {"insertion": (stands, "mm"), "bore_depth": (depth, "mm")}, setting)


def _slip(shaft: Member, setting: Setting) -> Finding:
    code, named, body = pages.SLIP.code, (shaft.body.name, shaft.title), shaft.body
    uses = names(body, ("slip-retention",))
    kept = shaft.word("slip-retention")
    if not kept:
        return missing(code, named, [body.gap("slip-retention")])
    if kept == "one piece":
        return Finding(code, named, Verdict.FITS, f"the {shaft.title} is one piece", uses=uses)
    if kept in ("plastic pins", "none"):
        by = "by plastic pins alone" if kept == "plastic pins" else "by nothing"
        because = f"the two pieces of the {shaft.title} are held together {by}: they can part"
        return Finding(code, named, Verdict.DOES_NOT_FIT, because, uses=uses)
    overlap, section = size_of(body, "overlap"), size_of(body, "section-dia")
    least = setting.limits["telescope_overlap"].value
    finding = answer(
        code,
        named,
        formula(lambda inside, across: inside - least * across, overlap, section),
        "mm",
        setting,
        lambda: (
            f"a {kept} keeps the two pieces of the {shaft.title} together; they overlap by {mm(overlap.central)} at "
            f"the longest service length, and {mm(least * section.central)} is asked ({least:g} sections)"
        ),
    )
    return replace(finding, uses=(*finding.uses, *uses))


def _collapse(line: Line, joint: tuple[str, str], setting: Setting) -> Finding:
    code, column = pages.COLLAPSE.code, line.column.features["body"]
    bodies = [("column", column), *((shaft.title, shaft.body) for shaft in line.shafts)]
    gaps = [_unrecorded(body, "collapse") for _, body in bodies if _word(body, "collapse") in ("", "unknown")]
    uses = tuple(use for _, body in bodies for use in names(body, ("collapse", "collapse-stroke", "collapse-path")))
    path = _word(column, "collapse-path")
    if path == "blocked":
        because = "the collapse of the column is recorded as blocked by the new routing"
        return Finding(code, joint, Verdict.DOES_NOT_FIT, because, uses=uses)
    kinds = [_word(body, "collapse") for _, body in bodies]
    if kinds[0] not in ("", "unknown", "none") and path != "free":
        gaps.append(_unrecorded(column, "collapse-path"))
    if gaps:
        return missing(code, joint, gaps, uses)
    told = "; ".join(f"{title}: {_told(body)}" for title, body in bodies)
    cautions = ["The means of collapse are facts only: whether they count is for the examiner."]
    if set(kinds) == {"none"}:
        cautions.append("Nothing between wheel and pinion is recorded as collapsing: only the joint angles remain.")
    sizes = {
        f"collapse_stroke_{title.replace(' ', '_')}": (size_of(body, "collapse-stroke"), "mm") for title, body in bodies
    }
    finding = Finding(code, joint, Verdict.FITS, f"recorded: {told}", uses=uses, cautions=tuple(cautions))
    return with_figures(finding, sizes, setting)


def _word(body: Feature, dimension: str) -> str:
    use = body.get(dimension)
    return "" if use is None else use.word


def _unrecorded(body: Feature, dimension: str) -> Gap:
    if _word(body, dimension) == "unknown":
        return Gap(body.name, dimension, "recorded as unknown: look what gives")
    return body.gap(dimension)


def _told(body: Feature) -> str:
    kind, stroke, path = _word(body, "collapse"), size_of(body, "collapse-stroke"), _word(body, "collapse-path")
    if kind == "none":
        return "nothing collapses"
    told = f"{kind}, {mm(stroke.central)} of stroke" if stroke.known else f"{kind}, stroke not recorded"
    return f"{told}, {path}" if path else told


def _clear(shaft: Member, setting: Setting) -> list[Finding]:
    """The gaps entered of a shaft, nothing where none is; in conflict they are not known."""
    body, least = shaft.body, setting.limits["shaft_gap"].value
    told = {name: when for name, when in _GAPS.items() if body.get(name) is not None or name in body.gaps}
    if not told:
        return []
    sizes = {name: size_of(body, name) for name in told}
    nearest = formula(lambda *gaps: reduce(minimum, gaps), *sizes.values())

    def words() -> str:
        gaps = ", ".join(f"{mm(sizes[name].central)} {when}" for name, when in told.items())
        return f"the nearest gap to the {shaft.title} is {gaps}, and {mm(least)} is asked"

    finding = answer(
        pages.CLEAR.code, (body.name, shaft.title), formula(lambda gap: gap - least, nearest), "mm", setting, words
    )
    return [with_figures(finding, {name.replace("-", "_"): (size, "mm") for name, size in sizes.items()}, setting)]


def cautions_on(line: Line) -> tuple[str, ...]:
    """What to look at on the parts: gaps not measured, welds not known, a column of a third party."""
    told = []
    for shaft in line.shafts:
        left = [when for name, when in _GAPS.items() if shaft.body.get(name) is None]
        if left:
            told.append(
                f"Not measured: nearest gap to the {shaft.title} {', '.join(left)} "
                "(exhaust, mounts, moving and fixed parts)."
            )
    if not line.shafts:
        told.append("Not measured: nearest gap to the single universal joint, cold, hot and at full engine roll.")
    column = line.column.features["body"]
    bodies = {line.column.name: column} | {one.part.name: one.body for one in (*line.joints, *line.shafts)}
    for name, body in bodies.items():
        welds = _word(body, "welds")
        if welds in ("", "unknown"):
            told.append(f"Welds of {name} are not known: clean it, look, file or dye test.")
        elif welds == "repair":
            told.append(f"A repair weld is recorded on {name}: ask the authority before it is used.")
    if _word(column, "origin") in ("third party", "unknown"):
        told.append(f"{line.column.name} is not known to be a car maker's: welds and tilt need evidence of their own.")
    return tuple(told)
