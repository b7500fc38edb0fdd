"""The parts list: every part with its donors, and what is bought with it; mass and price with totals; also as CSV."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable

from fitment.catalogue.found import Carrier
from fitment.catalogue.sheet_text import inert
from fitment.joints.registration import Feature
from fitment.kits.assembly import NamedPart
from fitment.quantity.show import show_quantity
from fitment.sheets.blocks import Blank, Block, Cell, Heading, Pairs, Sheet, Table, Words
from fitment.sheets.context import SheetContext
from fitment.sheets.fastening import one_time
from fitment.sheets.showing import value_of

#: by the dimension that tells what an end is: what is said of it
_WORDS = {
    "thread": ("thread", "hand", "sex", "taper", "large"),
    "taper": ("taper", "large"),
    "spline": ("spline", "form", "sex", "bolt"),
    "bolt": ("bolt",),
}
_LEADING = tuple(_WORDS)

#: kinds of part of which a steering that came with a car is made
_LIKE = ("rack", "inner-joint", "tie-rod", "rod-end")

_COLUMNS = (
    *("line", "role", "side", "quantity", "part", "of part", "kind", "description", "maker", "number"),
    *("donor", "donor title", "donor years", "donor position", "condition", "mass kg", "price", "ends"),
)


def sheet(context: SheetContext) -> Sheet | None:
    """The document; None where the kit names no part."""
    if not context.report.parts:
        return None
    bought = one_time(context)
    blocks: list[Block] = [
        Heading("Parts"),
        _what(context),
        Heading("Ends: threads, tapers, splines"),
        _ends(context),
        Heading("Bought for it"),
        _bought(context),
        Heading("Used once: have new ones"),
        Table(
            "One-time parts",
            ("what", "where", "how many", "got"),
            tuple((*row, Blank()) for row in bought),
            (0, 60, 22, 18),
        )
        if bought
        else Words("None is recorded; split pins, tab washers and prevailing-torque nuts are new every time."),
        Heading("Mass and cost"),
        *_totals(context),
    ]
    lead = "For the customer and the storeroom. Boxes are for a pencil: what the catalogue does not hold is left empty."
    return Sheet(tuple(blocks), {"parts-list.csv": _csv(context)}, lead)


def _what(context: SheetContext) -> Table:
    rows = []
    for line, part in enumerate(context.report.parts, 1):
        origin = context.origin(part.name)
        what = ", ".join(filter(None, (part.title, f"{origin.maker} {origin.number}".strip())))
        rows.append(
            (
                str(line),
                part.role,
                f"{part.name} ({part.kind.replace('-', ' ')})",
                what,
                _donors(origin.carriers),
                "1",
                condition(context, part),
            )
        )
    headings = (
        "line",
        "role and side",
        "part",
        "description, maker, number",
        "donor vehicles, years, position",
        "no.",
        "state",
    )
    return Table("Parts of the kit", headings, tuple(rows), (9, 28, 30, 0, 46, 8, 22))


def condition(context: SheetContext, part: NamedPart) -> str:
    """New, used or worn, as recorded: of the piece, else of the readings' words; never a guess."""
    said = context.origin(part.name).latest("condition")
    if said:
        return said
    return value_of(context, part.address, "body", "condition") or "not recorded: new / used"


def _donors(carriers: Iterable[Carrier]) -> str:
    """The vehicles, each once with the places it was fitted in there."""
    places: dict[str, list[str]] = {}
    for one in carriers:
        vehicle = f"{one.vehicle} {one.title}{f' {one.years}' if one.years else ', years not recorded'}"
        places.setdefault(vehicle, []).extend([one.position] if one.position else [])
    return "; ".join(", ".join([vehicle, *at]) for vehicle, at in places.items()) or "not recorded"


def ends_of(context: SheetContext, part: NamedPart) -> list[str]:
    """The thread, taper or spline of each end of a part."""
    found = context.assembly.found.get(part.address)
    if found is None:
        return []
    told = []
    for name, feature in found.features.items():
        leading = next((one for one in _LEADING if feature.get(one) is not None), None)
        words = [_end_word(context, feature, one) for one in _WORDS[leading]] if leading else []
        if any(words):
            told.append(f"{name}: {', '.join(filter(None, words))}")
    return told


