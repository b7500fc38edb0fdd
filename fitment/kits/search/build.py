"""Makes the arrays of a problem out of what the caller has, and refuses what can not be meant."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from fitment.kits.search.model import NO_KEY, UNKNOWN, Links, Racks, Station

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Whole = npt.NDArray[np.int64]
    Given = Sequence[int] | int | Whole


def station(
    name: str,
    cost: Sequence[int] | Whole,
    inner: Given,
    outer: Given,
    length: Given = 0,
    give: Given = 0,
    level: Given = 0,
) -> Station:
    """A station; what is one number holds for every candidate.

    Raises:
        ValueError: unlike shapes, a negative cost, length, give or level, or a key below `NO_KEY`.
    """
    n = len(cost)
    keys = [_keys(f"{name} {what}", given, n) for what, given in (("inner", inner), ("outer", outer))]
    rest = (("length", length), ("give", give), ("level", level))
    return Station(name, _sizes(f"{name} cost", cost, n), *keys, *(_sizes(f"{name} {what}", x, n) for what, x in rest))


def links(
    name: str,
    cost: Sequence[int] | Whole,
    inner: Given,
    outer: Given,
    length: Given = 0,
    level: Given = 0,
    adapters: Given = 1,
) -> Links:
    """A link table; what is one number holds for every link.

    Raises:
        ValueError: as `station`, and for a link with an `UNKNOWN` key.
    """
    n = len(cost)
    keys = [_keys(f"{name} {what}", given, n) for what, given in (("inner", inner), ("outer", outer))]
    if any((key == UNKNOWN).any() for key in keys):
        raise ValueError(f"{name}: a link with an unknown key links nothing")
    rest = (("length", length), ("level", level), ("adapters", adapters))
    return Links(
        name, keys[0], keys[1], _sizes(f"{name} cost", cost, n), *(_sizes(f"{name} {what}", x, n) for what, x in rest)
    )


def racks(
    cost: Sequence[int] | Whole,
    keys: Mapping[str, Given],
    windows: Mapping[str, Sequence[tuple[int, int]] | Whole] | None = None,
    level: Given = 0,
) -> Racks:
    """The racks; what is one number holds for every rack.

    Raises:
        ValueError: as `station`.
    """
    import numpy as np

    n = len(cost)
    made = {
        branch: np.asarray(given, dtype=np.int64).reshape(n, 2) for branch, given in (windows or {}).items()
    }  # a window may be below 0 or the wrong way round: then nothing stands in it
    by_branch = {branch: _keys(f"rack {branch}", given, n) for branch, given in keys.items()}
    return Racks(_sizes("rack cost", cost, n), _sizes("rack level", level, n), by_branch, made)


def _whole(what: str, given: Given, n: int) -> Whole:
    import numpy as np

    array = np.asarray(given)
    if array.size and array.dtype.kind not in "iu":
        raise ValueError(f"{what}: whole numbers are asked for, not {array.dtype}")
    if array.shape not in ((), (n,)):
        raise ValueError(f"{what}: {array.shape} values for {n} candidates")
    return np.ascontiguousarray(np.broadcast_to(array, (n,)), dtype=np.int64)


def _sizes(what: str, given: Given, n: int) -> Whole:
    array = _whole(what, given, n)
    if (array < 0).any():
        raise ValueError(f"{what}: below 0")
    return array


def _keys(what: str, given: Given, n: int) -> Whole:
    array = _whole(what, given, n)
    if (array < NO_KEY).any():
        raise ValueError(f"{what}: no such key, keys are whole numbers from 0")
    return array
