"""Mounting pattern to mounting pattern: do the bolts of a rack pass the holes of a crossmember, and what would help."""

from __future__ import annotations

from dataclasses import replace

from fitment.finding import Figure, Finding, Gap, Verdict, held_back
from fitment.joints import pattern_rules as pages
from fitment.joints import pattern_work as work
from fitment.joints.answering import Size, answer, figures_of, formula, mm, names, size_of
from fitment.joints.hole_registration import Registration
from fitment.joints.pattern_holes import thread_at
from fitment.joints.pattern_pair import Pair, pair_of
from fitment.joints.pattern_place import Placement, placement
from fitment.joints.registration import Feature, JointKind, Setting, as_assembled, assembled_finding, missing

__all__ = ["KIND", "Placement", "check", "placement"]

#: heights of holes across the face that differ by more than this, mm, are worth a word (own choice)
_STEP = 1.0


def check(first: Feature, second: Feature, setting: Setting) -> list[Finding]:
    """The findings for two mounting patterns, the rack's first, in the order of the rules."""
    findings = [held_back(finding) for finding in _rules(pair_of(first, second, setting))]
    together = as_assembled(first, second)
    if together is None:
        return findings
    against = [one for one in findings if one.verdict in (Verdict.DOES_NOT_FIT, Verdict.FITS_WITH_WORK)]
    doubted = [one for one in against if one.on_hearsay and one.verdict is Verdict.DOES_NOT_FIT]
    against = [one for one in against if not one.on_hearsay]
    if against:
        note = f"although the two are recorded as taken together ({together.use.source})"
        return [*(replace(finding, because=f"{finding.because}, {note}") for finding in against), *doubted]
    assembled = held_back(assembled_finding(pages.ASSEMBLED.code, first, second, together))
    return [assembled, *doubted] if assembled.verdict is Verdict.FITS else findings


def _rules(pair: Pair) -> list[Finding]:
    bolt = _bolt(pair)
    findings = [bolt]
    if bolt.verdict is not Verdict.DOES_NOT_FIT:
        holes = _holes(pair)
        findings.append(holes)
        if holes.verdict is not Verdict.DOES_NOT_FIT:  # a hole that the bolt does not enter is not helped by shifting
            findings += _registered(pair)
    return [*findings, _stop(pair)]


def _bolt(pair: Pair) -> Finding:
    """pattern-01: one thread on both sides."""
    code, threads = pages.BOLT.code, pair.threads
    uses = tuple(use for use, _ in threads)
    if not threads:
        return missing(code, pair.joint, [side.feature.gap("bolt") for side in pair.sides])
    unread = [Gap(use.feature, use.dimension, f"'{use.word}' cannot be read") for use, thread in threads if not thread]
    conflicts = [
        side.feature.gap(name) for side in pair.sides for name in ("captive", "bolt") if name in side.feature.gaps
    ]
    if unread or conflicts:
        return missing(code, pair.joint, [*unread, *conflicts], uses)
    if all(side.captive for side in pair.sides):
        return Finding(
            code, pair.joint, Verdict.DOES_NOT_FIT, "both sides hold a thread, which takes no bolt", uses=uses
        )
    said = {thread.designation: f"{use.feature} {use.dimension} {use.word}" for use, thread in threads if thread}
    sizes = {(thread.form, thread.nominal, thread.pitch) for _, thread in threads if thread}
    if len(sizes) > 1:
        because = "the bolts are of different sizes: " + ", ".join(said.values())
        return Finding(code, pair.joint, Verdict.DOES_NOT_FIT, because, uses=uses)
    return Finding(code, pair.joint, Verdict.FITS, f"the bolt is {next(iter(said))} ({len(uses)} recorded)", uses=uses)


def _holes(pair: Pair) -> Finding:
    """pattern-02: no clear hole is smaller than the bolt."""
    code, bolt = pages.HOLES.code, pair.bolt
    if bolt is None:
        return missing(code, pair.joint, [pair.first.feature.gap("bolt")])
    gaps = [gap for side in pair.sides for gap in side.gaps]
    if gaps:
        return missing(code, pair.joint, gaps)
    rooms = [
        (side, hole, formula(lambda dia: dia - bolt.nominal, side.diameter(hole)))
        for side in pair.clear
        for hole in side.numbers
    ]
    margin = formula(_least, *(room for _, _, room in rooms))

    def words() -> str:
        side, hole, room = min(rooms, key=lambda one: one[2].central)
        return f"{side.feature.name} hole {hole} is {mm(room.central + bolt.nominal)} and the bolt {mm(bolt.nominal)}"

    finding = answer(code, pair.joint, margin, "mm", pair.setting, words)
    return replace(finding, uses=(*finding.uses, *(use for use, _ in pair.threads)))


