"""Where a kit file says that the rack sits."""

from __future__ import annotations

from fitment.kits.kit import Point, RackSeat
from fitment.kits.rack_turned import TURNS
from fitment.kits.table_reader import TableReader, quantity_at
from fitment.kits.toml_places import Path
from fitment.quantity.parse import Quantity

#: keys of ``[rack]`` that say where it sits
SEAT_KEYS = ("sits", "position", "box", "turned", "tilt", "skew", "bar_offset")

_AXES = ("x", "y", "z")
#: deg by which a bar may lie askew, and mm by which it may stand off the middle: beyond that something was mistyped
_MOST = {"tilt": 15.0, "skew": 15.0, "bar_offset": 100.0}
#: mm from the car's datum beyond which no rack lies (own choice)
_FARTHEST = 5000.0
_BOX = 'box = {x = ["-20 mm", "20 mm"], y = ["0 mm", "30 mm"], z = ["-10 mm", "10 mm"]}'


def read_seat(rack: TableReader) -> RackSeat:
    """The seat in ``[rack]``; faults are noted in the reader."""
    sits = rack.text("sits", ("by mounting", "free"))
    for key, wanted in (("position", ""), ("box", "free")):
        if key in rack.data and "sits" in rack.data and sits != wanted:
            rack.fault(
                f'{key} does not go with sits = "{rack.data["sits"]}"',
                (key,),
                mending=(
                    "take sits out: the position says where it sits"
                    if key == "position"
                    else 'a box goes with sits = "free"'
                ),
                code="kit-file-13",
            )
    if sits == "free" and "box" not in rack.data:
        rack.fault(
            'sits = "free" has no box',
            ("sits",),
            mending=f"add {_BOX}",
            code="kit-file-13",
        )
    if "box" in rack.data and "sits" not in rack.data:
        rack.fault("box without sits", ("box",), mending='a box goes with sits = "free"', code="kit-file-13")
    position, box, turned = _position(rack), _box(rack), rack.text("turned", TURNS)
    tilt, skew, offset = (_number(rack, key) for key in _MOST)
    if position:
        return RackSeat("position", position, turned=turned, tilt=tilt, skew=skew, bar_offset=offset)
    return RackSeat("free" if box else "by mounting", box=box, turned=turned, bar_offset=offset)


def _number(rack: TableReader, key: str) -> float:
    """An angle of the bar or its offset; 0 where the file does not say."""
    kind = "length" if key == "bar_offset" else "angle"
    if kind == "angle" and key in rack.data and "position" not in rack.data:
        rack.fault(f"{key} without position", (key,), mending="it goes with position = {...}", code="kit-file-13")
    text = rack.text(key)
    quantity = quantity_at(rack, (key,), text, kind) if text else None
    if quantity is None:
        return 0.0
    if abs(quantity.value) > _MOST[key]:
        most = f"{_MOST[key]:g} {'mm' if kind == 'length' else 'deg'}"
        rack.fault(f"{key} is {text}", (key,), value=True, mending=f"write up to {most} either way", code="kit-file-14")
    return quantity.value


def _position(rack: TableReader) -> Point | None:
    if "position" not in rack.data:
        return None
    table = rack.inline("position", 'write position = {x = "0 mm", y = "12 mm", z = "-30 mm"}')
    if not table:
        return None
    table.only(_AXES)
    table.required(_AXES)
    read = [_coordinate(table, (axis,), text) for axis in _AXES if (text := table.text(axis))]
    values = [quantity.value for quantity in read if quantity]
    return (values[0], values[1], values[2]) if len(values) == len(_AXES) else None


def _coordinate(table: TableReader, path: Path, text: str) -> Quantity | None:
    return quantity_at(table, path, text, "length", (-_FARTHEST, _FARTHEST))


def _box(rack: TableReader) -> tuple[Point, Point] | None:
    if "box" not in rack.data:
        return None
    table = rack.inline("box", f"write {_BOX}")
    if not table:
        return None
    table.only(_AXES)
    table.required(_AXES)
    edges: list[tuple[float, float]] = []
    for axis in _AXES:
        if not (texts := table.pair(axis)):
            continue
        read = [_coordinate(table, (axis, index), text) for index, text in enumerate(texts)]
        values = [quantity.value for quantity in read if quantity]
        if len(values) == 2 and values[0] > values[1]:
            table.fault(
                f"{axis} runs from {texts[0]} down to {texts[1]}",
                (axis,),
                value=True,
                mending="write the lower end first",
                code="kit-file-14",
            )
        elif len(values) == 2:
            edges.append((values[0], values[1]))
    if len(edges) < len(_AXES):
        return None
    (x, y, z) = edges
    return (x[0], y[0], z[0]), (x[1], y[1], z[1])
