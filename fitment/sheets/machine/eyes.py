"""The operations on an eye: reamed to a stud, bored straight, bored and sleeved."""

from __future__ import annotations

import math

from fitment.finding import Figure
from fitment.quantity.show import show_taper
from fitment.sheets.blocks import Blank
from fitment.sheets.context import SheetContext
from fitment.sheets.drawing.model import ScaleDrawing
from fitment.sheets.machine.eye_section import Eye, eye_drawing
from fitment.sheets.machine.job import Asked, Job, SizeRow, ask, mm, rests_on

_GAUGE = "Clean the stud and mark its gauge plane, the large end of its cone. The stud is the gauge, no drawing is."
_AFTER = "Deburr. Look again at nut thread, split pin and thread through the eye: they move with the stop."


def reamed(asked: Asked, context: SheetContext) -> Job:
    """Reaming to the stud's own cone, from the face that the stud enters."""
    taper = asked.size("taper") or 0.0
    on_diameter = context.kit.limits["ream_tolerance"].value
    stop, within = asked.size("stand_off"), asked.size("stand_off_tolerance")
    stud = asked.word("stud")
    face = "small" if asked.work.operation.endswith("other face") else "large"
    rows = (
        SizeRow(f"taper of the reamer, that of {stud}", "", _taper(taper)),
        SizeRow(
            f"diameter at the upper face, the old {face} one",
            mm(asked.size("large_old")),
            ask(asked.size("large_new"), f" ± {on_diameter:g}"),
            "mm",
        ),
        SizeRow(
            "diameter at the lower face",
            mm(asked.size("small_old")),
            ask(asked.size("small_new"), f" ± {on_diameter:g}"),
            "mm",
        ),
        SizeRow("stud proud of the upper face at the stop", "", ask(stop, f" ± {within:.2f}" if within else ""), "mm"),
        SizeRow("travel of the reamer after its first touch", "", ask(asked.size("depth_extra"))),
        _walls(asked, context),
        _contact(context),
    )
    steps = (
        _GAUGE,
        f"Ream in small steps, the stud tried after each: 0.05 mm of diameter is {0.05 / taper:.2f} mm of seat.",
        f"Stop when the gauge plane stands {mm(stop)} proud of the face, within {mm(within)} either way.",
        "Blue the stud, turn it in the eye by hand, and record what share of the seat shows contact, where.",
        _AFTER,
    )
    limits = _limits(context, "ream_tolerance", "wall_ratio", "contact_fraction")
    drawn = _drawn(asked, f" ±{on_diameter:g}")
    return Job(asked, "ream", drawn, _SEEN, rows, steps, _wanting(asked), _RECORD, limits)


def sleeved(asked: Asked, context: SheetContext) -> Job:
    """Bored straight, with a sleeve that carries the stud's cone."""
    taper = asked.size("taper") or 0.0
    stop, within, hole = asked.size("stand_off"), asked.size("stand_off_tolerance"), asked.size("hole")
    rows = (
        SizeRow("bore in the arm, straight through", mm(asked.size("large_old")), ask(hole), "mm"),
        SizeRow(
            "interference of the sleeve in it, limits of the bore, flange: its designer states them", "", Blank("mm")
        ),
        SizeRow(f"cone inside the sleeve, that of {asked.word('stud')}", "", _taper(taper)),
        SizeRow(
            "its diameters, at the upper and at the lower face",
            "",
            f"{mm(asked.size('large_new'))} and {mm(asked.size('small_new'))}",
            "mm",
        ),
        SizeRow("stud proud of the upper face at the stop", "", ask(stop, f" ± {within:.2f}" if within else ""), "mm"),
        SizeRow("wall of the sleeve at its thinnest", "", f"{mm(asked.size('sleeve_wall'))} or more"),
        _walls(asked, context),
        _contact(context),
    )
    steps = (
        _GAUGE,
        "Turn the sleeve, its cone tight, flanged on the loaded side. Bore the arm to it less the interference.",
        f"Finish the cone in place; stop with the stud {mm(stop)} proud, within {mm(within)}. Blue it, record.",
        _AFTER,
    )
    limits = _limits(context, "sleeve_wall", "ream_tolerance", "wall_ratio", "contact_fraction")
    return Job(asked, "sleeve", _drawn(asked, ""), _SEEN, rows, steps, _wanting(asked), _SLEEVE_RECORD, limits)


