"""Designations: every spelling, what is refused and in which words, and that nothing else ever comes out."""

from __future__ import annotations

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.errors import DataFault
from fitment.standards.thread_names import ThreadName, parse_thread
from fitment.standards.threads import Thread, all_threads

M = "M14x1.5"
U = "9/16-18 UNF"

SPELLINGS = [
    # metric; ISO 965-1: hyphens, LH last, no pitch means coarse
    ("M14x1.5", M, None, None),
    ("M14X1.5", M, None, None),
    ("m14x1.5", M, None, None),
    ("M 14 x 1.5", M, None, None),
    ("M14 x 1.5", M, None, None),
    ("M14*1.5", M, None, None),
    ("M14-1.5", M, None, None),
    ("M14 1.5", M, None, None),
    ("M14\u00d71,5 LH", M, "LH", None),
    ("\u041c14\u04451.5", M, None, None),
    ("\uff2d14x1.5", M, None, None),
    ("M14x1.50", M, None, None),
    ("M14x1.5-LH", M, "LH", None),
    ("M14x1.5-RH", M, "RH", None),
    ("M14x1.5\u2013LH", M, "LH", None),
    ("M14x1.5LH", M, "LH", None),
    ("M14x1.5 (LH)", M, "LH", None),
    ("M14x1.5, LH", M, "LH", None),
    ("M14x1.5 L.H.", M, "LH", None),
    ("M14x1.5-6H-LH", M, "LH", "6H"),
    ("M14x1.5-6HLH", M, "LH", "6H"),
    ("M14x1.5-7g6g", M, None, "7g6g"),
    ("M14x1.5 6g", M, None, "6g"),
    ("M14x1.5-7H-L-LH", M, "LH", "7H"),
    ("M14x1.5-6g-S-RH", M, "RH", "6g"),
    ("M14x1.5-6g-N", M, None, "6g"),
    ("M16x1 LH-6G", "M16x1", "LH", "6G"),
    ("M14x1.5L", M, "LH", None),
    ("M14x1.5 L", M, "LH", None),
    ("M14x1.5R", M, "RH", None),
    ("M14x1,5 links", M, "LH", None),
    ("M14x1,5 Linksgewinde", M, "LH", None),
    ("M14x1,5 rechts", M, "RH", None),
    ("M14x1.5 left", M, "LH", None),
    ("M14x1.5 left hand", M, "LH", None),
    ("M14x1.5left-hand", M, "LH", None),
    ("M14x1.5 Right-Handed", M, "RH", None),
    ("M14x1.5 pas a gauche", M, "LH", None),
    ("M14x1.5 pas \u00e0 gauche", M, "LH", None),
    ("M14x1.5 pas \u00e0 droite", M, "RH", None),
    ("M14", "M14x2", None, None),
    ("M14-6H", "M14x2", None, "6H"),
    ("M14 LH", "M14x2", "LH", None),
    ("M10-1", "M10x1", None, None),
    # Unified; ASME B1.1: size, threads, series, class, hand
    ("9/16-18", U, None, None),
    ("9/16-18 UNF", U, None, None),
    ("9/16 18", U, None, None),
    ("9/16x18", U, None, None),
    ("9/16 in - 18 tpi", U, None, None),
    ('9/16"-18 LH', U, "LH", None),
    ("9/16\u2033-18", U, None, None),
    ("9/16''-18", U, None, None),
    ("9/16 - 18 UNF-2A-LH", U, "LH", "2A"),
    ("9/16-18UNF-2ALH", U, "LH", "2A"),
    ("9/16-18UNFLH", U, "LH", None),
    ("UNF 9/16-18", U, None, None),
    ("9/16 UNF", U, None, None),
    ("9/16-18 NF", U, None, None),
    ("9/16-18 UNRF", U, None, None),
    (".5625-18", U, None, None),
    ("0.5625-18", U, None, None),
    ("0,5625-18", U, None, None),
    (".562-18", U, None, None),
    (".563-18", U, None, None),
    ("1/2-20 UNF-2A-LH", "1/2-20 UNF", "LH", "2A"),
    ("1/2-20 UNF 2b", "1/2-20 UNF", None, "2B"),
    ("1/2 UNF-2A", "1/2-20 UNF", None, "2A"),
    ("\u00bd-20", "1/2-20 UNF", None, None),
    ("1-8 UNC", "1-8 UNC", None, None),
    ("1 1/8-12", "1-1/8-12 UNF", None, None),
    ("1-1/8-12", "1-1/8-12 UNF", None, None),
    ("1\u215b-12", "1-1/8-12 UNF", None, None),
    ("#10-32", "#10-32 UNF", None, None),
    ("No. 10-32", "#10-32 UNF", None, None),
    ("10-32", "#10-32 UNF", None, None),
    ("0-80", "#0-80 UNF", None, None),
    ("1-64", "#1-64 UNC", None, None),
    ("3/4-16 UN", "3/4-16 UNF", None, None),
    ("11/16-18", "11/16-18 UNS", None, None),
    ("5/8-11", "5/8-11 UNC", None, None),
    ("0.6-20 UNS", "0.6-20 UNS", None, None),
    (".6-20 UNS", "0.6-20 UNS", None, None),
    ("No. 6-36 UNS", "0.138-36 UNS", None, None),
    ("1 1/16-13 UNS", "1-1/16-13 UNS", None, None),
    ("0.625-13 UNS", "5/8-13 UNS", None, None),
    ("5/8-13 UNS-2A", "5/8-13 UNS", None, "2A"),
    # Whitworth; BS 84: the letters follow the designation
    ("3/8 BSF", "3/8-20 BSF", None, None),
    ("3/8-20 BSF", "3/8-20 BSF", None, None),
    ("BSF 3/8", "3/8-20 BSF", None, None),
    ("3/8-20 BSF medium LH", "3/8-20 BSF", "LH", "medium"),
    ("3/8-20 BSF Close", "3/8-20 BSF", None, "close"),
    ("3/8 Whit.", "3/8-16 BSW", None, None),
    ("3/8-16 Whitworth", "3/8-16 BSW", None, None),
]


