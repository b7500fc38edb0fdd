"""Windows of tie rods leave out only what the check of their length refuses, and spare the search most of that."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import product

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from fitment.doubt import Draws
from fitment.finding import Finding, Verdict
from fitment.joints.kinds import joint_kinds
from fitment.joints.limits import default_limits
from fitment.joints.registration import Setting
from fitment.kits import rod_length
from fitment.kits.assembly import assemble
from fitment.kits.propose import propose
from fitment.kits.propose.candidates import Shelf, kinds_of_parts
from fitment.kits.propose.judge import Judge, StockBook
from fitment.kits.propose.kit_of import kit_of, rod_lengths
from fitment.kits.propose.ledger import Tally
from fitment.kits.propose.problem import Allowed, Query
from fitment.kits.propose.proposal import Asked
from fitment.kits.propose.wants import Wants
from fitment.kits.search.model import DIRECT, RACK, Chain, Mix, Problem
from fitment.kits.search.read import length_of, stands
from tests.support.every_mix import SAMPLES, PlainStock, designs_of, every_mix
from tests.support.good_kit import good
from tests.support.mix import CAR, SIDES

DONOR = "NORTH/V-9"

#: what may be otherwise of a part: feature, dimension, values; None takes the reading away
CHANGES: dict[str, list[tuple[str, str, Sequence[object]]]] = {
    "NORTH/RK-1": [
        ("body", "inner_spacing", [600.0, 650.0, 672.0, 712.0, None]),
        ("body", "bar_length", [560.0, 610.0, 632.0, 672.0, None]),
        ("body", "joint_offset", [None]),
        ("mount", "hole_1", [(-38.0, 185.0, -23.0)]),
    ],
    "NORTH/IJ-1": [("body", "ball_offset", [0.0, 12.0, 24.0, 41.0, None])],
    "NORTH/TR-1": [
        ("body", "length", [200.0, 243.0, 262.0, 291.0, 330.0, None]),
        ("body", "ball_offset", [18.0]),
        ("outer", "depth", [22.0, 70.0, None]),
        ("outer", "jam_nut", [None, 30.0]),
        ("outer", "sex", ["female", None]),
        ("outer", "thread", ["M16x1.5", None]),
    ],
    "NORTH/RE-1": [
        ("body", "centre", [20.0, 38.0, 60.0, 95.0, None]),
        ("shank", "depth", [18.0, 55.0, None]),
        ("shank", "sex", ["male", None]),
        ("shank", "jam_nut", [9.0]),
        ("stud", "height", [9.0, 30.0, None]),
    ],
    "NORTH/XM-1": [("mount", "hole_2", [(163.0, 195.0, 190.0)]), ("mount", "hole_3", [(97.0, -175.0, 180.0)])],
}
#: a part, and what is otherwise of it: (feature, dimension, value), its doubt, and the shape of that
Change = tuple[str, str, object, float, str]
Other = tuple[str, tuple[Change, ...]]
_OTHERS = st.sampled_from(sorted(CHANGES)).flatmap(
    lambda like: st.tuples(
        st.just(like),
        st.lists(
            st.tuples(
                st.sampled_from([(end, name, value) for end, name, values in CHANGES[like] for value in values]),
                st.sampled_from([0.0, 0.05, 0.6, 4.0]),
                st.sampled_from(["normal", "rectangular", "t2.5", "t1"]),
            ).map(lambda drawn: (*drawn[0], *drawn[1:])),
            max_size=3,
        ).map(tuple),
    )
)


def surveyed(others: Sequence[Other], off_eye: float | None, together: bool, shift: float) -> PlainStock:
    """The rods of a good kit in its surveyed car, with more designs of everything.

    Args:
        others: more designs.
        off_eye: how high the surveyed ball stood off the eye, mm, where that was taken.
        together: whether rack and inner joint were taken together.
        shift: mm by which the crossmember's holes lie off the middle.
    """
    mix = good()
    for name, kind in list(mix.kinds.items()):
        keep = kind in ("rack", "inner-joint", "tie-rod", "rod-end", "knuckle", "crossmember", "vehicle")
        if not keep or (name.endswith("-2") and kind != "knuckle"):
            del mix.kinds[name]
    if off_eye is not None:
        for side in SIDES:
            mix.set(f"{CAR} corner.{side}", ball_off_eye=off_eye)
    for number, (x, y) in enumerate(((87.0, 175.0), (163.0, 175.0), (87.0, -175.0), (163.0, -175.0)), 1):
        mix.set("NORTH/XM-1 mount", **{f"hole_{number}": (x, y + shift, 190.0)})
    if together:  # then half the spacing decides, not how far the joint holds its ball off the bar
        mix.set("NORTH/IJ-1 body", ball_offset=8.0)
        for side in SIDES:
            mix.try_("assembled-with", f"NORTH/RK-1 bar-end.{side}", "NORTH/IJ-1 bar-side")
    for at, (like, changes) in enumerate(others):
        name = f"{like[:-1]}{at + 5}"
        mix.also(like, name)
        for feature, dimension, value, u, shape in changes:
            uses, key = mix.uses[f"{name} {feature}"], dimension.replace("_", "-")
            if value is None:
                uses.pop(key, None)
                continue
            mix.set(f"{name} {feature}", u, **{dimension: value})
            if isinstance(value, float) and u:
                uses[key] = replace(uses[key], shape=shape)
    own = {name: CAR for name, kind in mix.kinds.items() if kind in ("knuckle", "crossmember")}
    rods = {name: DONOR for name, kind in mix.kinds.items() if kind in ("inner-joint", "tie-rod")}
    return PlainStock(mix, {**rods, **own})


def asked_of(stock: PlainStock) -> tuple[Query, Problem | None]:
    """The search's problem for the car."""
    listed = stock.of_kinds(kinds_of_parts())
    shelf = Shelf(listed, CAR, (), frozenset())
    judge = Judge(StockBook(stock, CAR, listed), SAMPLES)
    query = Query(CAR, shelf, judge, Tally(Wants(), frozenset(), {}), rod_lengths(listed), Allowed(0, 0))
    return query, query.problem()