def bored(asked: Asked, context: SheetContext) -> Job:
    """Bored straight for a bolt, with or without a sleeve, or for a sleeve that the kit names."""
    bolt, sleeve = asked.size("bolt"), asked.word("sleeve")
    rows = [SizeRow("bore in the arm, straight through", mm(asked.size("large_old")), ask(asked.size("hole")), "mm")]
    if bolt is not None:
        through = "bolt that passes it" if asked.work.operation == "bore straight" else "bolt in the sleeve"
        rows.append(SizeRow(through, "", mm(bolt)))
    if sleeve:
        rows.append(SizeRow(f"interference of {sleeve} in it", "", Blank("mm")))
    rows += [SizeRow("thickness of the eye", mm(asked.size("thick"), "across the eye's faces"), "as it is")]
    if bolt is not None:
        walls = _wall(asked, ("wall_large", "wall_small"), context)
        rows.append(SizeRow("wall left, at the large and at the small face", "", walls, "mm"))
    steps = (
        "Set the arm up square to the axis of the eye, not to its faces; bore from the large face.",
        "Measure the bore at both faces and twice round, and record it before anything is pressed or bolted.",
        "Break the edges lightly; leave no scratch along the arm.",
    )
    wanting = [] if sleeve == "" else [f"interference that the drawing of {sleeve} asks"]
    if asked.size("thick") is None:
        wanting.append("thickness of the eye, without which nothing is drawn to scale")
    says = "bore" if asked.work.operation != "bore and sleeve" else "sleeve"
    return Job(
        asked,
        says,
        _bore_drawn(asked),
        "Section; bored from above.",
        tuple(rows),
        steps,
        (*wanting, *_bosses(asked)),
        _SLEEVE_RECORD if says == "sleeve" else _RECORD,
        _limits(context, "wall_ratio"),
    )


_SEEN = "Section, entered at the upper face, the datum. Dashed: as it is now, and the stud."
_RECORD = (
    "bore or reamer, tool number",
    "gauge; surface finish",
    "contact: share and where",
    "crack test; material evidence",
)
_SLEEVE_RECORD = (
    "tool and gauge numbers",
    "contact where; crack test by",
    "sleeve: material, heat number",
    "sleeve: hardness, serial",
)


def _taper(ratio: float) -> str:
    included = 2 * math.degrees(math.atan(ratio / 2))
    return f"{show_taper(ratio)}, {included:.3f} deg included"


def _wall(asked: Asked, names: tuple[str, str], context: SheetContext) -> str:
    lefts = [asked.size(name) for name in names]
    told = " and ".join("not known" if left is None else f"{left:.2f} mm" for left in lefts)
    hole = asked.size("hole")
    return told if hole is None else f"{told}; asked {context.kit.limits['wall_ratio'].value * hole:.2f}"


def _walls(asked: Asked, context: SheetContext) -> SizeRow:
    told = _wall(asked, ("wall_entry", "wall_exit"), context)
    return SizeRow("wall left, at the upper and at the lower face", "", told, "mm")


def _contact(context: SheetContext) -> SizeRow:
    least = context.kit.limits["contact_fraction"].value
    return SizeRow("contact by blueing, share of the seat", "", f"{100 * least:.0f} % or more", "%")


def _limits(context: SheetContext, *names: str) -> tuple[str, ...]:
    return tuple(rests_on(context.kit.limits[name]) for name in names)


def _pair(asked: Asked, first: str, second: str) -> tuple[float, float] | None:
    one, other = asked.size(first), asked.size(second)
    return None if one is None or other is None else (one, other)


def _drawn(asked: Asked, tolerance: str) -> tuple[ScaleDrawing, ...]:
    cone, thick = _pair(asked, "large_new", "small_new"), asked.size("thick")
    if cone is None or thick is None:
        return ()
    hole, is_sleeve = asked.size("hole"), asked.work.operation == "taper sleeve"
    stud = [asked.size(name) for name in ("stud_large", "stud_length", "stand_off")]
    known = [size for size in stud if size is not None]
    eye = Eye(
        thick,
        (hole, hole) if is_sleeve and hole is not None else cone,
        _pair(asked, "large_old", "small_old"),
        _pair(asked, "boss_entry", "boss_exit"),
        cone if is_sleeve else None,
        (known[0], known[1], known[2]) if len(known) == 3 else None,
    )
    return _as_drawn(asked, eye, tolerance)


def _bore_drawn(asked: Asked) -> tuple[ScaleDrawing, ...]:
    hole, thick, bolt = asked.size("hole"), asked.size("thick"), asked.size("bolt")
    if hole is None or thick is None:
        return ()
    sleeve = (bolt, bolt) if bolt is not None and asked.work.operation == "bore and sleeve" else None
    eye = Eye(thick, (hole, hole), None, _pair(asked, "boss_large", "boss_small"), sleeve)
    return _as_drawn(asked, eye, "")


def _as_drawn(asked: Asked, eye: Eye, tolerance: str) -> tuple[ScaleDrawing, ...]:
    made = eye_drawing(asked.stem, f"{asked.work.part}, {asked.work.operation}", eye, tolerance)
    return () if made is None else (made,)


def _wanting(asked: Asked) -> tuple[str, ...]:
    ends = (("boss_entry", "upper"), ("boss_exit", "lower"))
    return tuple(
        f"outside of the eye at its {face} face: without it no wall is known, and nothing is cut"
        for name, face in ends
        if asked.size(name) is None
    )


def _bosses(asked: Asked) -> tuple[str, ...]:
    return tuple(
        f"outside of the eye at its {face} face: without it no wall is known, and nothing is cut"
        for face in ("large", "small")
        if not isinstance(asked.work.sizes.get(f"boss_{face}"), Figure)
    )
