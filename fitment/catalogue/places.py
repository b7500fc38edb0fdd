"""The book that also tells where parts stand in cars: carriers, what stands beside a part, what might stand instead."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from fitment.catalogue.book import Book
from fitment.catalogue.dictionary import part_kinds
from fitment.catalogue.end_keys import EndKey, end_keys, far_end
from fitment.catalogue.ends import EndWanted, in_chunks, nearest_ends, of_kind, parts_alike, parts_named, unkeyed
from fitment.catalogue.found import Carrier, FoundPart
from fitment.catalogue.questions import asked
from fitment.frozen import dataclass

#: half the window within which a cone's large end, or another leading size, is alike at first sight, mm; own choice
_ALIKE = 0.3
#: the same for the ratio of two cones: more than a made cone strays, less than the nearest two differ; own choice
_SAME_CONE = 0.0013
_CARRIERS = (
    "SELECT f.part_id, f.position, v.shop, v.ref, v.maker, v.model, v.years FROM fitted_to f"
    " JOIN vehicle v ON v.id = f.vehicle_id WHERE f.part_id IN ({}) ORDER BY v.shop, v.ref, f.position"
)
_BESIDE = (
    "SELECT DISTINCT p.shop, p.ref, p.kind, o.position FROM fitted_to f JOIN fitted_to o ON o.vehicle_id = f.vehicle_id"
    " JOIN part p ON p.id = o.part_id WHERE f.part_id = :part ORDER BY p.shop, p.ref, o.position"
)
_ALL = "SELECT id FROM part WHERE kind = :kind ORDER BY id"
_PART_ID = "SELECT id FROM part WHERE shop = :shop AND ref = :ref"
_OF_ITEM = "SELECT p.shop, p.ref FROM item i JOIN part p ON p.id = i.part_id WHERE i.shop = :shop AND i.ref = :ref"


@dataclass(frozen=True)
class Beside:
    """A part that was fitted to the same vehicle as another, and where."""

    reference: str
    position: str


@dataclass(frozen=True)
class Candidate:
    """A part that might stand in another's place, and the vehicles that carry it."""

    reference: str
    carriers: tuple[Carrier, ...]


@dataclass(frozen=True)
class Candidates:
    """What might stand in a part's place.

    Attributes:
        found: those to look at closely, the likeliest first.
        of_kind: how many other parts of the kind the catalogue has.
        unkeyed: ends of the part -> how many parts of the kind nobody knows the key of that end of.
    """

    found: tuple[Candidate, ...]
    of_kind: int
    unkeyed: Mapping[str, int]


class PlacesBook(Book):
    """The book, with what is known of places in cars."""

    def design_of(self, found: FoundPart) -> str:
        """The reference of the design: the part itself, or what an item is one of."""
        if not found.is_item:
            return found.name
        row = self._ask.rows(_OF_ITEM, **self._split(found.name))[0]
        return f"{row['shop']}/{row['ref']}"

    def _key(self, design: str) -> int:
        return int(self._ask.rows(_PART_ID, **self._split(design))[0]["id"])

    def carriers(self, design: str) -> tuple[Carrier, ...]:
        """The vehicles that a part was fitted to."""
        return self._carriers([self._key(design)]).get(self._key(design), ())

    def _carriers(self, keys: Collection[int]) -> dict[int, tuple[Carrier, ...]]:
        found: dict[int, tuple[Carrier, ...]] = {}
        for row in in_chunks(self._ask, _CARRIERS, keys):
            title = " ".join(filter(None, (row["maker"], row["model"])))
            one = Carrier(f"{row['shop']}/{row['ref']}", title, row["years"], row["position"])
            found[row["part_id"]] = (*found.get(row["part_id"], ()), one)
        return found

    def beside(self, design: str, kinds: Collection[str], count: int = 60) -> tuple[Beside, ...]:
        """Parts of these kinds that were fitted to a vehicle to which this part was fitted, so many at most."""
        rows = self._ask.rows(_BESIDE, part=self._key(design))
        return tuple(Beside(f"{row['shop']}/{row['ref']}", row["position"]) for row in rows if row["kind"] in kinds)[
            :count
        ]

    def candidates(self, found: FoundPart, count: int) -> Candidates:
        """Other parts of the kind, so many at most, the likeliest first.

        Where the kind has more, the summary of ends chooses: first what is alike at every end, then what is alike at
        all but one, nearest in size first; what has no known key at an end is counted, not chosen.
        """
        own = self._key(self.design_of(found))
        others = of_kind(self._ask, found.kind) - 1
        ends = {name: key for name, key in end_keys(found.features).items() if name != "body"}
        if others <= count:
            keys = [row["id"] for row in self._ask.rows(_ALL, kind=found.kind)]
        else:
            keys = self._chosen(found.kind, ends, count + 1)
        keys = [key for key in keys if key != own][:count]
        named, carriers = parts_named(self._ask, keys), self._carriers(keys)
        listed = tuple(Candidate(f"{named[key]['shop']}/{named[key]['ref']}", carriers.get(key, ())) for key in keys)
        without = {name: unkeyed(self._ask, found.kind, name) for name in ends}
        return Candidates(listed, others, {name: number for name, number in without.items() if number})

    def _chosen(self, kind: str, ends: Mapping[str, EndKey], count: int) -> list[int]:
        """Alike at every end; then at all but one, or near it in size; then alike, or near in size, at any one end."""
        alike = [_as(name, key) for name, key in ends.items() if key.near_key is not None]
        chosen = dict.fromkeys(parts_alike(self._ask, kind, alike)) if alike else {}
        for whole in (True, False):
            for name, key in ends.items():
                if len(chosen) >= count:
                    break
                others = [one for one in alike if (one.feature != name) is whole]
                if key.size is not None:
                    other = far_end(part_kinds()[kind], name) if whole else None
                    far = ends[other].near_key if other is not None and other in ends else None
                    wanted = EndWanted(name, key.near_key, far)
                    chosen |= dict.fromkeys(part for _, part in nearest_ends(self._ask, kind, wanted, key.size, count))
                elif others:
                    chosen |= dict.fromkeys(parts_alike(self._ask, kind, others, count))
        return list(chosen)[:count]


def _as(name: str, key: EndKey) -> EndWanted:
    """An end that is alike at first sight."""
    size = None if key.size is None else (key.size - _ALIKE, key.size + _ALIKE)
    taper = None if key.taper is None else (key.taper - _SAME_CONE, key.taper + _SAME_CONE)
    return EndWanted(name, key.near_key, None, size, taper)


@contextmanager
def open_places(place: str | Path | None = None) -> Iterator[PlacesBook]:
    """The catalogue, open for questions; place and faults as for `open_catalogue`."""
    with asked(str(place) if place is not None else None) as connection:
        yield PlacesBook(connection)
