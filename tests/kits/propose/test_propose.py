"""A proposal is what `check` says of every mix: the same kits, verdicts and points, best first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import islice
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from fitment.doubt import Draws
from fitment.finding import Verdict
from fitment.joints.kinds import joint_kinds
from fitment.joints.registration import Setting
from fitment.kits.assembly import assemble
from fitment.kits.check import check
from fitment.kits.kit import Kit
from fitment.kits.kit_file import read_kit
from fitment.kits.propose import propose
from fitment.kits.propose.judge import Judge
from fitment.kits.propose.kit_of import Adapter, Named, kit_of, rod_lengths
from fitment.kits.propose.memory import Memory
from fitment.kits.propose.proposal import Asked
from fitment.kits.propose.wants import Wants
from fitment.kits.roles import whole_kit_checks
from fitment.kits.search.model import Budget
from fitment.kits.whole import Looked
from fitment.sheets.propose_text import propose_text
from tests.support.every_mix import SAMPLES, PlainStock, designs_of, every_mix
from tests.support.good_kit import good
from tests.support.mix import CAR, SIDES


def plain() -> PlainStock:
    """The rods, boots and knuckles of a good kit, in a car without surveyed points, which is soon checked."""
    mix = good()
    for name, kind in list(mix.kinds.items()):
        keep = kind in ("rack", "inner-joint", "tie-rod", "rod-end", "knuckle", "boot", "vehicle")
        if not keep or (name.endswith("-2") and kind not in ("knuckle", "rack")):
            del mix.kinds[name]
    for side in SIDES:
        mix.uses.pop(f"{CAR} corner.{side}", None)
    mix.set("NORTH/BO-1 body", rod_angle=10.0)
    return PlainStock(mix, {"NORTH/KN-1": CAR, "NORTH/KN-2": CAR})


#: what may be otherwise of a second design: feature, dimension, values; None takes the reading away
_CHANGES: dict[str, list[tuple[str, str, list[object]]]] = {
    "NORTH/RK-1": [
        ("bar-end.left", "thread", ["M12x1.25", None]),
        ("bar-end.right", "hand", [None]),
        ("body", "tube_left", [36.0]),
        ("body", "turns", [2.6, None]),
    ],
    "NORTH/IJ-1": [
        ("bar-side", "thread", ["M12x1.25", None]),
        ("rod-side", "thread", ["M12x1.25"]),
        ("body", "condition", ["worn"]),
        ("body", "play_axial", [0.2, 3.0]),
    ],
    "NORTH/TR-1": [
        ("outer", "hand", ["LH", None]),
        ("inner", "thread", ["M12x1.25"]),
        ("outer", "depth", [12.0, None]),
        ("body", "ball_offset", [20.0]),
        ("body", "rod_dia", [22.0]),
    ],
    "NORTH/RE-1": [
        ("shank", "thread", ["M12x1.25", None]),
        ("stud", "large", [15.6, 14.2, None]),
        ("stud", "pin_hole", [None]),
        ("body", "welds", ["repair"]),
    ],
    "NORTH/BO-1": [("body", "small", [10.0, None]), ("body", "longest", [180.0])],
}


#: a second design: which it is like, and what is otherwise of it (feature, dimension, value)
Second = tuple[str, tuple[tuple[str, str, object], ...]]
_SECONDS = st.sampled_from(sorted(_CHANGES)).flatmap(
    lambda like: st.tuples(
        st.just(like),
        st.lists(
            st.sampled_from([(end, name, value) for end, name, values in _CHANGES[like] for value in values]),
            max_size=2,
        ).map(tuple),
    )
)
_PRICES = st.lists(st.sampled_from(["", "5", "12.5", "80"]), min_size=3, max_size=3)


#: designs of which one, two and three readings are missing, in all mixes
_LACKING: list[Second] = [
    ("NORTH/TR-1", (("outer", "hand", None), ("outer", "depth", None))),
    ("NORTH/RE-1", (("stud", "pin_hole", None),)),
    ("NORTH/BO-1", (("body", "small", None),)),
]
#: designs that are refused only beside one another: a boot on a rod too thick for it, a stud that must be reamed for
_REFUSED: list[Second] = [
    ("NORTH/TR-1", (("body", "rod_dia", 22.0),)),
    ("NORTH/BO-1", (("body", "small", 20.0),)),
    ("NORTH/RE-1", (("stud", "large", 15.6),)),
]


def world(seconds: Sequence[Second], prices: Sequence[str], adapter: bool = False) -> PlainStock:
    """The plain world with more designs, each otherwise in up to two readings."""
    stock = plain()
    for number, (like, changes) in enumerate(seconds):
        name = f"{like[:-1]}{number + 5}"
        stock.mix.also(like, name)
        for feature, dimension, value in changes:
            if value is None:
                stock.mix.uses[f"{name} {feature}"].pop(dimension.replace("_", "-"), None)
            else:
                stock.mix.set(f"{name} {feature}", **{dimension: value})
    if adapter:
        _adapter(stock)
    stock.prices = {name: prices[at % len(prices)] for at, name in enumerate(sorted(stock.mix.kinds))}
    return stock


def _adapter(stock: PlainStock) -> None:
    """A made adapter of good papers from the one thread to the other, and a rod end that wants it."""
    mix = stock.mix
    mix.kinds["NORTH/AD-1"] = "adapter"
    mix.set("NORTH/AD-1 body", length=62.0, od=28.0, concentricity=0.02, drawing="7", revision="A", lot="3")
    mix.set("NORTH/AD-1 body", material="alloy steel", condition="quenched", certificate="3.1", coating="none")
    mix.set("NORTH/AD-1 a", thread="M14x1.5", hand="RH", sex="female", depth=26.0, wall=6.0)
    mix.set("NORTH/AD-1 b", thread="M16x1.5", hand="RH", sex="male", depth=28.0)
    mix.also("NORTH/RE-1", "NORTH/RE-9")
    mix.set("NORTH/RE-9 shank", thread="M16x1.5", wall=6.0)


def held_against_every_mix(stock: PlainStock, asked: Asked) -> None:
    """The proposal has the best of all mixes, and each kit's verdict and points are those of its file."""
    every = every_mix(stock, asked)
    told = propose(stock, asked, samples=SAMPLES)
    assert told.proven
    best: dict[object, tuple[int, int]] = {}
    for level, cost, text in every:
        best.setdefault(designs_of(text), (level, cost))
    expected = list(islice(best.values(), asked.top))
    assert [(3 - kit.verdict.rank, round(kit.cost * 100)) for kit in told.kits] == expected
    for kit in told.kits:
        report = check(read_kit(kit.text.encode(), "proposal.toml"), stock, Draws(SAMPLES))
        assert report.verdict is kit.verdict is not Verdict.DOES_NOT_FIT
        assert best[designs_of(kit.text)] == (3 - kit.verdict.rank, round(kit.cost * 100))
    assert (told.why_none is None) == bool(told.kits)
    assert told.exit_code == (told.kits[0].verdict.exit_code if told.kits else 1)


