"""From all readings of one thing to its adopted values, feature by feature: what one dimension tells of another.

A marked designation tells the hand; diameters and pitch tell the thread; two diameters and a length tell the cone;
"as left" copies the other side, mirrored where it is a point, flagged. Pure.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from fitment.catalogue.adopt import CONFLICT, HEARSAY, AdoptedValue, Evidence, adopt, in_force
from fitment.catalogue.adopt_points import adopt_distances, adopt_point, mirrored
from fitment.catalogue.decisions import Decision, bearing, standing
from fitment.catalogue.dictionary import Dimension, dimensions_of
from fitment.catalogue.values import parse_trial
from fitment.finding import Basis
from fitment.identify.cones import identify_cones
from fitment.identify.likelihood import ADOPTION_THRESHOLD
from fitment.identify.threads import ThreadReadings, identify_threads
from fitment.quantity.show import show_taper
from fitment.standards.cones import all_cones, ratio_from_diameters, ratio_uncertainty
from fitment.standards.thread_limits import external_limits, internal_limits
from fitment.standards.thread_names import parse_thread

#: how closely the ratio of a made cone follows its standard: standard uncertainty; from memory, our own choice
MADE_CONE_U = 0.0005
#: how far a reading of a worn thread may fall short of the smallest new one, mm; common practice, no source
_WEAR = 0.15
#: ratios nearer than this are one cone by name (7 degree and 1:8 differ by 0.0027)
_SAME_CONE = 0.001

Values = dict[str, AdoptedValue]


def adopted_values(
    features: Mapping[str, str], evidence: Iterable[Evidence], decisions: Sequence[Decision] = ()
) -> list[AdoptedValue]:
    """Every adopted value of one part, item or vehicle, ordered by feature and dimension.

    Args:
        features: feature name -> feature kind.
        evidence: its readings in force.
        decisions: what persons decided of it, in their order.
    """
    by_feature: dict[str, list[Evidence]] = {}
    for one in evidence:
        by_feature.setdefault(one.feature, []).append(one)
    found = {
        name: _of_feature(features[name], ones, standing(decisions, name, {one.uid for one in ones}))
        for name, ones in sorted(by_feature.items())
    }
    for name in [name for name in found if "as-left" in found[name]]:
        left = found.get(name.replace(".right", ".left"), {})
        found[name] = _copied(name, dimensions_of(features[name]), left) | found[name]
    return [found[name][dimension] for name in sorted(found) for dimension in sorted(found[name])]


def adopted_of_feature(kind: str, evidence: list[Evidence]) -> list[AdoptedValue]:
    """The adopted values that readings of one feature of a kind make, without decisions and without the other side."""
    return list(_of_feature(kind, evidence, {}).values())


def _of_feature(kind: str, evidence: list[Evidence], decided: Mapping[str, Decision]) -> Values:
    dictionary = dimensions_of(kind)
    by_dimension: dict[str, list[Evidence]] = {}
    for one in evidence:
        for piece in _told_by(one):
            if piece.dimension not in decided or piece.uid not in decided[piece.dimension].aside:
                by_dimension.setdefault(piece.dimension, []).append(piece)
    values: Values = {}
    for name, ones in by_dimension.items():
        if dictionary[name].value_kind == "trial":
            values |= _trials(dictionary[name], ones)
        elif dictionary[name].value_kind == "point":
            values[name] = adopt_point(dictionary[name], ones)
        elif dictionary[name].value_kind == "distances":
            values[name] = adopt_distances(dictionary[name], ones)
        elif name == "taper":
            values[name] = _taper(dictionary[name], ones)
        else:
            values[name] = adopt(dictionary[name], ones)
    for name in ("thread", "taper"):
        if name in dictionary:
            seen = _not_aside(values, decided.get(name))
            if name == "thread":
                _settle_thread(kind, dictionary[name], seen)
            else:
                _settle_cone(dictionary[name], seen)
            values |= {key: value for key, value in seen.items() if key == name}
    for name, decision in decided.items():
        if name in values:
            values[name] = replace(values[name], source=f"{values[name].source}; {decision.told}")
    return values


def _not_aside(values: Values, decision: Decision | None) -> Values:
    """The values by which a thread or a cone is settled: without those whose readings a person set aside for it."""
    if decision is None:
        return dict(values)
    asked = bearing(decision.dimension)
    return {
        name: value
        for name, value in values.items()
        if name.partition(" ")[0] not in asked or not decision.aside.issuperset(value.readings)
    }


def _told_by(one: Evidence) -> list[Evidence]:
    """A reading and what else it tells: ``M14x1.5-LH`` tells thread and hand."""
    if one.dimension != "thread" or not one.word or one.word[-3:] not in ("-LH", "-RH"):
        return [one]
    return [replace(one, word=one.word[:-3]), replace(one, dimension="hand", word=one.word[-2:])]


def _trials(dimension: Dimension, evidence: list[Evidence]) -> Values:
    """Trials by what they were made against: a pass with one mate says nothing of another.

    A failed one stands against any number that passed, until it is withdrawn, and of those that passed the one with
    the least contact; hearsay of either kind only where there is nothing else.
    """
    by_mate: dict[str, list[Evidence]] = {}
    for one in evidence:
        by_mate.setdefault(parse_trial(one.word or "").against, []).append(one)
    values: Values = {}
    for mate, ones in by_mate.items():
        name = f"{dimension.dimension} {mate}".strip()
        trusted = [one for one in ones if one.trust < HEARSAY] or ones
        failed = [one for one in trusted if not parse_trial(one.word or "").passed]
        chosen = min(failed or trusted, key=_poorness)
        value = replace(adopt(dimension, [chosen]), dimension=name)
        # a document cannot have tried two parts with each other
        told_only = parse_trial(chosen.word or "").with_mate and not chosen.measured
        values[name] = replace(value, hearsay=value.hearsay or told_only)
    return values


def _poorness(one: Evidence) -> tuple[float, str]:
    contact = parse_trial(one.word or "").contact
    return (1.0 if contact is None else contact, one.uid)


def _taper(dimension: Dimension, evidence: list[Evidence]) -> AdoptedValue:
    """A ratio written down: a drawing's or manual's is the standard's; one read without its doubt proves nothing."""
    certain = [one if one.u is not None else replace(one, u=MADE_CONE_U) for one in evidence]
    value = adopt(dimension, certain)
    bare = [one for one in in_force(evidence) if one.measured and one.u is None]
    if bare and not value.gap and value.basis is Basis.MEASURED:
        gap = f"{value.shown} is written down without its doubt: take two diameters and the length, or a gauge trial"
        return replace(value, gap=gap)
    return value


