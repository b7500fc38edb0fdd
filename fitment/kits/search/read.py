"""From the numbers of an order to a mix, and whether a problem is well formed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from fitment.kits.search.model import DIRECT, RACK, Branch, Chain, Layout, Mix, Piece, Problem


def branch_pieces(branch: Branch, order: Sequence[int]) -> list[Piece]:
    """Pieces of a branch by its part of an order (layout, link, station, link, ..., link), with adapters and end."""
    layout = branch.layouts[order[0]]
    made = []
    for at, interface in enumerate(layout.interfaces):
        link = order[1 + 2 * at]
        if link != DIRECT and interface.links is not None and interface.links.adapters[link]:
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
        pieces += branch_pieces(branch, mine)[:-1]
    return Mix(order[0], tuple(chains), tuple(pieces), gaps, adapters, order)


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
