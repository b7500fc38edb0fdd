"""What a search is asked and what it answers: numbers only.

A mix is a rack and, for every branch that hangs from it (rods, column, boots, mounts), one layout of that branch with
one piece at each of its stations. A layout is a chain: rack, interface 0, station 0, interface 1, station 1, ..., last
interface, end. At an interface the outer key of the piece before meets the inner key of the piece after it: they go
together where both are equal, where either is `UNKNOWN` (a gap, counted with the piece that has it) or `NO_KEY`
(nothing to compare), or through one of the interface's `Links`.

Costs are whole numbers, so that ties are ties: the caller chooses the step (say 0.01 of its ledger's unit). Lengths are
whole numbers of 0.1 mm. Levels are whole numbers, 0 the best; what can not be at all has no level. Mixes are ordered by
level, then cost, then `Mix.order`: by place in the arrays, so the caller's order of parts breaks ties.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field
from typing import TYPE_CHECKING, NamedTuple

from fitment.frozen import dataclass

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Whole = npt.NDArray[np.int64]

#: the dimension that gives the key has no value: goes with any key and counts as one gap of the mix
UNKNOWN = -1
#: there is nothing to compare at this end: goes with any key and counts as nothing
NO_KEY = -2
#: the pieces before and after meet directly, not through a link
DIRECT = -1
#: the place of the rack in a `Piece`
RACK = "rack"
#: the place of what is yet to be made in a `Piece`: no pair test is asked about it
TO_MAKE = "to make"


class Piece(NamedTuple):
    """One thing in a mix.

    Attributes:
        place: `RACK`, the name of a `Station`, of `Links` (an adapter), or of a layout's end.
        at: its index in that one's arrays; 0 for an end.
    """

    place: str
    at: int


@dataclass(frozen=True, eq=False)
class Station:
    """What may stand at one place of a chain; `station` makes one and checks it.

    Attributes:
        name: unlike any other station's, link table's or end's of the problem.
        cost: what each candidate adds to the mix, at least 0; shape (n,), as are all below. In a branch that stands for
            both sides of the car it is the cost of both.
        inner: key of the end towards the rack.
        outer: key of the end away from it.
        length: what it adds to the length of the chain at its shortest, in 0.1 mm, at least 0.
        give: how much longer it may be set, in 0.1 mm, at least 0.
        level: the least level that a mix with it can have.
    """

    name: str
    cost: Whole
    inner: Whole
    outer: Whole
    length: Whole
    give: Whole
    level: Whole


@dataclass(frozen=True, eq=False)
class Links:
    """What makes two unlike keys go together at one interface: adapters, and works such as reaming; `links` makes one.

    Attributes:
        name: unlike any other of the problem.
        inner: key that it takes from the piece before; shape (n,), as are all below. Never `UNKNOWN`.
        outer: key that it offers to the piece after. Never `UNKNOWN`.
        cost: what it adds, at least 0.
        length: what it adds to the chain, in 0.1 mm, at least 0.
        level: the least level of a mix with it.
        adapters: how many adapters of the kit's it takes up: 0 for a work, which is no piece of its own (the pair test
            is then asked of the pieces on either side of it); 1 or more for an adapter, which is a `Piece`.
    """

    name: str
    inner: Whole
    outer: Whole
    cost: Whole
    length: Whole
    level: Whole
    adapters: Whole


@dataclass(frozen=True, eq=False)
class Interface:
    """Where two pieces of a chain meet.

    Attributes:
        name: as the caller calls it.
        links: what makes unlike keys go together here; None where nothing does. One link at most is used.
        tested: whether the pair test is asked about two pieces that meet here.
        to_make: index of the link that stands for something yet to be made, so that the pair test is not asked about
            what meets there; `DIRECT`: none. `why_none` adds such links.
    """

    name: str
    links: Links | None = None
    tested: bool = False
    to_make: int = DIRECT


@dataclass(frozen=True, eq=False)
class Layout:
    """One way to fill a branch.

    Attributes:
        name: unlike the other layouts' of the branch.
        stations: from the rack outwards; none at all where the rack itself meets the end, or where nothing is fitted.
        interfaces: one more than stations; the first is at the rack, the last at the end.
        end: inner key of what the chain ends at; `NO_KEY` where it ends in the air. `UNKNOWN` counts as a gap.
        end_name: place of the end as a `Piece`, with index 0.
    """

    name: str
    stations: tuple[Station, ...]
    interfaces: tuple[Interface, ...]
    end: int
    end_name: str


@dataclass(frozen=True, eq=False)
class Branch:
    """What hangs from a rack at one place: rods left, rods right, or both by one design; the column; a boot; a mount.

    Attributes:
        name: unlike the other branches'.
        layouts: the ways to fill it, of which a mix uses one.
    """

    name: str
    layouts: tuple[Layout, ...]


@dataclass(frozen=True, eq=False)
class Racks:
    """The racks, at the root; `racks` makes one and checks it.

    Attributes:
        cost: shape (n,).
        level: the least level of a mix with it; shape (n,).
        keys: by branch, the rack's key where the branch begins; shape (n,). A rack's `UNKNOWN` counts as a gap.
        windows: by branch, least and most that the lengths of the chain may come to, in 0.1 mm, both ends in; shape
            (n, 2). A branch that has none here may be of any length. A chain of shortest length s and give g stands in
            the window where s <= most and s + g >= least. Where both sides of the car use one design, the caller
            gives what is common to both windows (least > most: none).
    """

    cost: Whole
    level: Whole
    keys: Mapping[str, Whole]
    windows: Mapping[str, Whole]


@dataclass(frozen=True)
class Judged:
    """What the test of a whole mix answers.

    Attributes:
        level: its level; None where it does not go at all.
        extra: what it adds to the cost of the mix, at least 0.
        because: the pieces upon which that level alone rests, where they are known: every mix that holds all of
            these is then of that level or worse and is not asked about at a better one. That no link stands at an
            interface is a piece too: the name of its `Links`, at `DIRECT`. None: of this mix alone.
    """

    level: int | None
    extra: int = 0
    because: frozenset[Piece] | None = None


#: level of two pieces that meet, the inner one first; None where they do not go together. Asked once per pair
PairTest = Callable[[Piece, Piece], "int | None"]


@dataclass(frozen=True)
class Chain:
    """What a mix has in one branch.

    Attributes:
        branch, layout: their names.
        stations: index of the piece at each station.
        links: at each interface the index in its `Links`, or `DIRECT`; one more than stations.
    """

    branch: str
    layout: str
    stations: tuple[int, ...]
    links: tuple[int, ...]


@dataclass(frozen=True)
class Mix:
    """One complete mix.

    Attributes:
        rack: index of the rack.
        chains: one per branch, in the problem's order.
        pieces: everything in it, rack first, adapters in their places, ends left out.
        gaps: how many of its keys are unknown.
        adapters: how many adapters it takes.
        order: what breaks ties: rack, then per branch the layout's place, then link and station by turns.
    """

    rack: int
    chains: tuple[Chain, ...]
    pieces: tuple[Piece, ...]
    gaps: int
    adapters: int
    order: tuple[int, ...]


#: the test of a whole mix, asked once per mix. It may raise KeyboardInterrupt to end the search.
WholeTest = Callable[[Mix], Judged]


@dataclass(frozen=True, eq=False)
class Problem:
    """What is searched.

    Attributes:
        racks: the roots.
        branches: what hangs from each of them.
        adapters: how many adapters a mix may have.
        unknown: how many gaps a mix may have.
        levels: how many levels there are, 0 to levels - 1.
        least_level: level below which no mix can be, known beforehand (a gap of the car itself): spares a vain search.
        gap_level: least level of a mix with a gap.
        pair: test of two pieces that meet at a `tested` interface; None: no test.
        whole: test of a mix; None: no test.
    """

    racks: Racks
    branches: tuple[Branch, ...]
    adapters: int = 0
    unknown: int = 0
    levels: int = 3
    least_level: int = 0
    gap_level: int = 2
    pair: PairTest | None = None
    whole: WholeTest | None = None


@dataclass(frozen=True)
class Budget:
    """Where a search gives up; counted, not timed, so that the same question has the same answer.

    Attributes:
        steps: mixes and partial chains looked at.
        tests: whole mixes tested.
    """

    steps: int = 2_000_000
    tests: int = 2_000


@dataclass(frozen=True)
class Found:
    """A mix that goes.

    Attributes:
        mix: what it is.
        level: its level.
        cost: with the extra of the whole test.
        extra: that extra.
    """

    mix: Mix
    level: int
    cost: int
    extra: int = 0


@dataclass(frozen=True)
class Bound:
    """Nothing that was not looked at can be better than this level and cost."""

    level: int
    cost: int


@dataclass(frozen=True)
class Outcome:
    """What a search found.

    Attributes:
        found: the best ones, best first.
        proven: whether they are the best there are (and all there are, where fewer than asked for).
        sure: how many of the first of them are proven the best; all where `proven`.
        bound: what is not looked at is no better than this; None where everything was.
        stopped: why it ended: "done", "budget", "interrupted".
        steps, tests: what it took of the budget.
        refused: how many pairs the pair test refused, by interface name, and whole mixes the whole test, under "".
    """

    found: tuple[Found, ...]
    proven: bool
    sure: int
    bound: Bound | None
    stopped: str
    steps: int
    tests: int
    refused: Mapping[str, int] = field(default_factory=dict)
