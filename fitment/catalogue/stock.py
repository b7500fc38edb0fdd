"""Every part and item of some kinds, as a search over donors sees them: few statements, whatever their number."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from itertools import islice
from pathlib import Path

from fitment.catalogue.book import ADOPTED_VALUES, Book, features_of, state_cautions
from fitment.catalogue.found import FoundPart
from fitment.catalogue.order import STATED_ORDER
from fitment.catalogue.questions import Row, asked
from fitment.frozen import dataclass

#: values that one statement takes: every database allows so many parameters
_BATCH = 400
_PARTS = "SELECT id, shop, ref, kind, maker, number, name FROM part WHERE kind IN ({})"
_ITEMS = "SELECT id, shop, ref, part_id FROM item WHERE part_id IN ({})"
_STATED = f"SELECT item_id, field, text FROM statement WHERE item_id IN ({{}}) ORDER BY {STATED_ORDER}"
_FITTED = (
    "SELECT fitted_to.part_id, fitted_to.position, vehicle.shop, vehicle.ref FROM fitted_to"
    " JOIN vehicle ON vehicle.id = fitted_to.vehicle_id WHERE fitted_to.part_id IN ({})"
)


@dataclass(frozen=True)
class Stocked:
    """A part or an item that may take a role.

    Attributes:
        part: as a kit finds it.
        design: the part that it is one of; its own name for a part.
        own_readings: whether readings were taken of it itself; always of a part.
        price: what it was priced at, as stated last; "" for a part and where nothing is stated.
        fitted: the vehicles that its part was fitted to, each with its position there ("" where none was recorded).
    """

    part: FoundPart
    design: str
    own_readings: bool
    price: str
    fitted: tuple[tuple[str, str], ...]


class Stock(Book):
    """The book that also lists all that it has of some kinds."""

    def of_kinds(self, kinds: Collection[str]) -> tuple[Stocked, ...]:
        """Every part of these kinds and every item of them, by name."""
        parts = {row["id"]: row for row in self._all(_PARTS, kinds)}
        items = list(self._all(_ITEMS, parts))
        ids = [row["id"] for row in items]
        of_part, of_item = self._adopted("part_id", parts), self._adopted("item_id", ids)
        fitted: dict[int, list[tuple[str, str]]] = {}
        for row in self._all(_FITTED, parts):
            fitted.setdefault(row["part_id"], []).append((f"{row['shop']}/{row['ref']}", row["position"]))
        stated: dict[int, dict[str, str]] = {}
        for row in self._all(_STATED, ids):
            stated.setdefault(row["item_id"], {})[row["field"]] = row["text"]
        found = [
            Stocked(
                self._made(row, row, of_part.get(at, []), {}), _name(row), True, "", tuple(sorted(fitted.get(at, [])))
            )
            for at, row in parts.items()
        ]
        for row in items:
            part, own, said = parts[row["part_id"]], of_item.get(row["id"], []), stated.get(row["id"], {})
            made = self._made(row, part, [*of_part.get(part["id"], []), *own], said)
            where = tuple(sorted(fitted.get(part["id"], [])))
            found.append(Stocked(made, _name(part), bool(own), said.get("price", ""), where))
        return tuple(sorted(found, key=lambda one: one.part.name))

    def _made(self, row: Row, part: Row, rows: list[Row], stated: Mapping[str, str]) -> FoundPart:
        """The part, or an item of it, as `find` gives it."""
        name, kind = _name(row), part["kind"]
        title = part["name"] or " ".join(filter(None, (part["maker"], part["number"]))) or kind
        datums, open_points = self._datums(kind, name, rows)
        features = features_of(kind, name, row is not part, rows)
        cautions = (*state_cautions(name, stated), *open_points)
        design = "" if row is part else _name(part)
        return FoundPart(name, kind, row is not part, title, features, cautions, datums, dict(stated), design)

    def _adopted(self, column: str, ids: Collection[int]) -> dict[int, list[Row]]:
        found: dict[int, list[Row]] = {}
        for row in self._all(f"{ADOPTED_VALUES} {column} IN ({{}})", ids):
            found.setdefault(row[column], []).append(row)
        return found

    def _all(self, statement: str, values: Collection[int] | Collection[str]) -> Iterator[Row]:
        """The rows of a statement for any number of values."""
        rest = iter(sorted(values))
        while some := {f"at_{place}": value for place, value in enumerate(islice(rest, _BATCH))}:
            yield from self._ask.rows(statement.format(", ".join(f":{name}" for name in some)), **some)


def _name(row: Row) -> str:
    return f"{row['shop']}/{row['ref']}"


@contextmanager
def open_stock(place: str | Path | None = None) -> Iterator[Stock]:
    """The catalogue, open for a search; place and faults as for `open_catalogue`."""
    with asked(str(place) if place is not None else None) as connection:
        yield Stock(connection)
