"""Parts that one transaction adds, as plain rows: a large sheet has thousands, and little more than keys is asked."""

from __future__ import annotations

from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue.cells import named_uid
from fitment.catalogue.plain_rows import insert_rows
from fitment.catalogue.schema import Part, table_of

_COLUMNS = ("uid", "shop", "ref", "kind", "maker", "number", "name")
_LAST = sa.select(sa.func.max(Part.id))


@dataclass(slots=True, eq=False)
class NewPart:
    """A part that was added in this transaction.

    Attributes:
        reference: ``SHOP/REF``.
        kind: its kind.
        id: its key; 0 until it is written.
    """

    reference: str
    kind: str
    id: int = 0


class NewParts:
    """The parts added in one transaction, by reference, and the rows of those that wait to be written."""

    def __init__(self) -> None:
        self._made: dict[str, NewPart] = {}
        self._rows: list[tuple[str, ...]] = []

    @property
    def waiting(self) -> bool:
        """Whether any is not written yet."""
        return bool(self._rows)

    def __contains__(self, reference: str) -> bool:
        return reference in self._made

    def find(self, reference: str) -> NewPart | None:
        """The part of a full reference, if it was added here."""
        return self._made.get(reference)

    def add(self, reference: str, kind: str, maker: str = "", number: str = "", name: str = "") -> NewPart:
        """Adds a part of a full reference; `write` gives it its key."""
        made = self._made[reference] = NewPart(reference, kind)
        shop, _, ref = reference.partition("/")
        self._rows.append((named_uid(f"Part:{reference}"), shop, ref, kind, maker, number, name))
        return made

    def write(self, connection: Connection) -> None:
        """Writes those that wait, all at once; nobody else writes meanwhile (`records.writing`)."""
        if not self._rows:
            return
        last = connection.execute(_LAST).scalar() or 0
        insert_rows(connection, table_of(Part), _COLUMNS, self._rows)
        self._rows = []
        for key, shop, ref in connection.execute(sa.select(Part.id, Part.shop, Part.ref).where(Part.id > last)):
            self._made[f"{shop}/{ref}"].id = key
