"""Whole mixes in the order of cost and `Mix.order`: racks by lower bound, then the sums of a rack's own streams."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial
from heapq import heappop, heappush, merge
from typing import TYPE_CHECKING

from fitment.frozen import dataclass
from fitment.kits.search.bounds import NEVER
from fitment.kits.search.merging import Ascending, Item, Meter, Pairs
from fitment.kits.search.model import RACK, UNKNOWN, Layout, Piece, Problem
from fitment.kits.search.read import branch_pieces, parts_of
from fitment.kits.search.sides import Side, Tables

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Whole = npt.NDArray[np.int64]


@dataclass(frozen=True)
class Candidate:
    """A mix as the streams give it.

    Attributes:
        cost: without the extra of the whole test.
        order: as `Mix.order`.
        level: of its parts and pairs.
        gaps, adapters: how many it has.
    """

    cost: int
    order: tuple[int, ...]
    level: int
    gaps: int
    adapters: int


class _Cursor:
    """The chains of one branch for one rack, with just so many adapters and gaps; those dropped left out."""

    def __init__(self, pull: Iterator[Item]) -> None:
        self._pull = pull
        self.items: list[Item] = []

    def get(self, n: int) -> Item | None:
        """The n-th item, None after the last."""
        while len(self.items) <= n:
            if (item := next(self._pull, None)) is None:
                return None
            self.items.append(item)
        return self.items[n]


class _Share:
    """A rack with its adapters and gaps shared out among the branches."""

    def __init__(self, rack: int, shares: tuple[tuple[int, int], ...], bound: int) -> None:
        self.rack, self.shares, self.bound = rack, shares, bound
        self.cursors: list[_Cursor] = []
        self.turn = 0  # raised when its cursors have lost items: what was on the heap before is void
        self.waits = False  # whether it is on the heap to be opened


class Mixes:
    """The mixes of a problem up to a level, one after the other.

    Attributes:
        level: what has a higher level is left out.
        gaps: how many a mix may have at that level.
        rack_gaps: how many each rack has itself; shape (racks,).
        bounds: per branch, cheapest chain for each rack by exact number of adapters and gaps of the chain, whatever its
            length; shape (adapters + 1, gaps + 1, racks). `NEVER` where there is none.
        least: no mix with a rack costs less; shape (racks,).
        possible: which racks are not ruled out; shape (racks,).
        bound: nothing still to come costs less.
    """

    def __init__(self, problem: Problem, level: int, meter: Meter, pairs: Pairs, tables: Tables | None = None) -> None:
        """tables: those of another problem with some of the same layouts."""
        import numpy as np

        tables = tables or Tables()
        self._problem, self.level, self.meter, self.pairs = problem, level, meter, pairs
        self.gaps = problem.unknown if level >= problem.gap_level else 0
        self.bound = 0
        racks, shape = problem.racks, (problem.adapters, self.gaps)
        self._sides = [
            [
                Side(
                    problem, branch, tables.lengths(one, level, shape, span), pairs, meter, partial(self._rule_out, at)
                )
                for one in branch.layouts
            ]
            for at, (branch, span) in enumerate(zip(problem.branches, self._spans(), strict=True))
        ]
        self._windows = [racks.windows.get(branch.name) for branch in problem.branches]
        self.rack_gaps = np.zeros(len(racks.cost), dtype=np.int64)
        for branch in problem.branches:
            self.rack_gaps += racks.keys[branch.name] == UNKNOWN
        self.possible = np.ones(len(racks.cost), dtype=bool)
        self.bounds = [self._branch_bounds(sides) for sides in self._sides]
        self.least: Whole = self.without(None).min(axis=(0, 1))
        numbers = np.arange(len(racks.cost))
        self._racks, self._next_rack = Ascending(self.least, numbers, numbers), 0
        self._heap: list[tuple[int, tuple[int, ...], int, _Share, tuple[int, ...] | None, int, int]] = []
        self._pushed = 0
        self._cursors: dict[tuple[int, int, int, int], _Cursor] = {}
        self._opened: list[_Share] = []
        self._last: tuple[int, tuple[int, ...]] = (-1, ())
        self._dropped: list[frozenset[Piece]] = []
        # those of more than one branch, each by branch with the rack last; and which of them a chain or rack holds its
        # part of, as bits, with how many were looked at
        self._mixed: list[list[frozenset[Piece]]] = []
        self._held: dict[tuple[int, tuple[int, ...]], tuple[int, int]] = {}
        self._branch_of = {
            place: at
            for at, branch in enumerate(problem.branches)
            for layout in branch.layouts
            for place in _places(layout)
        }

    def _spans(self) -> list[int]:
        """Per branch the longest that any window allows."""
        given = (self._problem.racks.windows.get(branch.name) for branch in self._problem.branches)
        return [0 if windows is None else int(windows[:, 1].max(initial=0)) for windows in given]

    # -- lower bounds of all racks at once

    def _branch_bounds(self, sides: Sequence[Side]) -> Whole:
        """Cheapest chain for each rack; shape (adapters + 1, gaps + 1, racks)."""
        import numpy as np

        made = [side.bounds.linked[0][:, :, side.rows] for side in sides]
        least: Whole = np.minimum.reduce(made)
        return least

    def without(self, left_out: int | None) -> Whole:
        """Cheapest mix for each rack, one branch left out; shape (adapters + 1, gaps + 1, racks)."""
        import numpy as np

        racks = self._problem.racks
        usable = (racks.level <= self.level) & (self.rack_gaps <= self.gaps)
        best = np.full((self._problem.adapters + 1, self.gaps + 1, len(racks.cost)), NEVER)
        best[0, np.minimum(self.rack_gaps, self.gaps), np.arange(len(racks.cost))] = np.where(usable, racks.cost, NEVER)
        for at, bounds in enumerate(self.bounds):
            if at == left_out:
                continue
            made = np.full_like(best, NEVER)
            for adapters in range(best.shape[0]):
                for gaps in range(best.shape[1]):
                    rest = best[: best.shape[0] - adapters, : best.shape[1] - gaps]
                    there = made[adapters:, gaps:]
                    np.minimum(there, rest + bounds[adapters, gaps], out=there)
            best = np.minimum(made, NEVER)
        return best

    def side(self, at: int, place: int) -> Side:
        """One layout of a branch."""
        return self._sides[at][place]

    def in_window(self, at: int) -> npt.NDArray[np.bool_]:
        """Which racks a chain of a branch can stand in the window of, by keys and lengths; shape (racks,)."""
        import numpy as np

        windows = self._windows[at]
        if windows is None:
            return np.ones(len(self.least), dtype=bool)
        some = [side.lengths.all_possible(side.rows, windows) for side in self._sides[at]]
        able: npt.NDArray[np.bool_] = np.logical_or.reduce(some)
        return able

    # -- one after the other

    def head(self) -> tuple[int, tuple[int, ...]] | None:
        """Nothing still to come is before this (cost, order); None where nothing is to come."""
        self._take_racks()
        return self._heap[0][:2] if self._heap else None

    def next(self) -> Candidate | None:
        """The next mix, None after the last.

        Raises:
            Spent: by the meter.
        """
        while True:
            self._take_racks()
            if not self._heap:
                return None
            self.bound = max(self.bound, self._heap[0][0])
            self.meter.step()
            cost, order, _, share, places, last, turn = heappop(self._heap)
            if places is None:
                self._open(share)
            elif turn == share.turn:
                for at in range(last, len(places)):
                    self._push(share, (*places[:at], places[at] + 1, *places[at + 1 :]), at)
                if (cost, order) > self._last and not self._is_dropped(share.rack, order):
                    self._last = (cost, order)
                    return self._candidate(cost, order, share, places)

    def _take_racks(self) -> None:
        heap, racks = self._heap, self._racks
        while racks.has(self._next_rack):
            bound, rack = racks.heads[self._next_rack]
            if heap and (bound, (rack,)) > heap[0][:2]:
                return
            self._next_rack += 1
            if self.possible[rack]:
                for share in self._shares(rack):
                    self._put(share)

    def _put(self, share: _Share) -> None:
        if share.waits:
            return
        share.waits = True
        self._pushed += 1
        heappush(self._heap, (share.bound, (share.rack,), self._pushed, share, None, 0, 0))

    def _shares(self, rack: int) -> list[_Share]:
        """Every way to share out adapters and gaps that is not ruled out."""
        ways: list[tuple[tuple[tuple[int, int], ...], int, int, int]] = [
            ((), 0, int(self.rack_gaps[rack]), int(self._problem.racks.cost[rack]))
        ]
        for bounds in self.bounds:
            mine = bounds[:, :, rack].tolist()
            ways = [
                ((*shares, (adapters, gaps)), taken + adapters, lacking + gaps, cost + mine[adapters][gaps])
                for shares, taken, lacking, cost in ways
                for adapters in range(self._problem.adapters + 1 - taken)
                for gaps in range(self.gaps + 1 - lacking)
                if mine[adapters][gaps] < NEVER
            ]
        return [_Share(rack, shares, cost) for shares, _, _, cost in ways]

    def _open(self, share: _Share) -> None:
        share.waits = False
        if not self.possible[share.rack]:
            return
        share.cursors = [self._cursor(share.rack, at, *mine) for at, mine in enumerate(share.shares)]
        if all(cursor.get(0) is not None for cursor in share.cursors):
            if share.turn == 0:
                self._opened.append(share)
            self._push(share, (0,) * len(share.cursors), 0)

    def _push(self, share: _Share, places: tuple[int, ...], last: int) -> None:
        cost, order = int(self._problem.racks.cost[share.rack]), [share.rack]
        for cursor, place in zip(share.cursors, places, strict=True):
            item = cursor.get(place)
            if item is None:
                return
            cost += item[0]
            order += item[1]
        self._pushed += 1
        heappush(self._heap, (cost, tuple(order), self._pushed, share, places, last, share.turn))

    def _candidate(self, cost: int, order: tuple[int, ...], share: _Share, places: tuple[int, ...]) -> Candidate:
        problem = self._problem
        level = max(int(problem.racks.level[share.rack]), problem.least_level)
        for cursor, place in zip(share.cursors, places, strict=True):
            level = max(level, cursor.items[place][4])
        adapters = sum(one for one, _ in share.shares)
        gaps = int(self.rack_gaps[share.rack]) + sum(one for _, one in share.shares)
        return Candidate(cost, order, max(level, problem.gap_level) if gaps else level, gaps, adapters)

    # -- the chains of one branch for one rack

    def _cursor(self, rack: int, at: int, adapters: int, gaps: int) -> _Cursor:
        key = (rack, at, adapters, gaps)
        if key not in self._cursors:
            pulls = [self._pull(rack, at, place, adapters, gaps) for place in range(len(self._sides[at]))]
            self._cursors[key] = _Cursor(pulls[0] if len(pulls) == 1 else merge(*pulls))
        return self._cursors[key]

    def _pull(self, rack: int, at: int, place: int, adapters: int, gaps: int) -> Iterator[Item]:
        """The chains of one layout that stand in the rack's window."""
        for item in self._sides[at][place].chains(rack, adapters, gaps):
            made = (item[0], (place, *item[1]), *item[2:])
            if not self._is_dropped_chain(rack, at, made[1]):
                yield made

    def _rule_out(self, at: int) -> None:
        """Rules out the racks whose window no chain of a branch stands in, once that is known of all its layouts."""
        if all(one.knows_reach for one in self._sides[at]):
            self.possible &= self.in_window(at)

    # -- what a test has ruled out

    def drop(self, pieces: frozenset[Piece]) -> None:
        """Leaves out from now on every mix that holds all of these pieces."""
        branches = {self._branch_of[piece.place] for piece in pieces if piece.place in self._branch_of}
        racks = [piece.at for piece in pieces if piece.place == RACK]
        if not branches:
            if racks:
                self.possible[racks[0]] = False
            else:
                self.possible[:] = False
            return
        if len(branches) > 1:
            of = [{one for one in pieces if self._branch_of.get(one.place) == at} for at in range(len(self._sides))]
            self._mixed.append([*map(frozenset, of), frozenset(one for one in pieces if one.place == RACK)])
            return
        self._dropped.append(pieces)
        (at,) = branches
        for (rack, branch, _, _), cursor in self._cursors.items():
            if branch == at and racks in ([], [rack]):
                cursor.items[:] = [one for one in cursor.items if not self._holds(rack, at, one[1], pieces)]
        for share in self._opened:
            if racks in ([], [share.rack]):
                share.turn += 1
                self._put(share)

    def _is_dropped_chain(self, rack: int, at: int, order: tuple[int, ...]) -> bool:
        return any(self._holds(rack, at, order, pieces) for pieces in self._dropped)

    def _holds(self, rack: int, at: int, order: tuple[int, ...], pieces: frozenset[Piece]) -> bool:
        return pieces <= {Piece(RACK, rack), *branch_pieces(self._problem.branches[at], order)}

    def _is_dropped(self, rack: int, order: tuple[int, ...]) -> bool:
        if not self.possible[rack]:
            return True
        both = self._parts_held(-1, (rack,))
        for at, (_, _, mine) in enumerate(parts_of(self._problem, order)):
            if not both:
                return False
            both &= self._parts_held(at, mine)
        return bool(both)

    def _parts_held(self, at: int, mine: tuple[int, ...]) -> int:
        """The dropped sets of pieces, as bits, of which a chain of a branch holds all that are of the branch."""
        seen, bits = self._held.get((at, mine), (0, 0))
        if seen < len(self._mixed):
            held = {Piece(RACK, mine[0])} if at < 0 else {*branch_pieces(self._problem.branches[at], mine)}
            for number in range(seen, len(self._mixed)):
                bits |= (self._mixed[number][at] <= held) << number
            self._held[at, mine] = len(self._mixed), bits
        return bits


def _places(layout: Layout) -> Iterator[str]:
    yield layout.end_name
    yield from (station.name for station in layout.stations)
    yield from (one.links.name for one in layout.interfaces if one.links is not None)
