"""Many poses worked out some thousands at a time, so that what one step leaves is still in the cache for the next."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass, replace
from typing import TYPE_CHECKING, Any

from fitment.geometry.hold import HeldToe, Rod, known
from fitment.geometry.operations import leaves, mapped
from fitment.geometry.suspension import Corner

if TYPE_CHECKING:
    from fitment.elementwise import Values
    from fitment.geometry.upright import WheelPose

#: poses in one block: enough to pay for the calls, few enough that a block's arrays stay near the core (measured)
BLOCK = 16_384


def in_blocks(
    work: Callable[[Any, Any, Any], WheelPose], corner: Corner, hold: Rod | HeldToe, values: Values
) -> WheelPose:
    """The poses of `work(corner, hold, values)`, all of these broadcast, in blocks where they are many."""
    import numpy as np

    arrays = [values, *leaves(hold)] if known(corner).plain else [values, *leaves(hold), *leaves(corner)]
    shape = np.broadcast_shapes(*{np.shape(one) for one in arrays})
    if math.prod(shape) <= BLOCK:
        return work(corner, hold, values)
    whole: Any = None
    for place in _places(shape):
        part = work(*(_part(one, place) for one in (corner, hold, values)))
        whole = _filled(whole, replace(part, corner=corner, hold=hold), place, shape)
    found: WheelPose = whole
    return found


def _places(shape: tuple[int, ...]) -> Iterator[tuple[slice, ...]]:
    """Slices, one for each axis, that cover an array of this shape in blocks."""
    size = math.prod(shape)
    if size <= BLOCK:
        yield (slice(None),) * len(shape)
        return
    step = max(1, BLOCK * shape[0] // size)
    for start in range(0, shape[0], step):
        for rest in _places(shape[1:]) if step == 1 else [(slice(None),) * (len(shape) - 1)]:
            yield (slice(start, start + step), *rest)


def _part(thing: Any, place: tuple[slice, ...]) -> Any:
    """A value with what lies at a place alone of every array in it; itself where that is all of it."""

    def cut(value: Any) -> Any:
        shape = getattr(value, "shape", ())
        if not shape:
            return value
        own = tuple(slice(None) if size == 1 else one for size, one in zip(shape, place[-len(shape) :], strict=True))
        return value if all(one == slice(None) for one in own) else value[own]

    return thing if all(cut(one) is one for one in leaves(thing)) else mapped(cut, thing)


def _filled(whole: Any, part: Any, place: tuple[slice, ...], shape: tuple[int, ...]) -> Any:
    """What is whole so far (None before the first part) with a part written in its place."""
    import numpy as np

    if isinstance(part, tuple):
        return tuple(_filled(whole and whole[index], one, place, shape) for index, one in enumerate(part))
    if is_dataclass(part) and not isinstance(part, type | Corner | Rod | HeldToe):
        names = [field.name for field in fields(part)]
        return replace(
            part, **{name: _filled(whole and getattr(whole, name), getattr(part, name), place, shape) for name in names}
        )
    if not isinstance(part, np.ndarray):
        return part
    if whole is None:
        whole = np.empty(shape, part.dtype)
    whole[place] = part
    return whole