def every_rod(problem: Problem) -> list[Mix]:
    """Every rack with every chain of rods and every crossmember."""
    others = range(len(problem.branches[1].layouts[0].stations[0].cost))
    found = []
    for rack in range(len(problem.racks.cost)):
        for way, layout in enumerate(problem.branches[0].layouts):
            for stations in product(*(range(len(one.cost)) for one in layout.stations)):
                for other in others:
                    links = (DIRECT,) * len(layout.interfaces)
                    order = [rack, way, *(part for at in stations for part in (DIRECT, at)), DIRECT]
                    chains = (
                        Chain("rods", layout.name, stations, links),
                        Chain("crossmember", "crossmember", (other,), (DIRECT, DIRECT)),
                    )
                    found.append(Mix(rack, chains, (), 0, 0, (*order, 0, DIRECT, other, DIRECT)))
    return found


def lengths_of(stock: PlainStock, query: Query, mix: Mix) -> list[Finding]:
    """What the check of the length says of both sides."""
    kit = kit_of(query.named(mix))
    assembly = assemble(kit, stock, joint_kinds())
    looked = rod_length.look(kit, assembly, Setting(default_limits(), Draws(SAMPLES)))
    return [finding for summary in looked.summaries for finding in summary.findings]


def is_left_out(problem: Problem, mix: Mix) -> bool:
    """Whether the rods of a mix stand out of its rack's window."""
    least, most = problem.racks.windows["rods"][mix.rack].tolist()
    return not stands(*length_of(problem, mix.order, 0), least, most)


_SPACED: Other = (
    "NORTH/RK-1",
    (("body", "inner_spacing", 650.0, 0.05, "normal"), ("body", "bar_length", 610.0, 0.05, "normal")),
)
_HIGH: Other = ("NORTH/RE-1", (("stud", "height", 30.0, 0.05, "normal"),))
_NEAR: Other = ("NORTH/TR-1", (("body", "length", 291.0, 0.6, "normal"),))
_ONE: Other = (
    "NORTH/TR-1",
    (("body", "ball_offset", 18.0, 0.6, "rectangular"), ("body", "length", 262.0, 0.6, "t2.5")),
)
_FAR: Other = ("NORTH/TR-1", (("body", "ball_offset", 80.0, 0.05, "normal"),))


_WIDE_ROD: Other = ("NORTH/TR-1", (("outer", "depth", 80.0, 0.05, "normal"),))
_WIDE_END: Other = ("NORTH/RE-1", (("shank", "depth", 70.0, 0.05, "normal"),))
_AHEAD: Other = (
    "NORTH/XM-1",
    tuple(
        ("mount", f"hole_{number}", (x + 90.0, y, 190.0), 0.03, "normal")
        for number, (x, y) in enumerate(((87.0, 175.0), (163.0, 175.0), (87.0, -175.0), (163.0, -175.0)), 1)
    ),
)


