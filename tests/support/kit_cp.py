"""The same problem for a general solver: CP-SAT with one 0/1 variable per candidate and key-flow equalities.

One layout per branch, no pair test, no whole test, no unknown key, no give: what the market of `kit_market` asks.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from typing import Any

from ortools.sat.python import cp_model

from fitment.kits.search.model import RACK, Branch, Piece, Problem


@dataclass
class Model:
    """A problem as CP-SAT has it.

    Attributes:
        cp: the model.
        chosen: its variables by piece.
        links: those that a mix may do without.
        cost: what is to be least.
    """

    cp: cp_model.CpModel
    chosen: dict[Piece, Any] = field(default_factory=dict)
    links: list[Any] = field(default_factory=list)
    cost: list[Any] = field(default_factory=list)


def model_of(problem: Problem) -> Model:
    """The model of a problem."""
    made = Model(cp_model.CpModel())
    racks = _variables(made, RACK, problem.racks.cost)
    made.cp.add_exactly_one(racks)
    adapters: list[Any] = []
    for branch in problem.branches:
        _branch(made, problem, branch, racks, adapters)
    made.cp.add(sum(adapters) <= problem.adapters)
    made.cp.minimize(sum(made.cost))
    return made


def _variables(made: Model, place: str, costs: Any) -> list[Any]:
    variables = [made.cp.new_bool_var("") for _ in costs]
    made.cost += [cost * one for cost, one in zip(costs.tolist(), variables, strict=True)]
    made.chosen |= {Piece(place, at): one for at, one in enumerate(variables)}
    return variables


def _branch(made: Model, problem: Problem, branch: Branch, racks: list[Any], adapters: list[Any]) -> None:
    (layout,) = branch.layouts
    before = list(zip(problem.racks.keys[branch.name].tolist(), racks, strict=True))
    lengths: list[Any] = []
    for at, interface in enumerate(layout.interfaces):
        flow: dict[int, list[Any]] = defaultdict(list)
        for key, one in before:
            flow[key].append(one)
        if interface.links is not None:
            table = interface.links
            links = _variables(made, table.name, table.cost)
            made.links += links
            made.cp.add_at_most_one(links)
            for at_link, one in enumerate(links):
                # flow alone would let a link from a key to itself stand by where that key does not come
                if table.inner[at_link] == table.outer[at_link]:
                    made.cp.add(one <= sum(other for key, other in before if key == int(table.inner[at_link])))
                flow[int(table.inner[at_link])].append(-one)
                flow[int(table.outer[at_link])].append(one)
                adapters.append(int(table.adapters[at_link]) * one)
                lengths.append(int(table.length[at_link]) * one)
        if at < len(layout.stations):
            station = layout.stations[at]
            here = _variables(made, station.name, station.cost)
            made.cp.add_exactly_one(here)
            for key, length, one in zip(station.inner.tolist(), station.length.tolist(), here, strict=True):
                flow[key].append(-one)
                lengths.append(length * one)
            before = list(zip(station.outer.tolist(), here, strict=True))
        else:
            flow[layout.end].append(-1)
        for terms in flow.values():
            made.cp.add(sum(terms) == 0)
    if branch.name in problem.racks.windows:
        least, most = problem.racks.windows[branch.name].T.tolist()
        made.cp.add(sum(lengths) >= sum(low * one for low, one in zip(least, racks, strict=True)))
        made.cp.add(sum(lengths) <= sum(high * one for high, one in zip(most, racks, strict=True)))


def best_costs(problem: Problem, top: int, workers: int = 2, seconds: float = 120.0) -> list[int]:
    """Costs of the `top` best, each solved for after those before it were cut off; fewer where there are no more.

    Raises:
        TimeoutError: the solver did not prove one within its time.
    """
    made, costs = model_of(problem), []
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = workers
    solver.parameters.max_time_in_seconds = seconds
    for _ in range(top):
        status = solver.solve(made.cp)
        if status == cp_model.INFEASIBLE:
            break
        if status != cp_model.OPTIMAL:
            raise TimeoutError(f"not proven within {seconds:g} s")
        costs.append(round(solver.objective_value))
        used = [one for one in made.chosen.values() if solver.value(one)]
        unused = [one for one in made.links if not solver.value(one)]  # the same with a link more is another mix
        made.cp.add(sum(used) - sum(unused) <= len(used) - 1)
    return costs
