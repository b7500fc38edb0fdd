"""What was read once takes a short way: it must give what the rule gives, whatever was read before."""

from __future__ import annotations

import json
import uuid
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitment.catalogue.adopt import TRUST, Evidence, adopt, adopt_numbers
from fitment.catalogue.adopt_features import adopted_values
from fitment.catalogue.cells import SPACE, listed, named_uid
from fitment.catalogue.dictionary import dimensions_of, part_kinds
from fitment.catalogue.end_keys import KEYED, end_key, near_key
from fitment.catalogue.once_read import Maker, Read, tail, use_of
from fitment.catalogue.values import NUMERIC, bare_unit, read_values
from fitment.errors import DataFault
from fitment.joints.registration import Feature

KINDS = ("rod-end", "knuckle", "tie-rod", "universal-joint", "rack", "intermediate-shaft", "mount")
#: texts that a cell may have, by the kind of its value; few of each, so that they meet often
TEXTS = {
    "thread": ["M14x1.5", "M14x1.5-LH", "M16x1.5-RH", "9/16-18 UNF"],
    "taper": ["1:8 !", "1:10 !", "0.125 in/in u=0.001 !", "1:10 ±0.1 !"],
    "trial": ["pass gauge 1:8", "fail gauge 1:8", "pass gauge 1:10", "pass with NORTH/KN-1 eye contact 85 %", "fail"],
    "point": ["1, 2, 3 mm", "-1, 2, 3 mm"],
    "distances": ["1-2 centre 80 mm", "1-2 centre 81 mm"],
}
#: sizes that make threads and cones which a standard has
SIZES = ["14", "13.9", "1.5", "1.52", "12.5", "14.5 u=0.02", "12.7 u=0.02", "16", "18", "0"]
SITTINGS = {
    number: (kind, f"source of {kind}", "post 7" if kind == "forum" else "", f"OWN/T{number}", "", "")
    for number, kind in enumerate(TRUST)
}


def texts_for(name: str, value_kind: str, words: tuple[str, ...]) -> list[str]:
    if value_kind == "count":
        return ["36", "36 @count-ticked", "35", "2"]
    if value_kind in NUMERIC:
        return [f"{size} !" for size in SIZES]
    if value_kind == "word":
        return list(words[:3]) or ["3/4-36", "1-48", "said"]
    return TEXTS[value_kind]


def evidence(read: Read) -> Evidence:
    return Evidence(*read[1:9], *SITTINGS[read[9]])


#: dimensions that bear on one another; what is read of an end is drawn from one of these, or from all it has
TOGETHER = [
    {"thread", "hand", "sex", "od", "pitch", "minor"},
    {"taper", "gauge-trial", "large", "small", "length", "thick"},
    {"spline", "form", "name", "present", "sex"},
    {"as-left", "thread", "hand", "profile"},
]
#: sizes of one cone, 1:8, and of none
CONE = {"large": ["14.5 u=0.005 !"], "small": ["12.5 u=0.005 !", "14.5 u=0.005 !"], "length": ["16 u=0.005 !", "18 !"]}
CONE["thick"] = CONE["length"]


@st.composite
def parts(draw: st.DrawFn) -> tuple[str, list[Read]]:
    """A kind of part and readings in force on it."""
    kind = draw(st.sampled_from(KINDS))
    of = part_kinds()[kind].features
    reads: list[Read] = []
    for feature in draw(st.lists(st.sampled_from(sorted(of)), min_size=1, max_size=3)):
        known = dimensions_of(of[feature])
        some = [group for one in TOGETHER if len(group := sorted(one & known.keys())) > 1] + [sorted(known)]
        names = st.sampled_from(draw(st.sampled_from(some)))
        for name in draw(st.lists(names, min_size=1, max_size=6, unique=draw(st.booleans()))):
            dimension = known[name]
            texts = CONE.get(name) or texts_for(name, dimension.value_kind, dimension.words)
            try:
                value = read_values(dimension, draw(st.sampled_from(texts)), bare_unit(dimension, "mm"), "", True)[0]
            except DataFault:  # a size of zero where there can be none
                continue
            said = (feature, name, value.number, value.u, value.word, value.tool)
            condition, sitting = draw(st.sampled_from(["", "", "", "", "worn"])), draw(st.sampled_from([0, 0, 0, 2, 8]))
            reads.append((1, str(draw(st.uuids())), *said, condition, sitting))
    return kind, reads


def columns(values: list[Any]) -> list[tuple[Any, ...]]:
    return [(*tail(value), json.dumps(value.readings)) for value in values]


@settings(max_examples=500, deadline=None)
@given(st.lists(parts(), min_size=1, max_size=3))
def test_the_short_way_gives_what_the_rule_gives(some: list[tuple[str, list[Read]]]) -> None:
    # every part twice, the second time by what was kept of the first, under other uids
    compare([*some, *[(kind, [(1, f"later-{one[1]}", *one[2:]) for one in reads]) for kind, reads in some]])


