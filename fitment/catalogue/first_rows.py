"""Derived rows of a new part, made as its first row of readings comes in, by what was made of the same cells before.

What `once_read` does for readings out of the database this does for a row of a sheet: what the rule makes of a cell
alone is kept with the cell, and what tells of an end is kept by the cells that tell it. A part of which more is read
in the same transaction is derived anew like any other, so that nothing here need be undone.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import count
from operator import itemgetter
from typing import Any

from sqlalchemy.engine import Connection

from fitment.catalogue.adopt import AdoptedValue, Evidence
from fitment.catalogue.adopt_features import adopted_of_feature
from fitment.catalogue.cells import Cell
from fitment.catalogue.dictionary import part_kinds
from fitment.catalogue.new_parts import NewPart
from fitment.catalogue.once_read import (
    ADOPTED_COLUMNS,
    KEPT,
    SUMMARY_COLUMNS,
    Maker,
    Read,
    bearing,
    entry_of,
    tells_of_end,
)
from fitment.catalogue.plain_rows import insert_rows
from fitment.catalogue.schema import Adopted, EndSummary, table_of
from fitment.errors import FitmentError
from fitment.frozen import dataclass

_ADOPTED = table_of(Adopted)
_SUMMARY = table_of(EndSummary)
#: what an end of which nothing is told is looked up by
_NOTHING = (None,) * (len(SUMMARY_COLUMNS) - 4)
#: dimension, the value's columns, the value, how it is told from others that tell of an end (0: it tells nothing)
_Piece = tuple[str, tuple[Any, ...], AdoptedValue, int]


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


class FirstRows:
    """Makes derived rows of new parts, and keeps them until they are written.

    Args:
        evidence: what the rule needs to know of one reading.

    Attributes:
        adopted, ends: the rows that wait, of `adopted` and `end_summary`.
    """

    def __init__(self, evidence: Callable[[Read], Evidence]):
        self._evidence = evidence
        self._maker = Maker(evidence)
        self._plans: dict[tuple[Any, ...], list[_End] | None] = {}
        self._alone: dict[tuple[Cell, str, int], tuple[_Piece, ...]] = {}
        self._tails: dict[tuple[Any, ...], tuple[Any, ...]] = {}
        self._numbers = count(1)
        self.adopted: list[tuple[Any, ...]] = []
        self.ends: list[tuple[Any, ...]] = []

    def take(self, part: NewPart, cells: Sequence[Cell], uids: Sequence[str], condition: str, sitting: int) -> bool:
        """Makes the rows of a part of which nothing else was read.

        Args:
            cells, uids: its readings, at least one, and the uid of each.
            condition, sitting: what is said of all of them, the sitting by its key.

        Returns:
            Whether it did; where it did not, the part goes the long way.
        """
        plan = self._plan(part.kind, cells)
        if plan is None:
            return False
        adopted: list[tuple[Any, ...]] = []
        tails: dict[str, tuple[Any, ...]] = {}
        for end in plan:
            try:
                pieces = self._pieces(end, cells, uids, condition, sitting)
            except FitmentError:
                return False  # the long way tells of it, after all other faults
            if pieces is None:
                return False
            adopted += [(part.id, *piece[1], told) for _, piece, told in pieces]
            known = [piece for _, piece, _ in pieces if not piece[2].gap]
            if known:
                tails[end.name] = self._tail(end.of, known)
        self.adopted += adopted
        for end in plan:
            tail = tails.get(end.name)
            if tail is not None:
                far = tails[end.far][0] if end.far in tails else None
                if far is not None or tail != _NOTHING:
                    self.ends.append((part.id, end.name, part.kind, tail[0], far, *tail[1:]))
        return True

    def write(self, connection: Connection) -> None:
        """Writes the rows that wait."""
        insert_rows(connection, _ADOPTED, ("part_id", *ADOPTED_COLUMNS), self.adopted)
        insert_rows(connection, _SUMMARY, SUMMARY_COLUMNS, self.ends)
        self.adopted, self.ends = [], []

    def _plan(self, kind: str, cells: Sequence[Cell]) -> list[_End] | None:
        """How a row with these columns is taken apart, by feature; None where the rule must see more than one row.

        That is a dimension read twice, and "as left", which speaks of another feature.
        """
        columns = (kind, *[cell.of for cell in cells])
        if columns not in self._plans:
            if len(self._plans) >= KEPT:
                self._plans.clear()
            self._plans[columns] = self._planned(kind, cells)
        return self._plans[columns]

    def _planned(self, kind: str, cells: Sequence[Cell]) -> list[_End] | None:
        if len({cell.of for cell in cells}) < len(cells) or any(cell.dimension == "as-left" for cell in cells):
            return None
        by_feature: dict[str, dict[str, int]] = {}
        for place, cell in enumerate(cells):
            by_feature.setdefault(cell.feature, {})[cell.dimension] = place
        plan = []
        for name, places in sorted(by_feature.items()):
            of = part_kinds()[kind].features[name]
            together = bearing(of, set(places))
            far = self._maker.far_end(part_kinds()[kind], name)
            apart = tuple(places[one] for one in places if one not in together)
            plan.append(_End(name, of, far, apart, tuple(places[one] for one in places if one in together)))
        return plan

    def _pieces(
        self, end: _End, cells: Sequence[Cell], uids: Sequence[str], condition: str, sitting: int
    ) -> list[tuple[str, _Piece, str]] | None:
        """The values of one feature by dimension, each with its readings as JSON; None where one is told twice."""
        found: list[tuple[str, _Piece, str]] = []
        alone = self._alone
        for place in end.alone:
            cell = cells[place]
            pieces = alone.get((cell, condition, sitting))
            if pieces is None:
                if len(alone) >= KEPT:
                    alone.clear()
                made = self._maker.by_rule(end.of, _read(cell, uids[place], condition, sitting))
                pieces = alone[cell, condition, sitting] = tuple(self._piece(end.of, *one) for one in made)
            told = f'["{uids[place]}"]'
            for piece in pieces:
                found.append((piece[0], piece, told))
        if end.together:
            reads = [_read(cells[place], uids[place], condition, sitting) for place in end.together]
            for value in adopted_of_feature(end.of, [self._evidence(one) for one in reads]):
                dimension, _, columns, told = entry_of(value)
                found.append((dimension, self._piece(end.of, dimension, value, columns), told))
        found.sort(key=itemgetter(0))
        if len(found) > len(end.alone) and len({one[0] for one in found}) < len(found):
            return None
        return found

    def _piece(self, of: str, dimension: str, value: AdoptedValue, columns: tuple[Any, ...]) -> _Piece:
        return dimension, columns, value, next(self._numbers) if tells_of_end(of, dimension) else 0

    def _tail(self, of: str, known: list[_Piece]) -> tuple[Any, ...]:
        """What an end is looked up by, kept by the values that tell it."""
        said = (of, *[piece[3] for piece in known if piece[3]])
        if said not in self._tails:
            if len(self._tails) >= KEPT:
                self._tails.clear()
            self._tails[said] = self._maker.looked_up_by(of, {piece[0]: piece[2] for piece in known})
        return self._tails[said]


def _read(cell: Cell, uid: str, condition: str, sitting: int) -> Read:
    value = cell.value
    return 0, uid, *cell.of, value.number, value.u, value.word, value.tool, condition, sitting
