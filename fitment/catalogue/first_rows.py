"""Derived rows of a new part, made as its first row of readings comes in, by what was made of the same cells before.

What `once_read` does for readings out of the database this does for a row of a sheet: what the rule makes of a cell
alone is kept with the cell, and what tells of an end is kept by the cells that tell it. A part of which more is read
in the same transaction is derived anew like any other, so that nothing here need be undone.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import count, repeat
from typing import Any

from fitment.catalogue.adopt import AdoptedValue, Evidence
from fitment.catalogue.adopt_features import adopted_of_feature
from fitment.catalogue.cells import Cell
from fitment.catalogue.dictionary import part_kinds
from fitment.catalogue.new_parts import NewPart
from fitment.catalogue.once_read import (
    KEPT,
    SUMMARY_COLUMNS,
    Maker,
    Read,
    bearing,
    entry_of,
    tells_of_end,
)
from fitment.catalogue.staged import Batch
from fitment.errors import FitmentError
from fitment.frozen import dataclass

#: what an end of which nothing is told is looked up by
_NOTHING = (None,) * (len(SUMMARY_COLUMNS) - 4)


@dataclass(frozen=True, slots=True)
class _Piece:
    """What the rule makes of one cell or of several together.

    Attributes:
        number: tells it from others that tell of an end.
        columns: the columns of `adopted` that say it.
    """

    number: int
    value: AdoptedValue
    columns: tuple[Any, ...]


@dataclass(slots=True, eq=False)
class _Said:
    """What a cell says in one sitting of a part in one condition.

    Attributes:
        number: its key among what is staged.
        pieces: what the rule makes of it alone; None until that is asked for.
        tells: numbers of those pieces that tell of an end.
        known: whether any piece is a value, and no gap.
        single: whether it has one piece, of the cell's own dimension.
    """

    number: int
    pieces: tuple[_Piece, ...] | None = None
    tells: tuple[int, ...] = ()
    known: bool = False
    single: bool = False


@dataclass(frozen=True, slots=True)
class _End:
    """How a row of cells is taken apart for one feature.

    Attributes:
        name, of: the feature and its kind.
        far: the part's other end, where it has just two.
        alone, together: places of the cells that the rule sees one by one, and of those that it must see together.
    """

    name: str
    of: str
    far: str | None
    alone: tuple[int, ...]
    together: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Plan:
    """How a row of cells is taken apart: by end, and for each cell whether the rule sees it alone."""

    ends: tuple[_End, ...]
    alone: tuple[bool, ...]


class FirstRows:
    """Makes the rows of the first readings of new parts, and what is derived of them, and keeps them until written.

    Args:
        evidence: what the rule needs to know of one reading.

    Attributes:
        batch: what waits to be written.
    """

    def __init__(self, evidence: Callable[[Read], Evidence]):
        self._evidence = evidence
        self._maker = Maker(evidence)
        self._plans: dict[tuple[Any, ...], _Plan | None] = {}
        self._said: dict[tuple[str, int], dict[Cell, _Said]] = {}
        self._many_said = 0
        self._tails: dict[tuple[Any, ...], tuple[Any, ...]] = {}
        self._numbers = count(1)
        self.batch = Batch()

    def take(self, part: NewPart, cells: Sequence[Cell], uids: Sequence[str], condition: str, sitting: int) -> bool:
        """Takes the readings of a part of which nothing else was read.

        Args:
            cells, uids: its readings, at least one, and the uid of each.
            condition, sitting: what is said of all of them, the sitting by its key.

        Returns:
            Whether what is derived of them is made too; where it is not, the part goes the long way.
        """
        known = self._said.setdefault((condition, sitting), {})
        said = [known.get(cell) or self._say(known, cell, condition, sitting) for cell in cells]
        plan = self._plan(part.kind, cells)
        derived = plan is not None and self._derive(part, plan, said, cells, uids, condition, sitting)
        alone = plan.alone if plan is not None and derived else repeat(False)
        self.batch.rows.extend(zip(repeat(part.id), uids, [one.number for one in said], alone))
        return derived

    def handed_over(self) -> Batch:
        """What waits; the batches must be written in the order in which they are handed over."""
        batch, self.batch = self.batch, Batch()
        if self._many_said >= KEPT:
            self._said.clear()
            self._many_said = 0
            self.batch.afresh = True
        return batch

    def _say(self, known: dict[Cell, _Said], cell: Cell, condition: str, sitting: int) -> _Said:
        """What a cell says, for the first time."""
        self._many_said += 1
        said = known[cell] = _Said(next(self._numbers))
        self.batch.said.append((said.number, sitting, *cell.columns, condition))
        return said

    def _plan(self, kind: str, cells: Sequence[Cell]) -> _Plan | None:
        """How a row with these columns is taken apart; None where the rule must see more than one row.

        That is a dimension read twice, and "as left", which speaks of another feature.
        """
        columns = (kind, *[cell.of for cell in cells])
        if columns not in self._plans:
            if len(self._plans) >= KEPT:
                self._plans.clear()
            self._plans[columns] = self._planned(kind, cells)
        return self._plans[columns]

    def _planned(self, kind: str, cells: Sequence[Cell]) -> _Plan | None:
        if len({cell.of for cell in cells}) < len(cells) or any(cell.dimension == "as-left" for cell in cells):
            return None
        by_feature: dict[str, dict[str, int]] = {}
        for place, cell in enumerate(cells):
            by_feature.setdefault(cell.feature, {})[cell.dimension] = place
        ends, seen_together = [], set()
        for name, places in sorted(by_feature.items()):
            of = part_kinds()[kind].features[name]
            bear = bearing(of, set(places))
            far = self._maker.far_end(part_kinds()[kind], name)
            together = tuple(places[one] for one in places if one in bear)
            ends.append(_End(name, of, far, tuple(places[one] for one in places if one not in bear), together))
            seen_together |= set(together)
        return _Plan(tuple(ends), tuple(place not in seen_together for place in range(len(cells))))

    def _derive(
        self,
        part: NewPart,
        plan: _Plan,
        said: list[_Said],
        cells: Sequence[Cell],
        uids: Sequence[str],
        condition: str,
        sitting: int,
    ) -> bool:
        """Makes what is derived of a row; False where that takes more than its cells one by one and by ends."""
        together: dict[str, list[tuple[_Piece, str]]] = {}
        try:
            for end in plan.ends:
                for place in end.alone:
                    if said[place].pieces is None:
                        self._make(end.of, said[place], _read(cells[place], uids[place], condition, sitting))
                if end.together:
                    reads = [_read(cells[place], uids[place], condition, sitting) for place in end.together]
                    together[end.name] = self._made_together(end.of, reads)
        except FitmentError:
            return False  # the long way tells of it, after all other faults
        tails: dict[str, tuple[Any, ...]] = {}
        for end in plan.ends:
            apart = [said[place] for place in end.alone]
            others = together.get(end.name, ())
            if (others or not all(one.single for one in apart)) and _told_twice(apart, others):
                return False
            tells = [number for one in apart for number in one.tells]
            known = [piece for piece, _ in others if not piece.value.gap]
            if known or any(one.known for one in apart):
                tells += [piece.number for piece in known if tells_of_end(end.of, piece.value.dimension)]
                tails[end.name] = self._tail(end.of, tells, apart, known)
        self.batch.adopted += [
            (part.id, *piece.columns, told) for pieces in together.values() for piece, told in pieces
        ]
        for end in plan.ends:
            tail = tails.get(end.name)
            if tail is not None:
                far = tails[end.far][0] if end.far in tails else None
                if far is not None or tail != _NOTHING:
                    self.batch.ends.append((part.id, end.name, part.kind, tail[0], far, *tail[1:]))
        return True

    def _make(self, of: str, said: _Said, read: Read) -> None:
        """Makes what the rule gives of one cell alone.

        Raises:
            FitmentError: the rule refuses it.
        """
        pieces, tells = [], []
        for place, (dimension, value, columns) in enumerate(self._maker.by_rule(of, read)):
            pieces.append(_Piece(next(self._numbers), value, columns))
            self.batch.pieces.append((said.number, place, *columns))
            if not value.gap:
                said.known = True
                if tells_of_end(of, dimension):
                    tells.append(pieces[-1].number)
        said.pieces, said.tells = tuple(pieces), tuple(tells)
        said.single = len(pieces) == 1 and pieces[0].value.dimension == read[3]

    def _made_together(self, of: str, reads: list[Read]) -> list[tuple[_Piece, str]]:
        """What the rule gives of readings that bear on one another, each with its readings as JSON."""
        made = map(entry_of, adopted_of_feature(of, [self._evidence(one) for one in reads]))
        return [(_Piece(next(self._numbers), value, columns), told) for _, value, columns, told in made]

    def _tail(self, of: str, tells: list[int], apart: list[_Said], others: list[_Piece]) -> tuple[Any, ...]:
        """What an end is looked up by, kept by the values that tell it."""
        key = (of, *tells)
        if key not in self._tails:
            if len(self._tails) >= KEPT:
                self._tails.clear()
            pieces = [*others, *(piece for one in apart for piece in one.pieces or () if not piece.value.gap)]
            self._tails[key] = self._maker.looked_up_by(of, {piece.value.dimension: piece.value for piece in pieces})
        return self._tails[key]


def _told_twice(apart: list[_Said], others: Sequence[tuple[_Piece, str]]) -> bool:
    """Whether a dimension has two values: a thread may tell the hand that is read beside it."""
    told = [piece.value.dimension for one in apart for piece in one.pieces or ()]
    told += [piece.value.dimension for piece, _ in others]
    return len(set(told)) < len(told)


def _read(cell: Cell, uid: str, condition: str, sitting: int) -> Read:
    value = cell.value
    return 0, uid, *cell.of, value.number, value.u, value.word, value.tool, condition, sitting
