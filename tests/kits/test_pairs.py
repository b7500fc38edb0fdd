"""Handed pairs: parts of two numbers, left and right, in length, stud height and taper. Invented parts."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.doubt import Draws
from fitment.finding import Basis, Finding, Verdict
from fitment.kits.check import check
from fitment.kits.kit_file import read_kit
from fitment.kits.report import Report
from tests.kits.fakes import Book, part, stud_kind, thread_kind
from tests.support.features import changed, feature, without

DOES_NOT_FIT, NOT_KNOWN, WITH_WORK, FITS = Verdict

HEAD = 'name = "Pairs"\ntarget = "NORTH/V-1"\n[rack]\npart = "NORTH/RK-7"\n'
SIDE = 'tie_rod = "NORTH/TR-2"\nrod_end = "NORTH/RE-3"\nknuckle = "NORTH/KN-1"\n'
MIXED = f"{HEAD}[left]\n{SIDE}[right]\n{SIDE.replace('RE-3', 'RE-4')}"


class Shelf(Book):
    """Two part numbers of rod ends that are alike."""

    def __init__(self) -> None:
        super().__init__()
        self.parts["NORTH/RE-4"] = part("NORTH/RE-4", "rod-end")
        self.parts["NORTH/KN-2"] = part("NORTH/KN-2", "knuckle")
        for name in ("NORTH/RE-3", "NORTH/RE-4"):
            self.put(f"{name} body", "ball-body", centre=42.0)
            self.put(f"{name} stud", "stud", taper=0.1, height=18.0, thread="M12x1.25", hand="RH")
            self.put(f"{name} shank", "thread-end", thread="M14x1.5", hand="RH")
        for name in ("NORTH/KN-1", "NORTH/KN-2"):
            self.put(f"{name} eye", "eye", taper=0.1)

    def put(self, name: str, kind: str, **values: float | str) -> None:
        reference, _, end = name.partition(" ")
        self.parts[reference] = replace(
            self.parts[reference],
            features={
                **self.parts[reference].features,
                end: feature(name, kind, 0.05, 0.0002, Basis.MEASURED, (), **values),
            },
        )

    def edit(self, name: str, dimension: str, value: float | str | None) -> None:
        reference, _, end = name.partition(" ")
        one = self.parts[reference].features[end]
        new = without(one, dimension) if value is None else changed(one, dimension, value=value)
        self.parts[reference] = replace(self.parts[reference], features={**self.parts[reference].features, end: new})


def run(book: Book, text: str = MIXED) -> Report:
    kinds = {kind.name: kind.kind for kind in (thread_kind(), stud_kind())}
    return check(read_kit(text.encode(), "kit.toml", None), book, Draws(500), kinds)


def pairs(report: Report) -> dict[str, Finding]:
    joints = [joint for joint in report.joints if joint.id.startswith("pairs.")]
    return {one.rule: one for joint in joints for one in joint.findings}


def test_two_numbers_that_are_alike_fit() -> None:
    report = run(Shelf())
    found = pairs(report)
    assert {rule: one.verdict for rule, one in found.items()} == dict.fromkeys(("pair-01", "pair-02", "pair-03"), FITS)
    assert found["pair-02"].because == (
        "stud height 18.00 mm left and 18.00 mm right, 0.00 mm apart where 1.00 mm at most is asked"
    )
    (joint,) = [joint for joint in report.joints if joint.id == "pairs.rod_end"]
    assert (joint.title, joint.features) == ("rod end, left against right", ("NORTH/RE-3", "NORTH/RE-4"))
    assert not [line for line in report.not_checked if line.startswith("handed pairs")]


@pytest.mark.parametrize(
    ("name", "dimension", "value", "rule", "words"),
    [
        ("NORTH/RE-4 body", "centre", 46.5, "pair-01", "ball centre to thread end 42.00 mm left and 46.50 mm right"),
        ("NORTH/RE-4 stud", "height", 21.0, "pair-02", "stud height 18.00 mm left and 21.00 mm right"),
        ("NORTH/RE-4 stud", "taper", 0.125, "pair-03", "taper 1:10 left and 1:8 right"),
    ],
)
def test_a_pair_that_is_not_alike_does_not_fit(name: str, dimension: str, value: float, rule: str, words: str) -> None:
    book = Shelf()
    book.edit(name, dimension, value)
    found = pairs(run(book))
    assert [code for code, one in found.items() if one.verdict is DOES_NOT_FIT] == [rule]
    assert found[rule].because.startswith(words)


def test_tie_rods_and_inner_joints_are_pairs_too() -> None:
    book = Shelf()
    book.parts["NORTH/TR-3"], book.parts["NORTH/IJ-2"] = (
        part("NORTH/TR-3", "tie-rod"),
        part("NORTH/IJ-2", "inner-joint"),
    )
    for name, length in (("NORTH/TR-2", 240.0), ("NORTH/TR-3", 262.0)):
        book.put(f"{name} body", "rod-body", length=length)
    for name, offset in (("NORTH/IJ-1", 19.0), ("NORTH/IJ-2", 26.0)):
        book.put(f"{name} body", "ball-body", ball_offset=offset)
    sides = (
        f'inner_joint = "NORTH/IJ-{n}"\n{SIDE.replace("TR-2", f"TR-{n + 1}").replace("KN-1", f"KN-{n}")}'
        for n in (1, 2)
    )
    text = "{}[left]\n{}[right]\n{}".format(HEAD, *sides)
    report = run(book, text)
    failing = [joint.id for joint in report.joints if joint.verdict is DOES_NOT_FIT]
    assert failing == ["pairs.inner_joint", "pairs.tie_rod"]
    wide = run(book, f"{text}[limits]\npair_length = 30\n")
    assert not [joint.id for joint in wide.joints if joint.verdict is DOES_NOT_FIT]


def test_one_number_on_both_sides_is_alike_by_its_record() -> None:
    book = Shelf()
    book.edit("NORTH/RE-3 stud", "height", None)
    report = run(book, f"{HEAD}[left]\n{SIDE}[right]\n{SIDE}")
    assert not pairs(report)
    assert not [line for line in report.not_checked if line.startswith("handed pairs")]


def test_what_is_recorded_of_one_side_only_is_not_known_and_of_none_is_listed() -> None:
    book = Shelf()
    book.edit("NORTH/RE-4 stud", "height", None)
    one = pairs(run(book))["pair-02"]
    assert (one.verdict, [gap.feature for gap in one.gaps]) == (NOT_KNOWN, ["NORTH/RE-4 stud"])
    book.edit("NORTH/RE-3 stud", "height", None)
    report = run(book)
    assert "pair-02" not in pairs(report)
    told = "handed pairs, left against right: nothing is recorded of stud height of NORTH/RE-3 and NORTH/RE-4"
    assert told in report.not_checked
    lone = run(Shelf(), f"{HEAD}[left]\n{SIDE}")
    assert "handed pairs, left against right: the kit names no part on both sides" in lone.not_checked


def test_studs_may_differ_where_the_eyes_do() -> None:
    book = Shelf()
    book.edit("NORTH/RE-4 stud", "taper", 0.125)
    eyes = f"{HEAD}[left]\n{SIDE}[right]\n{SIDE.replace('RE-3', 'RE-4').replace('KN-1', 'KN-2')}"
    assert pairs(run(book, eyes))["pair-03"].verdict is DOES_NOT_FIT
    book.edit("NORTH/KN-2 eye", "taper", 0.125)
    assert "pair-03" not in pairs(run(book, eyes))
    book.edit("NORTH/KN-2 eye", "taper", None)
    assert "pair-03" not in pairs(run(book, eyes))
    # one knuckle on both sides has one eye, whether or not anybody measured it
    book.edit("NORTH/KN-1 eye", "taper", None)
    assert pairs(run(book))["pair-03"].verdict is DOES_NOT_FIT


def test_unlike_threads_are_a_caution() -> None:
    book = Shelf()
    book.edit("NORTH/RE-4 stud", "thread", "7/16-20 UNF")
    book.edit("NORTH/RE-4 shank", "hand", "LH")
    cautions = pairs(run(book))["pair-03"].cautions
    assert cautions == (
        "NORTH/RE-3 and NORTH/RE-4 have unlike threads: shank RH left and LH right; stud M12x1.25 left and "
        "7/16-20 UNF right. Keep their nuts apart.",
    )


@given(height=st.floats(10, 30), limit=st.floats(0.1, 10), tighter=st.floats(0, 1))
def test_a_tighter_limit_never_makes_a_pair_fit(height: float, limit: float, tighter: float) -> None:
    book = Shelf()
    book.edit("NORTH/RE-4 stud", "height", height)
    wide, narrow = (
        pairs(run(book, f"{MIXED}[limits]\npair_height = {value:.6f}\n"))["pair-02"].verdict
        for value in (limit, limit * tighter)
    )
    if wide is not FITS:
        assert narrow is not FITS
