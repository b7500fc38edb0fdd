"""The alignment sheet: what to set, by how many turns, how to put up the strings, and computed against measured."""

from __future__ import annotations

from collections.abc import Iterable

from fitment.geometry import alignment
from fitment.kits.roles import SIDES
from fitment.kits.steering_results import Curve
from fitment.quantity.parse import parse_quantity
from fitment.sheets.alignment_steps import strings, thrust, turns, wheel
from fitment.sheets.blocks import Blank, Block, Boxes, Cell, Heading, Sheet, Table, Words
from fitment.sheets.context import SheetContext
from fitment.sheets.curve_rows import ackermann_rows, toe_rows
from fitment.sheets.showing import of_target, result_text, results

#: distances over which a rim is read, mm: 13 in nominal, its flange edge, 15 in nominal
_BASES = (330.2, 364.0, 381.0)
_MM = 25.4


def sheet(context: SheetContext) -> Sheet | None:
    """The document."""
    blocks = (
        *_before(context),
        *_angles(context),
        *_toe(context),
        *strings(context),
        *turns(context),
        *thrust(context),
        *wheel(context),
        *_curves(context),
    )
    last = (
        Heading("Signed"),
        Words("Jam nuts tightened last, rods not twisted, boots not twisted: seen.", strong=True),
        Boxes(
            (
                "alignment bay",
                "name",
                "date",
                "jam nuts tight and marked: left",
                "jam nuts tight and marked: right",
                "before and after print attached",
            )
        ),
    )
    lead = (
        "For the alignment bay. Rack centred and steering wheel straight before anything is read. Toe is + where toed "
        "in."
    )
    return Sheet(blocks, lead=lead, last=last)


def _before(context: SheetContext) -> tuple[Block, ...]:
    wheels = ("left front", "right front", "left rear", "right rear")
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (name, *(context.blank(unit) for _ in wheels))
        for name, unit in (
            ("ride height", "mm"),
            ("tyre pressure", "bar"),
            ("run-out of the rim", "mm"),
            ("wheel bearing play", ""),
        )
    )
    return (
        Heading("Before reading"),
        Boxes(
            (
                "instruments and their u",
                "level floor: checked how",
                "load in the car, fuel",
                "rack centred: half the turns",
                "steering wheel straight and clamped",
                "car rolled back and forth after jacking",
            )
        ),
        Table("The car as it stands", ("what", *wheels), rows),
    )


def _angles(context: SheetContext) -> tuple[Block, ...]:
    _, after = results(context)
    rows: list[tuple[Cell, ...]] = []
    for name in ("camber", "castor", "inclination"):
        for side in SIDES:
            survey = of_target(context, f"corner.{side}", name)
            new = result_text(context, f"{name}-{side}", after.get(f"{name}-{side}"))
            title = "steering-axis inclination" if name == "inclination" else name
            rows.append((f"{title}, {side}", survey or "not recorded", new or "not known", Blank("deg"), Blank("deg")))
    note = (
        "This kit changes none of these where the knuckles stay; they are read because toe means nothing without them."
    )
    headings = ("angle", "as surveyed", "of the model", "before", "after")
    return (
        Heading("Camber, castor, inclination"),
        Table("Angles of each front wheel", headings, tuple(rows), (0, 30, 34, 26, 26)),
        Words(note),
    )


def wanted_toe(context: SheetContext) -> tuple[float | None, str]:
    """Toe of one wheel to set, deg, and on whose word; None where nobody has said."""
    if "toe" in context.kit.wanted:
        return float(parse_quantity(context.kit.wanted["toe"], "angle", "deg").value), "as the kit wants it"
    body = context.assembly.target.features.get("body")
    use = body.get("toe-total") if body is not None else None
    if use is None or isinstance(use.value, str):
        return None, "nobody has said: the car's manual"
    return use.value / 2, f"half the total that {context.assembly.target.name} was recorded with; see its manual"


def _toe(context: SheetContext) -> tuple[Block, ...]:
    toe, why = wanted_toe(context)
    rows: list[tuple[Cell, ...]] = []
    for title, times in (("left", 1), ("right", 1), ("total", 2)):
        set_to: Cell = Blank("deg") if toe is None else f"{times * toe:.2f} deg"
        rows.append((title, set_to, Blank("deg"), Blank("mm"), Blank("in"), Blank("deg"), Blank("mm"), Blank("in")))
    lengths = tuple(length_row(toe, base) for base in _bases(context)) if toe is not None else ()
    blocks: list[Block] = [
        Heading("Toe"),
        Words(f"To be set, each wheel: {'____ deg' if toe is None else f'{toe:.2f} deg'} ({why})."),
        Table(
            "Toe, before and after",
            ("wheel", "to set", "before, deg", "mm", "in", "after, deg", "mm", "in"),
            tuple(rows),
            (18, 20, 0, 0, 0, 0, 0, 0),
        ),
        Boxes(
            (
                "distance between the points at which a rim is read: flange edge to flange edge, not its nominal size",
                "read at ride height, wheels straight ahead",
            )
        ),
        Words(
            "Length = distance times sin(angle), of one wheel; both add up to the total. A figure in mm or inch "
            "without the distance it was read over is no figure. Between the rims, or outwards from inside: toe-in = "
            "rear - front. "
            "From a string outside: toe-in = front - rear."
        ),
    ]
    if lengths:
        headings = ("read over", "one wheel, mm", "one wheel, in", "total, mm", "total, in")
        blocks.append(Table(f"{toe:.2f} deg of toe of one wheel as a length", headings, lengths))
    return tuple(blocks)


def _bases(context: SheetContext) -> Iterable[float]:
    body = context.assembly.target.features.get("body")
    use = body.get("toe-base") if body is not None else None
    own = (use.number,) if use is not None and not isinstance(use.value, str) else ()
    return dict.fromkeys((*own, *_BASES))


def length_row(toe: float, base: float) -> tuple[Cell, ...]:
    """Toe of one wheel, deg, as lengths over a base, mm: of one wheel and of both, in mm and inch."""
    one = float(alignment.toe_length(toe, base))
    return (_both(base), f"{one:.2f} mm", f"{one / _MM:.3f} in", f"{2 * one:.2f} mm", f"{2 * one / _MM:.3f} in")


def _both(length: float) -> str:
    return f"{length:.1f} mm ({length / _MM:.2f} in)"


def _curves(context: SheetContext) -> tuple[Block, ...]:
    curves: dict[str, Curve] = {}
    if context.comparison.proposals:
        curves = dict(context.comparison.proposals[0].told.curves)
    toe = Table(
        "Change of toe over bump and rebound, + toe-in; computed with its band, beside what the car shows",
        ("wheel travel, + bump", "left, computed", "left, measured", "right, computed", "right, measured"),
        toe_rows(curves.get("toe-left"), curves.get("toe-right"), context.system),
        (30, 0, 30, 0, 30),
    )
    ackermann = Table(
        "Angles over the lock, + to the left; and the outer wheel's angle less the ideal",
        (
            "turns of the steering wheel",
            "left, computed",
            "left, measured",
            "right, computed",
            "right, measured",
            "outer less ideal",
        ),
        ackermann_rows(curves),
        (28, 0, 25, 0, 25, 34),
    )
    note = (
        "Springs out, wheel moved by a jack at hub height, gauge plate against two dial gauges or a laser. A "
        "difference beyond the band: measure the points again before the car is driven."
    )
    return (Heading("Toe over bump"), toe, Words(note), Heading("Ackermann"), ackermann)