def _end_word(context: SheetContext, feature: Feature, dimension: str) -> str:
    use = feature.get(dimension)
    if use is None:
        return ""
    shown = context.shown(use.shown or str(use.value))
    title = {"spline": "teeth", "taper": "taper", "large": "large end", "bolt": "bolt"}.get(dimension, "")
    return f"{shown} {title}" if dimension == "spline" else f"{title} {shown}".strip()


def _ends(context: SheetContext) -> Table:
    rows = [
        (str(line), f"{part.role} {part.name}", "; ".join(ends_of(context, part)) or "none recorded")
        for line, part in enumerate(context.report.parts, 1)
    ]
    return Table(
        "Ends of each part, as adopted from the readings",
        ("line", "part", "thread, taper, spline"),
        tuple(rows),
        (9, 60, 0),
    )


def _bought(context: SheetContext) -> Table:
    rows = []
    for line, part in enumerate(context.report.parts, 1):
        price = context.origin(part.name).latest("price")
        cells: tuple[Cell, ...] = (Blank(), Blank(), Blank(), price or Blank())
        rows.append((str(line), f"{part.role} {part.name}", *cells))
    headings = ("line", "part", "supplier and receipt", "lot or serial", "replace at (km or date)", "price")
    return Table(
        "Supply; a price is as stated last, without its currency", headings, tuple(rows), (9, 48, 0, 28, 28, 20)
    )


def _totals(context: SheetContext) -> tuple[Block, ...]:
    came = context.comparison.original.told
    off = came.results.get("mass")
    on = _masses(context, _LIKE)
    rows: list[tuple[str, Cell]] = [
        ("all parts of this kit", _mass(context, *_masses(context, None))),
        ("rack, inner joints, tie rods and rod ends", _mass(context, *on)),
        ("the same, of what comes off", _mass(context, off.value if off else None, "mass" in came.gaps)),
    ]
    if off and on[0] is not None and not on[1] and "mass" not in came.gaps:
        change = on[0] - off.value
        rows.append(("change", f"{'+' if change >= 0 else ''}{show_quantity(change, 'mass', context.system)}"))
    prices = [context.origin(part.name).latest("price") for part in context.report.parts]
    known = [float(price) for price in prices if re.fullmatch(r"\d+(\.\d+)?", price)]
    partly = "; parts without one are left out" if len(known) < len(prices) else ""
    rows.append(("price of the parts", f"{sum(known):g}, no currency is recorded{partly}" if known else Blank()))
    rows += [(name, Blank()) for name in ("machining: hours, cost", "certificate, alignment, test", "total")]
    return (Pairs("Mass and cost; what is not recorded is left to a pencil", tuple(rows)),)


def _masses(context: SheetContext, kinds: tuple[str, ...] | None) -> tuple[float | None, bool]:
    """Mass of the kit's parts of these kinds, kg, and whether some have none on record; None where all have none."""
    bodies = [
        part.features["body"].get("mass")
        for part in context.assembly.found.values()
        if (kinds is None or part.kind in kinds) and "body" in part.features
    ]
    known = [use.number for use in bodies if use is not None]
    return (sum(known) if known else None), len(known) < len(bodies)


def _mass(context: SheetContext, value: float | None, partly: bool) -> Cell:
    if value is None:
        return context.blank("kg")
    more = "; parts without a recorded mass are left out" if partly else ""
    return f"{show_quantity(value, 'mass', context.system)}{more}"


def _csv(context: SheetContext) -> bytes:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(_COLUMNS)
    for line, part in enumerate(context.report.parts, 1):
        origin = context.origin(part.name)
        carriers = origin.carriers or (Carrier("", "", "", ""),)
        found = context.assembly.found.get(part.address)
        use = found.features["body"].get("mass") if found is not None and "body" in found.features else None
        side = part.address.partition(".")[0]
        row = (
            *(line, part.role, side if side in ("left", "right") else "", 1, part.name, origin.part, part.kind),
            *(part.title, origin.maker, origin.number),
            *("; ".join(getattr(one, name) for one in carriers) for name in ("vehicle", "title", "years", "position")),
            *(condition(context, part), "" if use is None else use.value, origin.latest("price")),
            "; ".join(ends_of(context, part)),
        )
        writer.writerow([inert(str(cell)) for cell in row])
    return out.getvalue().encode()