def _least(*rooms: object) -> object:
    import numpy as np

    return np.min(np.stack([np.asarray(room) for room in rooms]), axis=0)


def _registered(pair: Pair) -> list[Finding]:
    """pattern-03, with pattern-04 where work is proposed."""
    finding = _seen_both_ways(pair)
    if not pair.registered.known or not finding.uses:
        return [finding]
    finding = replace(
        finding,
        uses=tuple(dict.fromkeys((*finding.uses, *(use for use, _ in pair.threads)))),
        figures={**finding.figures, **_figures(pair)},
        cautions=(*finding.cautions, *_cautions(pair, finding)),
    )
    if finding.verdict is not Verdict.DOES_NOT_FIT or finding.margin is None:
        return [finding]
    proposal = work.propose(pair, finding.margin)
    if isinstance(proposal, str):
        return [replace(finding, because=f"{finding.because}; {proposal}")]
    if isinstance(proposal, tuple):
        gap = proposal[0]
        because = (
            f"{finding.because}; whether work would mend it is not known: {gap.feature} {gap.dimension}: {gap.why}"
        )
        return [replace(finding, verdict=Verdict.NOT_KNOWN, because=because, gaps=proposal)]
    edge = proposal.edge
    uses = finding.uses if edge is None else tuple(dict.fromkeys((*finding.uses, *edge.uses)))
    finding = replace(
        finding,
        verdict=Verdict.FITS_WITH_WORK,
        because=f"{finding.because}; {proposal.says}",
        work=proposal.works,
        uses=uses,
    )
    return [finding] if edge is None else [finding, edge]


def _seen_both_ways(pair: Pair) -> Finding:
    """pattern-03 as the holes are numbered; where distances leave the mirror image open, both must agree."""
    own = _one_way(pair, pair.registered)
    if pair.mirrored is None or not pair.registered.known:
        return own
    other = _one_way(pair, pair.mirrored)
    if own.verdict is other.verdict:
        return min((own, other), key=lambda one: one.margin.low if one.margin else 0.0)
    side = pair.second if pair.second.two_ways else pair.first
    gap = Gap(side.feature.name, "holes", "distances do not tell the pattern from its mirror image: give points")
    because = f"seen one way, {own.because}; seen the other way, {other.because}; which way is not known"
    return replace(own, verdict=Verdict.NOT_KNOWN, because=because, gaps=(gap,))


def _one_way(pair: Pair, registered: Size) -> Finding:
    margin = formula(lambda found: -found.t_star, registered)
    finding = answer(pages.REGISTER.code, pair.joint, margin, "mm", pair.setting, lambda: _says(pair, registered))
    if finding.verdict is Verdict.NOT_KNOWN and margin.known and not finding.gaps:
        gaps = tuple(
            Gap(side.feature.name, "holes", "too coarse for this margin") for side in pair.sides if not side.points
        )
        finding = replace(finding, gaps=gaps)
    return finding


def _says(pair: Pair, registered: Size) -> str:
    found: Registration = registered.at(pair.central)
    holes = [str(pair.first.numbers[place]) for place in found.worst]
    named = f"hole{'s' if len(holes) > 1 else ''} {', '.join(holes)}"
    if found.t_star > 0:
        others = "" if len(holes) == len(found.misfit) else ", the others less"
        return f"at best {named} would be {mm(float(found.t_star))} out of reach of the bolt{others}"
    return f"with the holes registered every bolt has {mm(float(-found.t_star))} of room or more, least at {named}"


def _figures(pair: Pair) -> dict[str, Figure]:
    """What the registration is: room of every hole, where the rack comes to lie, how flat the faces are."""
    figures: dict[str, Figure] = {}
    sizes: dict[str, tuple[Size, str]] = {
        f"room_{number}": (formula(lambda found, place=place: -found.misfit[..., place], pair.registered), "mm")
        for place, number in enumerate(pair.first.numbers)
    }
    for name, dimension in (("edge", "edge"), ("weld_gap", "weld-gap")):
        for order, side in enumerate(pair.sides, 1):
            sizes[f"{name}_{order}"] = (size_of(side.feature, dimension), "mm")
    figures.update(figures_of(sizes, pair.setting.draws))
    if isinstance(pair.seen, Gap):
        return figures
    for order, (side, face) in enumerate(zip(pair.sides, pair.seen, strict=True), 1):
        if face is not None:
            off = float(abs(face.heights(side.central)).max())
            figures[f"out_of_plane_{order}"] = Figure(off, None, "mm")
    figures.update(_placed_figures(pair))
    return figures