@settings(max_examples=100, deadline=None)
@given(
    st.lists(_OTHERS, min_size=1, max_size=4),
    st.sampled_from([None, None, -20.0, 25.0]),
    st.booleans(),
    st.sampled_from([0.0, 0.0, 6.0, 30.0]),
    st.integers(0, 10_000),
    st.booleans(),
)
@example([_SPACED, _HIGH, _NEAR, _FAR], -20.0, False, 0.0, 0, True)
@example([_FAR, _AHEAD], None, False, 0.0, -1, False)
@example([_WIDE_ROD, _WIDE_END], None, False, 6.0, -1, True)
@example([_AHEAD], None, False, 0.0, -1, True)
@example([_AHEAD], None, False, 0.0, -1, False)
@example([_SPACED, _ONE, _NEAR, _FAR], None, True, 6.0, 0, False)
@example([_SPACED, _ONE, _NEAR, _FAR], None, True, 6.0, 1, True)
def test_no_mix_is_left_out_of_which_check_might_say_that_it_fits(
    others: list[Other], off_eye: float | None, together: bool, shift: float, which: int, longer: bool
) -> None:
    """Not even one whose rod is of just the length at which its doubt no longer lets check refuse it."""
    stock = surveyed(others, off_eye, together, shift)
    query, problem = asked_of(stock)
    if problem is None or not problem.racks.windows:
        return
    known = []
    for mix in every_rod(problem):
        found = lengths_of(stock, query, mix)
        # of sides that are known both the worse one is told
        refused = any(one.verdict is Verdict.DOES_NOT_FIT for one in found)
        assert not is_left_out(problem, mix) or refused or any(one.margin is None for one in found), query.named(mix)
        if all(one.margin is not None for one in found):
            known.append(mix)
    for mix in known[which % max(len(known), 1) :: max(len(known) // 3, 1)]:
        just_not_refused(stock, mix, longer)


def just_not_refused(stock: PlainStock, mix: Mix, longer: bool) -> None:
    """A rod is made so long that its doubt just lets no check refuse it; then the mix is not left out."""
    query, _ = asked_of(stock)
    rod = f"{query.named(mix).parts['left.tie_rod'].part.name} body"
    kept = length = stock.mix.uses[rod]["length"]
    for turn in range(3):  # out of the reach of either end, then nearer and nearer
        found = lengths_of(stock, query, mix)
        left = [one.figures[f"range_left_{'out' if longer else 'in'}"].value for one in found]
        high = min(one.margin.high for one in found if one.margin is not None)
        by = 0.05 - high if turn else -min(left)
        length = replace(length, value=length.number + (by if longer else -by))
        stock.mix.uses[rod]["length"] = length
        query, problem = asked_of(stock)
    assert problem is not None
    if all(one.margin is not None and one.margin.high > 0 for one in lengths_of(stock, query, mix)):
        assert not is_left_out(problem, mix), query.named(mix)
    stock.mix.uses[rod]["length"] = kept


@pytest.mark.parametrize("off_eye", [None, -22.0])
def test_windows_spare_most_of_what_check_would_refuse(off_eye: float | None) -> None:
    lengths = [("NORTH/TR-1", (("body", "length", 150.0 + 15.0 * at, 0.05, "normal"),)) for at in range(16)]
    stock = surveyed([*lengths, _SPACED], off_eye, False, 0.0)
    query, problem = asked_of(stock)
    assert problem is not None
    cut = refused = 0
    for mix in every_rod(problem):
        cut += is_left_out(problem, mix)
        refused += any(one.verdict is Verdict.DOES_NOT_FIT for one in lengths_of(stock, query, mix))
    assert 0.8 * refused < cut <= refused < len(every_rod(problem))


@settings(max_examples=8, deadline=None)
@given(st.lists(_OTHERS, min_size=1, max_size=2), st.sampled_from([None, 25.0]), st.sampled_from([0, 0, 1]))
@example([_SPACED, _NEAR], None, 0)
@example([_ONE, _HIGH], 25.0, 0)
def test_every_mix_that_goes_for_a_surveyed_car_is_proposed(
    others: list[Other], off_eye: float | None, unknown: int
) -> None:
    stock, asked = surveyed(others, off_eye, False, 0.0), Asked(CAR, unknown=unknown, top=40)
    best: dict[tuple[str, ...], int] = {}
    for level, _, text in every_mix(stock, asked):
        best.setdefault(designs_of(text), level)
    told = propose(stock, asked, samples=SAMPLES)
    assert told.proven
    assert {designs_of(kit.text): 3 - kit.verdict.rank for kit in told.kits} == best


def test_a_car_without_points_and_a_question_that_admits_gaps_have_no_windows() -> None:
    stock = surveyed([_NEAR], None, False, 0.0)
    query, problem = asked_of(stock)
    assert problem is not None
    assert set(problem.racks.windows) == {"rods"}
    for allowed, forgiven in ((Allowed(1, 0), ""), (Allowed(0, 1), ""), (Allowed(0, 0), "rod_length")):
        more = query.again(allowed, forgiven).problem()
        assert more is not None
        assert not more.racks.windows
    for side in SIDES:
        stock.mix.uses.pop(f"{CAR} corner.{side}")
    _, plain = asked_of(stock)
    assert plain is not None
    assert not plain.racks.windows
    assert len(plain.racks.cost) == len(query.candidates[RACK])


def test_fewer_whole_kits_are_checked_within_windows(monkeypatch: pytest.MonkeyPatch) -> None:
    others = [("NORTH/TR-1", (("body", "length", 150.0 + 15.0 * at, 0.05, "normal"),)) for at in range(12)]
    stock = surveyed(others, None, False, 0.0)
    within = propose(stock, Asked(CAR), samples=SAMPLES)
    monkeypatch.setattr("fitment.kits.propose.problem.with_rod_windows", lambda problem, *_: problem)
    without = propose(stock, Asked(CAR), samples=SAMPLES)
    assert [kit.text for kit in within.kits] == [kit.text for kit in without.kits]
    assert within.proven
    assert within.tests < without.tests / 2