@pytest.mark.parametrize(("text", "designation", "hand", "tolerance_class"), SPELLINGS)
def test_spellings(text: str, designation: str, hand: str | None, tolerance_class: str | None) -> None:
    found = parse_thread(text)
    assert found.thread.designation == designation
    assert (found.hand, found.tolerance_class, found.entered) == (hand, tolerance_class, text)


PIPE = "is a pipe thread: its size names a bore, not a diameter, and it seals; no steering joint uses one"
POWER = "is a thread for transmitting motion, with another profile; no steering joint uses one"
CYCLE = "is a cycle thread: 60 degrees in sizes and pitches of its own, which this tool does not hold"
ROOT = "has the enlarged root of aircraft practice (MJ, UNJ): its bolt does not enter every plain nut of its size"
SPECIAL = (
    "a UNS here has 1/8 to 4 in, at least four threads in its diameter, and one of "
    "4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 16, 18, 20, 24, 27, 28, 32, 36, 40 tpi"
)
MEASURE = "measure diameter and pitch, and write the metric, Unified or Whitworth thread that it is"
HOW = "write it like M14x1.5-LH, M12x1.25-6g, 9/16-18 UNF or 3/8-20 BSF"

REFUSALS = [
    ("", "the thread is empty", "leave it out, or write it like M14x1.5-LH"),
    (
        "M14x1.5" + " " * 60 + "LH",
        '"M14x1.5                              ..." is too long for a thread (69 characters)',
        "write it like M14x1.5-LH or 9/16-18 UNF",
    ),
    ("bolt", '"bolt" cannot be read as a thread', HOW),
    ("M14x", '"M14x" cannot be read as a thread', HOW),
    ("M14x1.5 fine", '"M14x1.5 fine" cannot be read as a thread', HOW),
    ("1/0-18", '"1/0-18" cannot be read as a thread', HOW),
    ("9/8-12", '"9/8-12" cannot be read as a thread', HOW),
    ("1/2-0", '"1/2-0" cannot be read as a thread', HOW),
    ("M14x1.5-LH-RH", '"M14x1.5-LH-RH" says both hands', "write LH or RH once"),
    (
        "M14x1.5-6H-L",
        '"M14x1.5-6H-L" may mean two things: L after a class is a long engagement in ISO 965-1',
        "write LH for a left-hand thread, or leave the L out",
    ),
    (
        "M14x1.5-6H/6g",
        '"M14x1.5-6H/6g" names the classes of two parts',
        "write one part at a time, like M14x1.5-6H",
    ),
    (
        "M14x1.5-5h",
        '"5h" is not a tolerance class of an ISO metric thread',
        "a bolt has 4h, 6e, 6f, 6g, 6h, 8g or two like 7g6g; a nut has 4H to 8H, 6G or two like 5H6H",
    ),
    ("9/16-18-4A", '"4A" is not a tolerance class of a Unified thread', "allowed: 1A, 2A, 3A (bolt), 1B, 2B, 3B (nut)"),
    (
        "M11x1.25",
        "M11x1.25 is not in ISO 261: a 7/16-20 UNF measured in millimetres looks like this",
        "try a pitch gauge of 20 tpi; if it fits, write 7/16-20 UNF",
    ),
    (
        "M14.3x1.4",
        "M14.3x1.4 is not in ISO 261: a 9/16-18 UNF measured in millimetres looks like this",
        "try a pitch gauge of 18 tpi; if it fits, write 9/16-18 UNF",
    ),
    (
        "M14x1.7",
        "M14x1.7 is not among the listed threads of ISO 261",
        "measure diameter and pitch again; nearest: M14x1.5, M14x2, M14x1.25",
    ),
    (
        "M14x20",
        '"M14x20": a pitch of 20 mm is not possible on 14 mm',
        "write diameter x pitch in mm, like M14x1.5",
    ),
    (
        "M13",
        '"M13": no coarse thread M13 among the listed M3 to M36 of ISO 261',
        "nearest: M12x1.75, M14x2, M11x1.5",
    ),
    ("9/16-19", '"9/16-19" is not a listed inch thread', "nearest: 9/16-18 UNF, 9/16-20 UN, 9/16-16 UN"),
    ("13/32-18", '"13/32-18" is not a listed inch thread', "nearest: 3/8-20 UN, 7/16-20 UNF, 3/8-16 UNC"),
    ("7-19", '"7-19" is not a listed inch thread', "no listed thread is near; metric threads begin with M"),
    ("14x1.5", '"14x1.5" is not a listed inch thread', "for the metric thread write M14x1.5"),
    (
        "9/16-18 UNC",
        '"9/16-18 UNC" is listed as 9/16-18 UNF, not UNC',
        "write its series, or measure the pitch again",
    ),
    ("9/16-18 UNF BSF", '"9/16-18 UNF BSF" names two series', "write one of them"),
    (
        "5/16-22",
        '"5/16-22" is listed as 5/16-22 BSF, and a size without a series is Unified',
        "write its series, or measure the pitch again",
    ),
    ("3/8-20", '"3/8-20" may be 3/8-20 UN or 3/8-20 BSF, 60 or 55 degrees', "write the series"),
    (
        "1/2",
        '"1/2" has no threads per inch, and no series that gives them',
        "write it like 1/2-18 or 1/2 UNF; metric threads begin with M",
    ),
    (
        "1/2 UN",
        '"1/2 UN" has no threads per inch, and no series that gives them',
        "write it like 1/2-18 or 1/2 UNF; metric threads begin with M",
    ),
    ("5/8-19 UNS", '"5/8-19 UNS" is not a usual special thread', SPECIAL),
    ('10"-32', '"10"-32" is not a listed inch thread', "no listed thread is near; metric threads begin with M"),
    *((text, f'"{text}" is not a usual special thread', SPECIAL) for text in ("1/8-20 UNS", "0.1-40 UNS", "5-8 UNS")),
    *((text, f'"{text}" {PIPE}', MEASURE) for text in ("G 1/2", "G1/2-14", "1/2 NPT", "NPTF 1/4", "1/8-27 NPT")),
    *((text, f'"{text}" {PIPE}', MEASURE) for text in ("R 3/4", "Rp1/2", "R1 1/2", "1/2 BSP", "BSPP 1/4", "1/4 BSPT")),
    *((text, f'"{text}" {POWER}', MEASURE) for text in ("Tr 20x4", "Tr20x4 LH", "1-5 ACME", "ACME 1-5")),
    *((text, f'"{text}" {CYCLE}', MEASURE) for text in ("3/8-26 BSC", "3/8 CEI", "3/8-26 cycle")),
    ("2BA", '"2BA" is a BA thread: 47.5 degrees, up to 6 mm, which this tool does not hold', MEASURE),
    *((text, f'"{text}" {ROOT}', MEASURE) for text in ("MJ14x1.5", "1/2-20 UNJF")),
    (
        "M14xPh6P2-7H-L-LH",
        '"M14xPh6P2-7H-L-LH" has several starts: one turn moves it by more than its pitch, and this tool holds '
        "single-start threads only",
        MEASURE,
    ),
]


