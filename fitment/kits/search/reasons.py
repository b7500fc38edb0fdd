"""What `why_none` answers: where a problem breaks off, and which changes would open a mix; numbers only."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from fitment.frozen import dataclass
from fitment.kits.search.model import Mix, Piece


@dataclass(frozen=True)
class Join:
    """Two keys taken to go together at an interface: a sleeve or adapter made, an eye reamed.

    Attributes:
        branch, layout, interface: where.
        inner: key before it.
        outer: key after it.
    """

    branch: str
    layout: str
    interface: str
    inner: int
    outer: int


@dataclass(frozen=True)
class Widened:
    """A rack's window for one branch taken wider.

    Attributes:
        branch: which.
        rack: index of the rack.
        by: in 0.1 mm; positive: longer than the window's most, negative: shorter than its least.
    """

    branch: str
    rack: int
    by: int


@dataclass(frozen=True)
class OneAdapterMore:
    """One adapter more than allowed."""


@dataclass(frozen=True)
class OneGapMore:
    """One unknown key more than allowed.

    Attributes:
        pieces: the pieces with gaps in the cheapest mix that it opens: what to measure.
    """

    pieces: tuple[Piece, ...] = ()


Change = Join | Widened | OneAdapterMore | OneGapMore


@dataclass(frozen=True)
class Opening:
    """What changes would open.

    Attributes:
        changes: what is changed: one, or the fewest that open a mix where no single one does.
        count: how many more mixes go then, by keys, windows and pair tests; the whole test is not asked.
        capped: whether counting stopped at `count`.
        cost: of the cheapest of them, the change itself not counted.
        example: the cheapest of them. Where it meets through a `Join`, its chain has there the index after the last of
            the interface's links.
    """

    changes: tuple[Change, ...]
    count: int
    capped: bool
    cost: int
    example: Mix


@dataclass(frozen=True)
class Bottleneck:
    """Where a branch breaks off.

    Attributes:
        branch, layout: which chain.
        interface: the farthest that any rack gets to; "" where it is not the keys that fail.
        arriving: keys that get there from a rack, with the number of candidates before it that offer them.
        accepted: keys that something after it takes, with the number of such candidates, whether or not the chain
            could be completed from there.
        completing: those of `accepted` from which the chain can be completed.
    """

    branch: str
    layout: str
    interface: str
    arriving: Mapping[int, int]
    accepted: Mapping[int, int]
    completing: frozenset[int]


@dataclass(frozen=True)
class WhyNone:
    """Why nothing was found, as data.

    Attributes:
        racks: how many racks there are.
        completing: by branch, how many of them can complete it by keys, within the adapters and gaps of the whole mix.
        in_window: by branch, how many of them can complete it by keys and length.
        bottlenecks: one per layout of every branch that no rack completes by keys.
        refused: how many pairs the pair test refused while looking for openings, by interface name.
        openings: what single change opens, cheapest first; if none does, the one smallest set of joins.
        left_out: how many single changes could open something by cost bound but were not counted through.
    """

    racks: int
    completing: Mapping[str, int]
    in_window: Mapping[str, int]
    bottlenecks: tuple[Bottleneck, ...]
    refused: Mapping[str, int] = field(default_factory=dict)
    openings: tuple[Opening, ...] = ()
    left_out: int = 0