def _placed_figures(pair: Pair) -> dict[str, Figure]:
    """Where the rack's origin comes to lie in the car, and how far it is turned."""
    import numpy as np

    middle = placement(pair.first.feature, pair.second.feature)
    samples = placement(pair.first.feature, pair.second.feature, pair.setting.draws.few)
    if isinstance(middle, Gap) or isinstance(samples, Gap):
        return {}
    spread = samples.shift.std(axis=0)
    figures = {
        f"shift_{axis}": Figure(float(middle.shift[place]), float(spread[place]), "mm")
        for place, axis in enumerate("xyz")
    }
    turns = [
        np.degrees(np.arccos(np.clip((np.trace(one.rotation, axis1=-2, axis2=-1) - 1) / 2, -1, 1)))
        for one in (middle, samples)
    ]
    return {**figures, "angle": Figure(float(turns[0]), float(np.std(turns[1])), "deg")}


def _cautions(pair: Pair, finding: Finding) -> list[str]:
    cautions = []
    ratio = pair.setting.limits["hole_edge_ratio"].value
    for side in pair.sides:
        edge, hole = size_of(side.feature, "edge"), side.diameter(side.numbers[0])
        if edge.known and hole.known and edge.central < ratio * hole.central:
            cautions.append(
                f"{side.feature.name}: {mm(edge.central)} from hole to edge as found, "
                f"{mm(ratio * hole.central)} is asked of a hole that is worked on."
            )
    if pair.first.points and pair.second.points and not isinstance(pair.seen, Gap):
        apart = _steps(pair)
        if apart > _STEP:
            cautions.append(f"Across the faces the holes of the two do not lie flat on one another by {mm(apart)}.")
    better = pair.better_pairing() if finding.verdict is Verdict.DOES_NOT_FIT else None
    if better is not None:
        order, t_star = better
        cautions.append(
            f"Holes {', '.join(map(str, pair.first.numbers))} taken to {', '.join(map(str, order))} "
            f"{'have ' + mm(-t_star) + ' of room' if t_star <= 0 else 'lack ' + mm(t_star)}: look at the numbering."
        )
    return cautions


def _steps(pair: Pair) -> float:
    """By how much the heights of the holes across the face differ between the two, mm."""
    if isinstance(pair.seen, Gap):
        return 0.0
    heights = [face.heights(side.central) for side, face in zip(pair.sides, pair.seen, strict=True) if face is not None]
    off = heights[0] - heights[1]
    return float(off.max() - off.min())


def _stop(pair: Pair) -> Finding:
    """pattern-05: something solid holds the rack sideways."""
    code, features = pages.STOP.code, [side.feature for side in pair.sides]
    kind = features[0].get("type") or features[1].get("type")
    if kind is not None and kind.word in ("ears", "studs"):
        because = f"the rack is held by {kind.word}, whose bolts are the stop"
        return Finding(code, pair.joint, Verdict.FITS, because, uses=(kind,))
    stops = [use for feature in features for use in names(feature, ["lateral-stop"])]
    yes = [use for use in stops if use.word == "yes"]
    if yes:
        cautions = (
            () if len(yes) == 2 else (f"Only {yes[0].feature} names the stop: see that it meets the other part.",)
        )
        because = f"{yes[0].feature} has a positive stop against sliding sideways"
        return Finding(code, pair.joint, Verdict.FITS, because, uses=(yes[0],), cautions=cautions)
    if len(stops) == 2 and all(use.word == "no" for use in stops):
        because = "neither side has a positive stop: friction alone would hold the rack sideways"
        uses = (*stops, *((kind,) if kind is not None else ()))
        return Finding(code, pair.joint, Verdict.DOES_NOT_FIT, because, uses=uses)
    gaps = [one.gap("lateral-stop") for one in features if one.get("lateral-stop") is None]
    if kind is None:
        gaps.append(features[0].gap("type"))
    return missing(code, pair.joint, gaps, tuple(stops))


def key(feature: Feature) -> tuple[str, ...] | None:
    """Form, size and pitch of the bolt, in which both sides must agree; None where nothing tells it."""
    thread = thread_at(feature, "captive") or thread_at(feature, "bolt")
    return None if thread is None else (thread.form, f"{thread.nominal:.4f}x{thread.pitch:.4f}")


_NEEDED = ("hole-1", "hole-2", "hole-dia", "bolt", "lateral-stop")

KIND = JointKind(
    name="pattern",
    between=(frozenset({"pattern"}), frozenset({"pattern"})),
    requires=((*_NEEDED, "type"), (*_NEEDED, "edge")),
    key=key,
    rules=pages.RULES,
    works=work.OPERATIONS,
    check=check,
)
