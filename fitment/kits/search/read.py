"""What the numbers of an order stand for: a mix, its lengths and gaps; and whether a problem is well formed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from fitment.kits.search.model import DIRECT, RACK, UNKNOWN, Branch, Chain, Layout, Mix, Piece, Problem


def branch_pieces(branch: Branch, order: Sequence[int]) -> list[Piece]:
    """Pieces of a branch by its part of an order (layout, link, station, link, ..., link), with adapters and end.

    Where an adapter might be and none is, its place is there with `DIRECT`.
    """
    layout = branch.layouts[order[0]]
    made = []
    for at, interface in enumerate(layout.interfaces):
        link = order[1 + 2 * at]
        if interface.links is not None and (link == DIRECT or interface.links.adapters[link]):
            made.append(Piece(interface.links.name, link))
        if at < len(layout.stations):
            made.append(Piece(layout.stations[at].name, order[2 + 2 * at]))
    return [*made, Piece(layout.end_name, 0)]


def parts_of(problem: Problem, order: tuple[int, ...]) -> list[tuple[Branch, Layout, tuple[int, ...]]]:
    """Each branch with the layout used and its part of an order, the layout's place first."""
    made, rest = [], order[1:]
    for branch in problem.branches:
        layout = branch.layouts[rest[0]]
        size = 2 + 2 * len(layout.stations)
        made.append((branch, layout, rest[:size]))
        rest = rest[size:]
    return made


def mix_of(problem: Problem, order: tuple[int, ...], gaps: int, adapters: int) -> Mix:
    """The mix with this order."""
    chains, pieces = [], [Piece(RACK, order[0])]
    for branch, layout, mine in parts_of(problem, order):
        chains.append(Chain(branch.name, layout.name, mine[2::2], mine[1::2]))
        pieces += [piece for piece in branch_pieces(branch, mine)[:-1] if piece.at != DIRECT]
    return Mix(order[0], tuple(chains), tuple(pieces), gaps, adapters, order)


def stands(low: int, give: int, least: int, most: int) -> bool:
    """Whether a chain stands in a window."""
    return least <= most and low <= most and low + give >= least


def links_of(layout: Layout, at: int) -> int:
    """How many links an interface has: the index of one more."""
    table = layout.interfaces[at].links
    return 0 if table is None else len(table.cost)


def link_at(problem: Problem, order: tuple[int, ...], place: int, layout: Layout, at: int) -> int:
    """The link that a mix uses at an interface of a layout; `DIRECT` too where it uses another layout."""
    _, used, mine = parts_of(problem, order)[place]
    return mine[1 + 2 * at] if used.name == layout.name else DIRECT


def length_of(problem: Problem, order: tuple[int, ...], place: int) -> tuple[int, int]:
    """Shortest length of a mix's chain and its give, in 0.1 mm."""
    _, layout, mine = parts_of(problem, order)[place]
    low = give = 0
    for at, interface in enumerate(layout.interfaces):
        link = mine[1 + 2 * at]
        if link not in (DIRECT, links_of(layout, at)) and interface.links is not None:
            low += int(interface.links.length[link])
        if at < len(layout.stations):
            low += int(layout.stations[at].length[mine[2 + 2 * at]])
            give += int(layout.stations[at].give[mine[2 + 2 * at]])
    return low, give


def with_gaps(problem: Problem, mix: Mix) -> tuple[Piece, ...]:
    """The pieces of a mix that have an unknown key, ends of chains too."""
    made: list[Piece] = []
    if any(int(problem.racks.keys[branch.name][mix.rack]) == UNKNOWN for branch in problem.branches):
        made.append(mix.pieces[0])
    for _, layout, mine in parts_of(problem, mix.order):
        for at, station in enumerate(layout.stations):
            number = mine[2 + 2 * at]
            if UNKNOWN in (int(station.inner[number]), int(station.outer[number])):
                made.append(Piece(station.name, number))
        if layout.end == UNKNOWN:
            made.append(Piece(layout.end_name, 0))
    return tuple(made)


def look_over(problem: Problem) -> None:
    """Nothing, where the problem is well formed.

    Raises:
        ValueError: names given twice, a branch without layout, racks without key for a branch, unlike shapes.
    """
    racks, names = problem.racks, [branch.name for branch in problem.branches]
    n = len(racks.cost)
    for name in names:
        if name not in racks.keys or len(racks.keys[name]) != n:
            raise ValueError(f"branch {name}: there must be a key for each of {n} racks")
    for name, windows in racks.windows.items():
        if name not in names or windows.shape != (n, 2):
            raise ValueError(f"windows {name}: there must be such a branch and a window for each of {n} racks")
    places = [RACK]
    for branch in problem.branches:
        if not branch.layouts:
            raise ValueError(f"branch {branch.name}: no layout")
        for layout in branch.layouts:
            if len(layout.interfaces) != len(layout.stations) + 1:
                raise ValueError(f"layout {layout.name}: there must be one interface more than stations")
            places += [station.name for station in layout.stations]
            places += [one.links.name for one in layout.interfaces if one.links is not None]
    twice = [name for name, times in Counter(places).items() if times > 1]
    if twice or len(set(names)) < len(names):
        raise ValueError(f"names given twice: {', '.join(twice) or ', '.join(names)}")
    if problem.adapters < 0 or problem.unknown < 0 or not 0 <= problem.least_level <= problem.levels:
        raise ValueError("adapters, gaps and levels are counted from 0")
