"""What poses need beyond arithmetic, chosen once for a whole pose: math's for numbers, numpy's for arrays.

A formula is written once and takes them as an argument. `fitment.elementwise` looks at its values in every call; over
the links of a pose that would cost more than the pose.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any, TypeVar

from fitment.frozen import dataclass

T = TypeVar("T")

_PLAIN = (float, int)


@dataclass(frozen=True, slots=True)
class Operations:
    """Square root (NaN below 0), tangent, 1/x (infinite at 0), sign (NaN at 0).

    `number` makes a plain number of one that numpy holds, with which arithmetic takes many times as long.
    `quiet` is the context in which numpy does not warn of what becomes NaN.
    """

    sqrt: Callable[[Any], Any]
    tan: Callable[[Any], Any]
    inverse: Callable[[Any], Any]
    sign: Callable[[Any], Any]
    number: Callable[[Any], Any]
    quiet: Callable[[], AbstractContextManager[Any]]


def _sqrt(value: float) -> float:
    return math.sqrt(value) if value >= 0 else math.nan


def _inverse(value: float) -> float:
    return 1 / value if value else math.inf


def _sign(value: float) -> float:
    return math.copysign(1.0, value) if value else math.nan


#: for floats alone
NUMBERS = Operations(_sqrt, math.tan, _inverse, _sign, float, nullcontext)


@cache
def for_arrays() -> Operations:
    """For arrays, and for whatever else is not a plain number."""
    import numpy as np

    def sign(value: Any) -> Any:
        return np.where(value == 0, np.nan, np.sign(value))[()]

    # until glibc has seen an array as large as this freed it hands a block's memory back to the kernel after every
    # block and asks for it anew, which takes twice as long as the poses (measured)
    np.empty(1 << 21)

    def quiet() -> AbstractContextManager[Any]:
        return np.errstate(invalid="ignore", divide="ignore")

    return Operations(np.sqrt, np.tan, lambda value: 1.0 / value, sign, lambda value: value, quiet)


def plain(*values: Any) -> bool:
    """Whether all are numbers, none an array."""
    return all(isinstance(value, _PLAIN) for value in values)


@cache
def _names(kind: type) -> tuple[str, ...]:
    """The names of a dataclass's fields; none for what is no dataclass."""
    return tuple(field.name for field in fields(kind)) if is_dataclass(kind) else ()


def leaves(thing: Any) -> list[Any]:
    """Every number and array in a value, in vectors, links, a corner or what else is made of dataclasses and tuples."""
    found: list[Any] = []
    waiting = [thing]
    while waiting:
        one = waiting.pop()
        kind = one.__class__
        if kind is tuple:
            waiting += reversed(one)
        elif names := _names(kind):
            waiting += [getattr(one, name) for name in reversed(names)]
        else:
            found.append(one)
    return found


def mapped(change: Callable[[Any], Any], thing: Any) -> Any:
    """The same with every number and array changed."""
    kind = thing.__class__
    if kind is tuple:
        return tuple([mapped(change, one) for one in thing])
    if names := _names(kind):
        return kind(*[mapped(change, getattr(thing, name)) for name in names])
    return change(thing)


def settled(thing: T) -> T:
    """The same with plain numbers for those that numpy holds, where no array is among them."""
    found: T = mapped(float, thing) if plain(*leaves(thing)) else thing
    return found


class Keeps:
    """Holds what is worked out of its fields, once: a frozen dataclass with slots has no other room for it."""

    __slots__ = ("_kept",)

    _kept: Any

    def kept(self, work: Callable[[Any], T]) -> T:
        """What `work` makes of this, the same object in every call; one kind of object is asked for one work alone."""
        try:
            found: T = self._kept
        except AttributeError:
            found = work(self)
            object.__setattr__(self, "_kept", found)
        return found
