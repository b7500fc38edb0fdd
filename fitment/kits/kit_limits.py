"""The limits in force in a kit: the defaults, and what the kit states in their place."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from fitment.joints.limits import default_limits, limit_range
from fitment.joints.registration import Limit
from fitment.kits.table_reader import TableReader, quantity_at
from fitment.quantity.units import KINDS, canonical_unit

#: kind of value by the unit that limits of it are held in
_KINDS = {canonical_unit(kind).symbol: kind for kind in KINDS if kind not in ("taper", "count")}


def limits_in_force(stated: TableReader, defaults: Mapping[str, Limit] | None) -> dict[str, Limit]:
    """Every limit by name, those that the kit states marked overridden; faults are noted in the reader.

    Args:
        stated: the ``[limits]`` of the kit file.
        defaults: the limits where it states none; None for those of the joints.
    """
    limits = dict(default_limits() if defaults is None else defaults)
    known = tuple(limits)
    for name in stated.data:
        if name not in known:
            stated.fault(f'there is no limit "{name}"', (name,), near=(name, known), code="kit-file-15")
        elif (value := _value(stated, name, limits[name].unit)) is not None:
            limits[name] = replace(limits[name], value=value, source="the kit file", overridden=True)
    return limits


def _value(stated: TableReader, name: str, unit: str) -> float | None:
    entered = stated.data[name]
    if isinstance(entered, int | float) and not isinstance(entered, bool) and entered == entered:
        return _within(stated, name, unit, entered)
    kind = _KINDS.get(unit)
    if kind and isinstance(entered, str):
        quantity = quantity_at(stated, (name,), entered, kind)
        return _within(stated, name, unit, quantity.value) if quantity else None
    number = f"write a number in {unit}" if unit else "write a plain number"
    stated.fault(
        f"{name} is not a number",
        (name,),
        value=True,
        mending=f"{number}, or a text with its unit" if kind and unit else number,
        code="kit-file-06",
    )
    return None


def _within(stated: TableReader, name: str, unit: str, value: int | float) -> float | None:
    """The value where the tool accepts it; None where it does not, which is noted."""
    low, high = limit_range(name)
    # whole numbers of any length are compared as they are: not all of them can be held as a float
    if low <= value <= high:
        return float(value)
    behind = f" {unit}" if unit else ""
    stated.fault(
        f"limit {name} = {_shown(value)} is outside what this tool accepts ({low:g} to {high:g}{behind})",
        (name,),
        value=True,
        mending=f"write a value from {low:g} to {high:g}{behind}",
        code="kit-file-22",
    )
    return None


def _shown(value: int | float) -> str:
    try:
        return f"{value:g}"
    except OverflowError:
        return f"{'-' if value < 0 else ''}(over 300 digits)"
