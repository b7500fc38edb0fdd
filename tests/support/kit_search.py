"""Every mix of a small search problem, one by one: slow and plain, what the engine is compared with."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from fitment.kits.search.model import (
    DIRECT,
    NO_KEY,
    RACK,
    UNKNOWN,
    Chain,
    Found,
    Layout,
    Mix,
    Piece,
    Problem,
)


def best(problem: Problem, top: int) -> list[Found]:
    """The `top` best of all mixes."""
    return sorted(every_mix(problem), key=lambda found: (found.level, found.cost, found.mix.order))[:top]


def every_mix(problem: Problem) -> Iterator[Found]:
    """All mixes that go, in no order."""
    branches = [
        [(place, layout, *rest) for place, layout in enumerate(branch.layouts) for rest in _chains(layout)]
        for branch in problem.branches
    ]
    for rack in range(len(problem.racks.cost)):
        for chosen in product(*branches):
            if (found := _judged(problem, rack, chosen)) is not None:
                yield found


def _chains(layout: Layout) -> Iterator[tuple[tuple[int, ...], tuple[int, ...]]]:
    counts = [range(len(station.cost)) for station in layout.stations]
    ways = [[DIRECT, *(range(len(one.links.cost)) if one.links is not None else ())] for one in layout.interfaces]
    for stations in product(*counts):
        for links in product(*ways):
            yield stations, links


def together(one: int, other: int) -> bool:
    """Whether two keys go together."""
    return one == other or one in (UNKNOWN, NO_KEY) or other in (UNKNOWN, NO_KEY)


def _judged(problem: Problem, rack: int, chosen: tuple) -> Found | None:
    cost, level = int(problem.racks.cost[rack]), max(int(problem.racks.level[rack]), problem.least_level)
    gaps = adapters = 0
    order, chains, pieces = [rack], [], [Piece(RACK, rack)]
    for branch, (place, layout, stations, links) in zip(problem.branches, chosen, strict=True):
        key = int(problem.racks.keys[branch.name][rack])
        gaps += key == UNKNOWN
        gaps += layout.end == UNKNOWN
        before = Piece(RACK, rack)
        length = give = 0
        order.append(place)
        for at, interface in enumerate(layout.interfaces):
            order.append(links[at])
            meeting = []
            if links[at] != DIRECT:
                table, link = interface.links, links[at]
                if not together(key, int(table.inner[link])):
                    return None
                key = int(table.outer[link])
                cost += int(table.cost[link])
                length += int(table.length[link])
                level = max(level, int(table.level[link]))
                adapters += int(table.adapters[link])
                if table.adapters[link]:
                    piece = Piece(table.name, link)
                    pieces.append(piece)
                    meeting.append((before, piece))
                    before = piece
            if at == len(layout.stations):
                after, inner, outer = Piece(layout.end_name, 0), layout.end, NO_KEY
            else:
                station, index = layout.stations[at], stations[at]
                order.append(index)
                after, inner, outer = Piece(station.name, index), int(station.inner[index]), int(station.outer[index])
                pieces.append(after)
                cost += int(station.cost[index])
                length += int(station.length[index])
                give += int(station.give[index])
                level = max(level, int(station.level[index]))
                gaps += (inner == UNKNOWN) + (outer == UNKNOWN)
            if not together(key, inner):
                return None
            meeting.append((before, after))
            to_make = links[at] != DIRECT and links[at] == interface.to_make
            if interface.tested and problem.pair is not None and not to_make:
                for two in meeting:
                    answer = problem.pair(*two)
                    if answer is None:
                        return None
                    level = max(level, answer)
            key, before = outer, after
        if branch.name in problem.racks.windows:
            least, most = (int(x) for x in problem.racks.windows[branch.name][rack])
            if least > most or length > most or length + give < least:
                return None
        chains.append(Chain(branch.name, layout.name, stations, links))
    if gaps:
        level = max(level, problem.gap_level)
    if gaps > problem.unknown or adapters > problem.adapters:
        return None
    mix = Mix(rack, tuple(chains), tuple(pieces), gaps, adapters, tuple(order))
    extra = 0
    if problem.whole is not None:
        judged = problem.whole(mix)
        if judged.level is None:
            return None
        level, extra = max(level, judged.level), judged.extra
    if level >= problem.levels:
        return None
    return Found(mix, level, cost + extra, extra)
