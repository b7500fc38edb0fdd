"""Rows of the scrapyard card that no geometry tells: hand, direction, threads, spline and room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fitment.catalogue.dictionary import dimensions_of
from fitment.catalogue.found import FoundPart
from fitment.finding import Gap, Use
from fitment.joints.registration import Feature
from fitment.kits.card_geometry import Survey
from fitment.kits.card_row import CardRow, of_rack, rack_row
from fitment.quantity.points import point_of


def hand(body: Feature) -> CardRow:
    side = body.get("drive-side")
    row = rack_row("hand of the rack", "hand", "")
    if side is None:
        return replace(row, stop="not known which side the wheel is on", gaps=(body.gap("drive-side"),))
    name = {"RH": "right", "LH": "left"}[side.word]
    return replace(
        row,
        word=side.word,
        stop=f"the pinion is not on the {name}: turned end for end it would be, but then moves the bar the other way",
        rests_on=f"drive side {side.word} ({side.source})",
        uses=(side,),
    )


def direction(survey: Survey, body: Feature) -> tuple[CardRow, ...]:
    """Front-steer or rear-steer, and which way the bar must move on the bench."""
    said, ahead = body.get("arm-position"), survey.arm_ahead()
    steer = rack_row("steer type of its donor", "steer-type", "")
    bench = rack_row("which way the bar moves", "bar-moves", "", search=False)
    measured = None if ahead is None else "front-steer" if ahead[0] > 0 else "rear-steer"
    if said is None and measured is None:
        gap = (body.gap("arm-position"),)
        return replace(steer, stop="not known", gaps=gap), replace(bench, stop="not known", gaps=gap)
    if said is not None and measured is not None and said.word != measured:
        gap = (Gap(body.name, "arm-position", f"in conflict: {said.word} is recorded, the points say {measured}"),)
        return replace(steer, stop="not known", gaps=gap), replace(bench, stop="not known", gaps=gap)
    kind = measured or (said.word if said else "")
    uses = (*((said,) if said else ()), *(ahead[1] if ahead else ()))
    told = [f"recorded as {said.word} ({said.source})"] if said else []
    if ahead:
        told.append(f"eye {abs(ahead[0]):.0f} mm {'ahead of' if ahead[0] > 0 else 'behind'} the steering axis")
    right, wrong = ("right", "left") if kind == "front-steer" else ("left", "right")
    return (
        replace(
            steer,
            word=kind,
            stop="it is the other type, unless the bench test below says that it moves the right way as it will sit",
            rests_on="; ".join(told),
            uses=uses,
        ),
        replace(
            bench,
            word=f"to the car's {right}, the pinion turned clockwise",
            stop=f"it moves to the {wrong}: the car would steer the wrong way. No turning over keeps the pinion on its "
            "side and changes that; each half-turn that swaps the ends of the bar reverses it. An odd number of gear "
            "meshes in the column reverses it again, a chain or belt does not",
            rests_on=f"{kind}: for a right turn the bar moves to the {right}",
            uses=uses,
        ),
    )


def threads(fitted: Sequence[FoundPart]) -> CardRow:
    """The bar's threads: free, but for inner joints and rods that were on the car and may be kept."""
    kept, uses = [], []
    for part in fitted:
        end = part.features.get("bar-side") or (part.features.get("inner") if part.kind == "tie-rod" else None)
        thread = end.get("thread") if end else None
        if end is None or thread is None:
            continue
        hand = end.get("hand")
        kept.append(f"{thread.word}{f'-{hand.word}' if hand else ', hand not known'} keeps {part.name}")
        uses += [thread, *((hand,) if hand else ())]
    dictionary = dimensions_of("bar-end")
    return CardRow(
        "bar-end threads",
        "",
        "word",
        f"both ends: {dictionary['thread'].how}; depth of full thread",
        dictionary["thread"].tool,
        "left and right differ in thread or hand, a thread is damaged, or it cannot be read",
        word="; ".join(["free", *kept]),
        rests_on="parts fitted to the car" if kept else "the car alone asks for none: they choose the inner joint",
        uses=tuple(uses),
    )


def spline(fitted: Sequence[FoundPart]) -> CardRow:
    """The pinion's spline: free, but for what the shaft takes that hangs on the target's own column."""
    told, uses = [], []
    for part in fitted:
        end = part.features.get({"column": "lower-end", "intermediate-shaft": "lower"}.get(part.kind, ""))
        teeth = end.get("spline") if end else None
        if end is None or teeth is None:
            continue
        od = end.get("od")
        size = f"{teeth.shown}{f' x {od.shown}' if od else ', diameter not known'}"
        told.append(
            f"{size} is that of {part.name}'s lower end"
            + (", the same joint bore at both ends" if part.kind == "column" else ", which could be kept")
        )
        uses += [teeth, *((od,) if od else ())]
    dictionary = dimensions_of("spline-end")
    return CardRow(
        "spline of the pinion",
        "",
        "word",
        f"{dictionary['spline'].how}; diameter over the crests, groove or flat, length out of the housing",
        dictionary["spline"].tool,
        "teeth are torn or twisted, or the count was not ticked",
        word="; ".join(["free", *told]),
        rests_on="parts fitted to the car"
        if told
        else "no column of the car is in the catalogue: a shaft joins the two",
        uses=tuple(uses),
    )


def room(body: Feature, fitted: Sequence[FoundPart]) -> tuple[CardRow, ...]:
    """The clearance box, of the car or of its crossmember, against the rack's envelope."""
    names = {"envelope-length": 1, "envelope-height": 2, "envelope-depth": 0}
    stop = "it does not go into the room that was surveyed"
    members = [part.features["body"] for part in fitted if part.kind == "crossmember"]
    boxes = [[one.get(name) for name in ("box-min", "box-max")] for one in (body, *members)]
    found = next(([low, high] for low, high in boxes if low and high), list[Use]())
    if len(found) < 2:
        gaps = tuple(body.gap(name) for name in ("box-min", "box-max") if body.get(name) is None)
        return (replace(rack_row("room for the rack", "envelope-length", stop), gaps=gaps),)
    low, high = (point_of(use) for use in found)
    doubt = 2 * sum((use.u or 0.0) ** 2 for use in found) ** 0.5
    return tuple(
        replace(
            rack_row(f"room: {of_rack(name).title}", name, stop),
            high=high[axis] - low[axis] - doubt,
            rests_on="clearance box of the survey, less twice its doubt",
            uses=tuple(found),
        )
        for name, axis in names.items()
    )
