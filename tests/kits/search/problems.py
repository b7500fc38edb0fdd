"""Small random search problems, drawn by Hypothesis."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from fitment.kits.search.build import links, racks, station
from fitment.kits.search.model import NO_KEY, UNKNOWN, Branch, Interface, Judged, Layout, Mix, Piece, Problem

#: few keys and few lengths, so that things meet, miss and tie
KEYS = st.sampled_from([0, 0, 0, 0, 0, 1, 1, NO_KEY, UNKNOWN])
KNOWN = st.sampled_from([0, 0, 1, 1, NO_KEY])
COSTS = st.integers(0, 4)
LENGTHS = st.integers(0, 6)
LEVELS = st.sampled_from([0, 0, 0, 0, 0, 0, 0, 1, 2, 3])


def _many(values: st.SearchStrategy[int], n: int) -> st.SearchStrategy[list[int]]:
    return st.lists(values, min_size=n, max_size=n)


@st.composite
def layouts(draw: st.DrawFn, name: str, stations: int, most: int) -> Layout:
    """A layout with at most so many candidates per station."""
    made, interfaces = [], []
    for at in range(stations):
        n = draw(st.integers(1, most)) if draw(st.integers(0, 19)) else 0
        columns = (COSTS, KEYS, KEYS, LENGTHS, st.sampled_from([0, 0, 1, 3]), LEVELS)
        made.append(station(f"{name}.{at}", *(draw(_many(column, n)) for column in columns)))
    for at in range(stations + 1):
        table = None
        if draw(st.booleans()):
            n = draw(st.integers(0, 2))
            columns = (COSTS, KNOWN, KNOWN, LENGTHS, LEVELS, st.sampled_from([0, 1, 1, 2]))
            table = links(f"{name}.link.{at}", *(draw(_many(column, n)) for column in columns))
        interfaces.append(Interface(f"{name}:{at}", table, draw(st.booleans())))
    return Layout(name, tuple(made), tuple(interfaces), draw(KEYS), f"{name}.end")


@st.composite
def problems(draw: st.DrawFn, whole: bool = True) -> Problem:
    """A problem of a few hundred mixes at most times links; tests of pairs and wholes by a fixed scramble."""
    count = draw(st.integers(1, 3))
    branches, keys, windows = [], {}, {}
    n = draw(st.integers(1, 3)) if draw(st.integers(0, 19)) else 0
    for at in range(count):
        name = f"branch{at}"
        ways = draw(st.integers(1, 2)) if count < 3 else 1
        chains = tuple(
            draw(layouts(f"{name}.{way}", draw(st.integers(0, 2 if count < 3 else 1)), 3 if count < 3 else 2))
            for way in range(ways)
        )
        branches.append(Branch(name, chains))
        keys[name] = draw(_many(KEYS, n))
        if draw(st.booleans()):
            least = draw(_many(st.integers(-1, 8), n))
            windows[name] = [(one, one + draw(st.sampled_from([0, 1, 2, 3, 5, 12, -1]))) for one in least]
    return Problem(
        racks(draw(_many(COSTS, n)), keys, windows, draw(_many(LEVELS, n))),
        tuple(branches),
        adapters=draw(st.integers(0, 2)),
        unknown=draw(st.integers(0, 2)),
        least_level=draw(st.sampled_from([0, 0, 0, 1, 2])),
        pair=draw(st.sampled_from([None, scrambled_pair])),
        whole=draw(st.sampled_from([None, scrambled_whole, whole_by_piece])) if whole else None,
    )


@st.composite
def lengthy(draw: st.DrawFn) -> Problem:
    """A problem in which all keys agree, so that only lengths and adapters decide."""
    stations = []
    for at in range(2):
        n = draw(st.integers(2, 4))
        gives = _many(st.sampled_from([0, 0, 1, 2]), n)
        stations.append(
            station(f"part.{at}", draw(_many(COSTS, n)), 0, 0, draw(_many(st.integers(0, 9), n)), draw(gives))
        )
    tables = []
    for at in range(3):
        n = draw(st.integers(1, 2))
        adapters = draw(_many(st.integers(0, 1), n))
        tables.append(links(f"link.{at}", draw(_many(COSTS, n)), 0, 0, draw(_many(LENGTHS, n)), adapters=adapters))
    layout = Layout("one", tuple(stations), tuple(Interface(one.name, one) for one in tables), 0, "end")
    least = draw(_many(st.integers(0, 24), 2))
    windows = [(one, one + draw(st.integers(0, 2))) for one in least]
    return Problem(racks(draw(_many(COSTS, 2)), {"b": [0, 0]}, {"b": windows}), (Branch("b", (layout,)),), adapters=2)


def _scramble(*things: Any) -> int:
    made = 7
    for thing in things:
        for letter in str(thing):
            made = (made * 31 + ord(letter)) % 1_000_003
    return made


def scrambled_pair(before: Piece, after: Piece) -> int | None:
    """A pair test without rhyme."""
    return [0, 0, 0, 0, 0, 0, 1, None][_scramble(before, after) % 8]


def scrambled_whole(mix: Mix) -> Judged:
    """A whole test without rhyme, adding to the cost."""
    made = _scramble(mix.order)
    return Judged([0, 0, 1, 2, None][made % 5], made // 5 % 4)


def whole_by_piece(mix: Mix) -> Judged:
    """A whole test that names what its level rests on: one piece, or two."""
    for level in (None, 2, 1):
        for one in mix.pieces:
            if _scramble(one) % 9 == (level or 0):
                return Judged(level, 1, frozenset([one]))
        for one in mix.pieces:
            for other in mix.pieces:
                if _scramble(one, other) % 23 == (level or 0):
                    return Judged(level, 0, frozenset([one, other]))
    return Judged(0)