@pytest.mark.parametrize(("text", "message", "mending"), REFUSALS)
def test_refusals(text: str, message: str, mending: str) -> None:
    with pytest.raises(DataFault) as caught:
        parse_thread(text)
    assert (caught.value.message, caught.value.mending) == (message, mending)
    assert caught.value.exit_code == 65


def test_a_special_thread_has_the_numbers_that_it_was_written_with() -> None:
    thread = parse_thread("5/8-13 UNS").thread
    assert (thread.series, thread.form, thread.tpi, thread.half_angle_deg) == ("UNS", "UN", 13.0, 30.0)
    assert thread.nominal == pytest.approx(15.875)
    assert thread.pitch == pytest.approx(25.4 / 13)
    assert (thread.first_choice, thread.source_kind) == (False, "computed")


def test_nothing_marked_proves_no_hand() -> None:
    assert parse_thread("M14x1.5").hand is None
    assert parse_thread("9/16-18 UNF-2A").hand is None


WORDS = [
    "M",
    "14",
    "1.5",
    "x",
    "-",
    " ",
    "/",
    "9/16",
    "18",
    "UNF",
    "BSF",
    "LH",
    "L",
    "6g",
    "2A",
    "#",
    "10",
    ",",
    '"',
    "links",
    "UNS",
    "0",
    ".",
    "medium",
    "(",
    "\u00bd",
    "in",
    "tpi",
    "R",
    "\u00d7",
    "No.",
    ":",
]
PIECES = st.lists(st.sampled_from(WORDS), max_size=9).map("".join)


def outcome(text: str) -> ThreadName | DataFault:
    try:
        return parse_thread(text)
    except DataFault as fault:
        return fault


@given(st.one_of(st.text(max_size=70), st.text(string.printable, max_size=20), PIECES))
def test_any_text_is_a_thread_or_a_refusal(text: str) -> None:
    found = outcome(text)
    if isinstance(found, ThreadName):
        assert found.entered == text
        assert found.thread in all_threads() or found.thread.series == "UNS"
    else:
        assert found.message
        assert found.mending
        assert "\n" not in found.message


HANDS = st.sampled_from([("", None), ("-LH", "LH"), (" LH", "LH"), (" left", "LH"), ("-RH", "RH"), (" rechts", "RH")])


@given(st.sampled_from(all_threads()), HANDS, st.booleans())
def test_hand_and_class_never_change_the_thread(thread: Thread, mark: tuple[str, str | None], classed: bool) -> None:
    usual = {"M": "-6g", "UN": "-2A", "W": "-close"}[thread.form] if classed else ""
    found = parse_thread(thread.designation + usual + mark[0])
    assert found.thread is thread
    assert found.hand == mark[1]
    assert found.tolerance_class == (usual[1:] or None)
