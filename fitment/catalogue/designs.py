"""Which parts are one design: two references that somebody joined, with a reason, and nobody put apart again since."""

from __future__ import annotations

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue.schema import Part, PartJoin
from fitment.catalogue.turns import JOINED

_SAID = sa.select(PartJoin.part_id, PartJoin.other_id, PartJoin.undone).order_by(*JOINED)


def last_words(connection: Connection) -> dict[tuple[int, int], bool]:
    """Whether two parts are joined, by their keys (the lesser first), of every pair that somebody spoke of."""
    said = {}
    for part, other, undone in connection.execute(_SAID):
        said[min(part, other), max(part, other)] = not undone
    return said


class Designs:
    """The parts that are joined, as they are now; without a connection every thing stands alone."""

    def __init__(self, connection: Connection | None):
        self._members: dict[int, tuple[int, ...]] = {}
        for pair, joined in last_words(connection).items() if connection is not None else ():
            if joined:
                together = tuple(sorted({one for part in pair for one in self.members(part)}))
                self._members |= dict.fromkeys(together, together)

    def members(self, part: int) -> tuple[int, ...]:
        """Keys of the parts that are one design with a part, in order, its own among them."""
        return self._members.get(part, (part,))

    def first(self, part: int) -> int:
        """The least of its `members`."""
        return self.members(part)[0]


def joined_with(connection: Connection, part: int) -> list[str]:
    """References of the parts that are one design with a part."""
    others = [one for one in Designs(connection).members(part) if one != part]
    query = sa.select(Part.shop, Part.ref).where(Part.id.in_(others)).order_by(Part.shop, Part.ref)
    return [f"{shop}/{ref}" for shop, ref in connection.execute(query)] if others else []