def _settle_thread(kind: str, dimension: Dimension, values: Values) -> None:
    """Identifies the thread from what was measured, or sets a written name against it."""
    sound = {name: value for name, value in values.items() if not value.gap and value.number is not None}
    sex = "male" if kind == "stud" else values["sex"].word if "sex" in values and not values["sex"].gap else None
    named = values.get("thread")
    foreign = sound.get({"male": "minor", "female": "od"}.get(sex or "", ""))
    if foreign is not None:
        # one of the two is wrong, and nothing tells which
        told = f"in conflict: its {foreign.dimension} reads {foreign.shown}, which no {sex} thread has"
        values["thread"] = replace(named or _identified(dimension, [foreign], "", None, 0.0, 0.0), gap=told)
        return
    if named is not None:
        if not named.gap and (clash := _clash(named, sex, sound)):
            values["thread"] = replace(named, gap=clash)
        return
    used = [sound[name] for name in ("od", "pitch", "minor") if name in sound]
    if sex is None or not used:
        return
    pairs = {
        name: (sound[name].number or 0.0, sound[name].u or 0.0) for name in ("od", "pitch", "minor") if name in sound
    }
    answer = identify_threads(
        ThreadReadings(sex=sex, od=pairs.get("od"), pitch=pairs.get("pitch"), minor=pairs.get("minor"))
    )
    best = answer.candidates[0] if answer.candidates else None
    values["thread"] = _identified(
        dimension, used, best.designation if best else "", None, best.odds if best else 0.0, answer.none_of_these
    )


def _clash(named: AdoptedValue, sex: str | None, sound: Values) -> str:
    """Why measured diameters cannot be those of the named thread; "" where they can."""
    thread = parse_thread(named.word or "").thread
    if "pitch" in sound and abs((sound["pitch"].number or 0.0) - thread.pitch) > 3 * (sound["pitch"].u or 0.0):
        return (
            f"in conflict: named {named.word} ({named.source}), but its pitch reads {sound['pitch'].shown}"
            f" where {thread.pitch:.3f} mm belongs to it"
        )
    for name, wanted in (("od", "male"), ("minor", "female")):
        if name not in sound or sex != wanted:
            continue
        value, room = sound[name].number or 0.0, 3 * (sound[name].u or 0.0)
        if wanted == "male":
            limits = external_limits(thread)
            low, high = limits.d_min - _WEAR, limits.d_max
        else:
            inside = internal_limits(thread)
            low, high = inside.D1_min, inside.D1_max + _WEAR
        if not low - room <= value <= high + room:
            return (
                f"in conflict: named {named.word} ({named.source}), but its {name} reads {sound[name].shown}"
                f" where {low:.2f} to {high:.2f} mm belongs to it"
            )
    return ""