@settings(max_examples=20, deadline=None)
@given(
    st.lists(_SECONDS, min_size=1, max_size=3),
    _PRICES,
    st.sampled_from([0, 1, 2]),
    st.booleans(),
    st.sampled_from([1, 3, 40]),
)
@example(_LACKING, ["5", "80"], 1, False, 40)
@example(_LACKING, ["5", "80", "12.5"], 2, False, 40)
@example(_REFUSED, ["5", "80"], 0, False, 40)
@example(_REFUSED, ["80", "5"], 1, True, 3)
def test_the_best_of_every_mix_is_proposed(
    seconds: list[Second], prices: list[str], unknown: int, no_work: bool, top: int
) -> None:
    wants = Wants((3.0, 3.6), no_work)
    held_against_every_mix(world(seconds, prices), Asked(CAR, wants, unknown=unknown, top=top))


@settings(max_examples=6, deadline=None)
@given(st.lists(_SECONDS, max_size=1), _PRICES, st.sampled_from([0, 1]))
def test_the_best_of_every_mix_with_an_adapter_is_proposed(
    seconds: list[Second], prices: list[str], unknown: int
) -> None:
    held_against_every_mix(world(seconds, prices, adapter=True), Asked(CAR, unknown=unknown, adapters=1, top=40))


def test_an_interrupted_search_says_what_it_has_and_proves_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    stock = world([("NORTH/RE-1", ()), ("NORTH/BO-1", ()), ("NORTH/TR-1", ())], ["5", "80"])
    asked, rests, left = Asked(CAR), Judge.rests, [3]

    def pressed(self: Judge, *words: Any) -> Any:
        if not left[0]:
            raise KeyboardInterrupt
        left[0] -= 1
        return rests(self, *words)

    monkeypatch.setattr(Judge, "rests", pressed)
    told = propose(stock, asked, samples=SAMPLES)
    assert (told.stopped, told.proven, len(told.kits)) == ("interrupted", False, 3)
    assert told.least is not None
    every = every_mix(stock, asked)
    assert told.least.cost * 100 <= every[3][1]
    text = propose_text(told, 80)
    assert "not proven (interrupted)" in " ".join(text.split())


