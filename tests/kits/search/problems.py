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