def _settle_cone(dimension: Dimension, values: Values) -> None:
    """A gauge trial or an identification makes the cone the standard's; a bare calculation stays what it is."""
    gauged, refused = _gauged(values)
    written = values.get("taper")
    if gauged:
        ratio, trial = gauged[0]
        clash = [shown for other, shown in _ratios(gauged[1:], written) if abs(other - ratio) > _SAME_CONE]
        gap = f"in conflict: a gauge of {show_taper(ratio)} passed, but also {clash[0]}" if clash else ""
        values["taper"] = replace(
            trial, dimension="taper", number=ratio, u=MADE_CONE_U, word=None, shown=show_taper(ratio), gap=gap
        )
    else:
        _settle_by_numbers(dimension, values, written)
    settled = values.get("taper")
    if settled is not None and settled.number is not None and not settled.gap:
        for ratio, trial in refused:
            if abs(ratio - settled.number) <= _SAME_CONE:
                gap = f"in conflict: {settled.shown} ({settled.source}), but a gauge of {show_taper(ratio)} failed"
                values["taper"] = replace(settled, gap=f"{gap} ({trial.source})")


def _ratios(others: list[tuple[float, AdoptedValue]], written: AdoptedValue | None) -> list[tuple[float, str]]:
    told = [(ratio, f"one of {show_taper(ratio)}") for ratio, _ in others]
    if written is not None and written.gap.startswith(CONFLICT):
        told.append((math.inf, f"what is written is {written.gap}"))
    elif written is not None and written.number is not None and not written.hearsay:
        told.append((written.number, f"{written.shown} is recorded ({written.source})"))
    return told


def _gauged(values: Values) -> tuple[list[tuple[float, AdoptedValue]], list[tuple[float, AdoptedValue]]]:
    """Ratios of the taper gauges that passed and of those that failed, hearsay only where there is nothing else."""
    passed: list[tuple[float, AdoptedValue]] = []
    failed: list[tuple[float, AdoptedValue]] = []
    trials = [value for name, value in values.items() if name.startswith("gauge-trial")]
    for value in [trial for trial in trials if not trial.hearsay] or trials:
        record = parse_trial(value.word or "")
        cone = next((cone for cone in all_cones() if cone.name == record.against), None)
        if cone is not None:
            (passed if record.passed else failed).append((cone.ratio, value))
    return passed, failed


def _settle_by_numbers(dimension: Dimension, values: Values, written: AdoptedValue | None) -> None:
    if written is not None and (written.gap or written.basis is not Basis.MEASURED):
        return
    if written is None:
        three = [values.get(name) for name in ("large", "small", "length" if "length" in values else "thick")]
        used = [value for value in three if value is not None and not value.gap]
        if len(used) < 3:
            return
        large, small, length = (value.number or 0.0 for value in used)
        ratio = ratio_from_diameters(large, small, length)
        u = ratio_uncertainty(used[0].u or 0.0, used[1].u or 0.0, length, used[2].u or 0.0, ratio)
    else:
        used, ratio, u = [written], written.number or 0.0, written.u or 0.0
    if not (ratio > 0 and u > 0):
        return  # a parallel bore, or sizes without a doubt: no cone can be told from them
    answer = identify_cones(ratio, u)
    best = answer.candidates[0] if answer.candidates else None
    cone_ratio = next((cone.ratio for cone in all_cones() if best and cone.name == best.designation), None)
    values["taper"] = _identified(
        dimension,
        used,
        best.designation if best else "",
        cone_ratio,
        best.odds if best else 0.0,
        answer.none_of_these,
        f"reads {show_taper(ratio)} with u = {u:.4f} on the ratio",
    )


def _identified(
    dimension: Dimension,
    used: list[AdoptedValue],
    designation: str,
    number: float | None,
    odds: float,
    none: float,
    reads: str = "",
) -> AdoptedValue:
    """The standard's designation where its odds are past the threshold; else the gap with the odds."""
    undecided = ""
    if odds < ADOPTION_THRESHOLD:
        undecided = f"undecided: {designation} has odds of {odds:.0%}, none of the standards {none:.0%}"
        undecided += f" ({reads})" if reads else ""
    return AdoptedValue(
        feature=used[0].feature,
        dimension=dimension.dimension,
        number=number,
        u=MADE_CONE_U if number is not None else None,
        word=None if number is not None else designation,
        unit="",
        basis=Basis.IDENTIFIED,
        gap=undecided,
        hearsay=any(value.hearsay for value in used),
        assumed=False,
        shape="normal",
        shared=(),
        source="; ".join(dict.fromkeys(value.source for value in used)),
        shown=show_taper(number) if number is not None else designation,
        readings=tuple(uid for value in used for uid in value.readings),
    )


def _copied(feature: str, dictionary: Mapping[str, Dimension], left: Values) -> Values:
    """The left side's values for a right side that was only said to be the same; points are mirrored."""
    return {
        name: replace(
            mirrored(dictionary[name], value) if dictionary[name].value_kind == "point" else value,
            feature=feature,
            assumed=True,
            basis=Basis.STATED,
            source=f"assumed as left ({value.source})",
        )
        for name, value in left.items()
        if name != "as-left" and "trial" not in name and "assembled" not in name
    }