def test_a_budget_that_ends_first_proves_nothing_and_tells_the_bound() -> None:
    stock = world([("NORTH/RE-1", ()), ("NORTH/BO-1", ())], ["5", "80"])
    told = propose(stock, Asked(CAR), Budget(tests=1), SAMPLES)
    assert (told.stopped, told.proven) == ("budget", False)
    assert told.least is not None
    assert "not proven (the search was given up)" in " ".join(propose_text(told, 80).split())


def test_the_kit_of_a_mix_is_its_file_read_in() -> None:
    stock = world([], ["5"], adapter=True)
    told = propose(stock, Asked(CAR, adapters=1), samples=SAMPLES)
    assert any(part.role == "adapter" for kit in told.kits for part in kit.parts)
    by_name = {one.part.name: one for one in stock.of_kinds(set(stock.mix.kinds.values()))}
    for kit in told.kits:
        read = read_kit(kit.text.encode(), "proposal.toml")
        parts = {part.address: by_name[part.reference] for part in read.parts}
        adapters = tuple(Adapter(by_name[one.reference], one.between, one.ends) for one in read.adapters)
        made = kit_of(Named(CAR, parts, adapters, rod_lengths(list(by_name.values()))))
        assert (read.facts, read.seat, read.limits, read.note) == (made.facts, made.seat, made.limits, made.note)
        assert [(one.address, one.reference) for one in read.parts] == [
            (one.address, one.reference) for one in made.parts
        ]
        assert [(one.reference, one.between, one.ends) for one in read.adapters] == [
            (one.reference, one.between, one.ends) for one in made.adapters
        ]


def test_what_is_remembered_is_what_check_says() -> None:
    """A whole kit with all its geometry, then with other parts here and there, then as it was: one memory for all."""
    first = good()
    other = first.copy()
    other.kinds["NORTH/RE-7"] = "rod-end"
    for feature, uses in first.uses.items():
        if feature.startswith("NORTH/RE-1 "):
            for dimension, use in uses.items():
                other.set(feature.replace("RE-1", "RE-7"), use.u, **{dimension.replace("-", "_"): use.value})
    other.set("NORTH/RE-7 body", centre=52.0)
    kits = [first.text(), other.text().replace('"NORTH/RE-1"', '"NORTH/RE-7"'), first.text().replace("BO-1", "BO-2")]
    memory, draws = Memory(), Draws(SAMPLES)
    for text in (*kits, *kits):
        kit = read_kit(text.encode(), "kit.toml")
        assert check(kit, other, draws, memory.kinds, memory.looking) == check(kit, other, Draws(SAMPLES))


def test_what_a_check_asks_of_all_facts_of_a_side_is_asked_again_where_one_differs() -> None:
    first = read_kit(good().text().encode(), "kit.toml")
    other = replace(first, facts={side: {**said, "tilt_outer": "9 deg"} for side, said in first.facts.items()})
    memory, row = Memory(), replace(whole_kit_checks()["direction"], module="")
    told: list[int] = []

    def counts(_row: object, kit: Kit, _assembly: object, _setting: object) -> Looked:
        told.append(len(kit.facts["left"]))
        return Looked(not_checked=tuple(kit.facts["left"]))

    setting = Setting(first.limits, Draws(SAMPLES))
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("fitment.kits.propose.memory.looked", counts)
        for kit in (first, other, first, other):
            assembly = assemble(kit, good(), joint_kinds())
            assert memory.looking(row, kit, assembly, setting).not_checked == tuple(kit.facts["left"])
    assert told == [len(first.facts["left"]), len(first.facts["left"]) + 1]


def test_a_proposal_of_which_check_says_otherwise_is_our_own_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuses(*arguments: Any, **names: Any) -> Any:
        return replace(check(*arguments, **names), joints=())

    asked = Asked(CAR, top=1)
    assert propose(plain(), asked, samples=SAMPLES).kits
    monkeypatch.setattr("fitment.kits.propose.run.check", refuses)
    with pytest.raises(RuntimeError, match="the search took it for"):
        propose(plain(), asked, samples=SAMPLES)