def compare(some: list[tuple[str, list[Read]]]) -> None:
    """One maker makes of these parts, one after the other, what the rule makes of each."""
    maker = Maker(evidence)
    for name, reads in some:
        kind = part_kinds()[name]
        try:
            wanted = adopted_values(kind.features, [evidence(one) for one in reads])
        except DataFault:  # readings that the rule refuses are refused by the short way too
            with pytest.raises(DataFault):
                maker.entries(kind, reads)
            continue
        found = maker.entries(kind, reads)
        made = [(*entry[2], entry[3]) for entries in found.values() for entry in entries]
        assert made == columns(wanted)
        ends: dict[str, dict[str, Any]] = {}
        for value in wanted:
            use = None if value.gap else use_of(value)
            if use is not None:
                ends.setdefault(value.feature, {})[value.dimension] = use
        for row in maker.summaries(kind, 1, found):
            end = end_key(Feature("", kind.features[row[1]], ends[row[1]]))
            assert (row[3], row[5], row[6], row[7]) == (end.near_key, end.size, end.size_u, end.taper)


def cell(kind: str, feature: str, dimension: str, text: str, uid: str) -> Read:
    known = dimensions_of(part_kinds()[kind].features[feature])[dimension]
    value = read_values(known, text, bare_unit(known, "mm"), "", True)[0]
    return (1, uid, feature, dimension, value.number, value.u, value.word, value.tool, "", 0)


@pytest.mark.parametrize(
    ("kind", "cells"),
    [
        ("knuckle", [("eye", "large", "14.5 u=0.005 !"), ("eye", "small", "12.5 u=0.005 !"), ("eye", "thick", "16 !")]),
        ("rod-end", [("stud", "gauge-trial", "pass gauge 1:10"), ("stud", "taper", "1:8 ±0.1 !")]),
        ("rod-end", [("shank", "thread", "M14x1.5-LH"), ("shank", "hand", "RH")]),
        ("rod-end", [("shank", "thread", "M14x1.5"), ("shank", "sex", "male"), ("shank", "od", "17 !")]),
        (
            "universal-joint",
            [("upper", "spline", "35 @count-ticked"), ("upper", "present", "36"), ("upper", "sex", "female")],
        ),
        ("rack", [("bar-end.left", "thread", "M14x1.5"), ("bar-end.right", "as-left", "yes")]),
    ],
)
def test_what_bears_on_one_another_is_seen_together(kind: str, cells: list[tuple[str, str, str]]) -> None:
    reads = [cell(kind, *one, uid=f"r{number}") for number, one in enumerate(cells)]
    compare([(kind, [one]) for one in reads])
    compare([(kind, reads), (kind, reads[::-1])])


def test_the_short_way_is_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("fitment.catalogue.once_read.adopted_values", None)
    reads: list[Read] = [
        (1, "a", "stud", "gauge-trial", None, None, "pass gauge 1:10", "", "", 0),
        (1, "b", "stud", "large", 15.0, 0.02, None, "calliper", "", 0),
        (1, "c", "shank", "thread", None, None, "M14x1.5", "", "", 0),
    ]
    found = Maker(evidence).entries(part_kinds()["rod-end"], reads)
    assert [entry[0] for entry in found["stud"]] == ["gauge-trial 1:10", "large", "taper"]
    assert [entry[3] for entry in found["stud"]] == ['["a"]', '["b"]', '["a"]']


@given(
    st.floats(-1e4, 1e4),
    st.none() | st.floats(0, 10).filter(lambda u: u == 0 or u > 1e-9),
    st.sampled_from(list(TRUST)),
    st.sampled_from(["", "used", "worn"]),
)
def test_a_lone_number_is_adopted_as_several_would_be(
    number: float, u: float | None, source: str, condition: str
) -> None:
    large = dimensions_of("stud")["large"]
    one = Evidence("u", "stud", "large", number, u, None, "calliper", condition, source, "bench", "", "OWN/T1")
    short, long = adopt(large, [one]), adopt_numbers(large, [one])
    assert (tail(short)[2:6], tail(short)[8:], short.basis) == (tail(long)[2:6], tail(long)[8:], long.basis)
    assert (short.gap == long.gap) != (condition == "worn")


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(["bar-end", "thread-end", "spline-end", "eye", "stud", "rack-body"]), parts())
def test_the_key_of_an_end_is_made_of_the_dimensions_that_are_kept(of: str, part: tuple[str, list[Read]]) -> None:
    kind, reads = part
    try:
        values = adopted_values(part_kinds()[kind].features, [evidence(one) for one in reads])
    except DataFault:  # the major diameter of a female thread
        return
    uses = {value.dimension: use for value in values if not value.gap and (use := use_of(value)) is not None}
    keyed = {name: use for name, use in uses.items() if name in KEYED}
    assert near_key(Feature("", of, uses)) == near_key(Feature("", of, keyed))


@given(st.lists(st.text(), min_size=1, max_size=4), st.integers(0, 30))
def test_uids_are_those_of_the_standard_library(words: list[str], occurrence: int) -> None:
    name = f"{json.dumps(words)}#{occurrence}"
    assert f"[{listed(*words)}]#{occurrence}" == name
    assert named_uid(name) == str(uuid.uuid5(SPACE, name))
