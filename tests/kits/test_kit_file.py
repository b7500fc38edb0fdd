"""Kit files: what they mean, and the exact words, line and column of everything that can be wrong with one."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from fitment.errors import DataFault, Faults, FitmentError, NotFoundFault, StorageFault
from fitment.joints.limits import limit_range
from fitment.kits.kit import Kit
from fitment.kits.kit_file import load_kit, read_kit
from tests.kits.fakes import LIMITS

HEAD = 'name = "Narrow rack"\ntarget = "NORTH/V-1"\n'

WHOLE = """name = "Narrow rack, short rods"
target = "NORTH/V-1"
author = "AB"
note = "an invented kit"
jurisdiction = "none"

[rack]
part = "NORTH/RK-7"
sits = "by mounting"

[left]
inner_joint = "NORTH/IJ-1"
tie_rod = "NORTH/TR-2"
rod_end = "NORTH/RE-3"
knuckle = "NORTH/KN-1"
stud_enters = "below"
nut = "DIN 935"
washer = "1/8 in"

[column]
column = "NORTH/CO-1"

[[adapter]]
part = "NORTH/AD-1"
between = ["left.rod_end", "left.tie_rod"]
ends = ["a", "b"]

[wanted]
turns = "3.0..3.6"

[limits]
sleeve_wall = "1/16 in"
wall_ratio = 0.6
"""


def read(text: str) -> Kit:
    return read_kit(text.encode(), "kit.toml", LIMITS)


def faults_of(text: str) -> list[str]:
    """Every fault as ``line:column: message [code] mending``."""
    with pytest.raises(FitmentError) as caught:
        read(text)
    faults = caught.value.faults if isinstance(caught.value, Faults) else (caught.value,)
    assert {type(fault) for fault in faults} == {DataFault}
    return [
        f"{(fault.place or '').removeprefix('kit.toml:')}: {fault.message} [{fault.code}] {fault.mending}"
        for fault in faults
    ]


def test_a_whole_kit_is_read() -> None:
    kit = read(WHOLE)
    assert (kit.name, kit.target, kit.target_place) == ("Narrow rack, short rods", "NORTH/V-1", "kit.toml:2:10")
    assert (kit.author, kit.note, kit.jurisdiction) == ("AB", "an invented kit", "none")
    assert [(part.address, part.reference) for part in kit.parts] == [
        ("rack", "NORTH/RK-7"),
        ("left.inner_joint", "NORTH/IJ-1"),
        ("left.tie_rod", "NORTH/TR-2"),
        ("left.rod_end", "NORTH/RE-3"),
        ("left.knuckle", "NORTH/KN-1"),
        ("column.column", "NORTH/CO-1"),
    ]
    assert kit.parts[3].place == "kit.toml:14:11"
    assert kit.seat.sits == "by mounting"
    assert kit.facts == {
        "left": {"stud_enters": "below", "nut": "DIN 935", "washer": "3.175 mm"},
        "right": {},
    }
    (adapter,) = kit.adapters
    assert adapter.between == ("left.rod_end", "left.tie_rod")
    assert adapter.ends == ("a", "b")
    assert kit.wanted == {"turns": "3.0..3.6"}
    assert kit.digest == hashlib.sha256(WHOLE.encode()).hexdigest()


def test_limits_are_the_defaults_but_for_those_stated() -> None:
    limits = read(WHOLE).limits
    assert limits.keys() == LIMITS.keys()
    assert (limits["sleeve_wall"].value, limits["sleeve_wall"].source) == (25.4 / 16, "the kit file")
    assert limits["wall_ratio"].value == 0.6
    assert [name for name, limit in limits.items() if limit.overridden] == ["sleeve_wall", "wall_ratio"]
    assert limits["engagement_factor"] == LIMITS["engagement_factor"]
    assert not LIMITS["sleeve_wall"].overridden


def test_without_limits_of_a_caller_those_of_the_joints_are_in_force() -> None:
    assert "engagement_factor" in read_kit(HEAD.encode(), "kit.toml").limits


def test_a_target_alone_is_a_kit() -> None:
    kit = read(HEAD)
    assert kit.parts == ()
    assert kit.seat.sits == "by mounting"


def test_where_a_rack_sits() -> None:
    placed = read(HEAD + '[rack]\nposition = {x = "0 mm", y = "1/2 in", z = "-30 mm"}\n').seat
    assert (placed.sits, placed.position, placed.box) == ("position", (0.0, 12.7, -30.0), None)
    free = read(
        HEAD + '[rack]\nsits = "free"\nbox = {x = ["-20 mm", "20 mm"], y = ["0 mm", "1 mm"], z = ["-5 mm", "-1 mm"]}\n'
    ).seat
    assert (free.sits, free.box) == ("free", ((-20.0, 0.0, -5.0), (20.0, 1.0, -1.0)))


def test_facts_at_the_ends_of_what_is_in_reason_are_read() -> None:
    facts = 'rod_length = "1 mm"\nwasher = "0 mm"\ntilt_inner = "0 deg"\ntilt_outer = "90 deg"\n'
    assert read(f"{HEAD}[left]\n{facts}").facts["left"] == {
        "washer": "0 mm",
        "rod_length": "1 mm",
        "tilt_inner": "0 deg",
        "tilt_outer": "90 deg",
    }


def test_a_byte_order_mark_and_windows_line_ends_are_read() -> None:
    kit = read_kit(b"\xef\xbb\xbf" + HEAD.replace("\n", "\r\n").encode(), "kit.toml", LIMITS)
    assert kit.name == "Narrow rack"


def test_load_kit_reads_the_file_and_names_it_as_it_was_named(tmp_path: Path) -> None:
    path = tmp_path / "kit.toml"
    path.write_text(HEAD, encoding="utf-8")
    assert load_kit(path, LIMITS).path == str(path)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    path = tmp_path / "none.toml"
    with pytest.raises(NotFoundFault) as caught:
        load_kit(path, LIMITS)
    assert (caught.value.message, caught.value.mending) == (f"there is no file {path}", "name an existing kit file")


def test_a_folder_is_not_a_kit(tmp_path: Path) -> None:
    with pytest.raises(NotFoundFault) as caught:
        load_kit(tmp_path, LIMITS)
    assert caught.value.message == f"{tmp_path} is a folder"
    assert caught.value.mending == "name the kit file in it"


def test_a_file_that_the_system_does_not_give(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(_: Path, _mode: str) -> bytes:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(StorageFault) as caught:
        load_kit(tmp_path / "kit.toml", LIMITS)
    assert caught.value.message == f"{tmp_path / 'kit.toml'} cannot be read (Permission denied)"
    assert caught.value.mending == "check that it is a file you may read"


def test_a_file_that_is_not_utf_8() -> None:
    with pytest.raises(DataFault) as caught:
        read_kit(b'name = "x"\nnote = "\xe9"\n', "kit.toml", LIMITS)
    assert caught.value.place == "kit.toml:2:9"
    assert (caught.value.message, caught.value.mending) == ("the file is not written in UTF-8", "save it as UTF-8")


WRONG = {
    "syntax": (
        'name = "x"\ntarget = NORTH/V-1\n',
        ['2:10: this is not TOML: invalid value [kit-file-04] a line reads key = "text", a section [left]'],
    ),
    "a section twice": (
        HEAD + '[left]\nrod_end = "A"\n[left]\ntie_rod = "B"\n',
        ["5:6: [left] stands twice [kit-file-04] join them: put the lines of both under one [left]"],
    ),
    "a section of a section twice": (
        HEAD + "[a.b]\n[a.b]\n",
        ["4:5: [a.b] stands twice [kit-file-04] join them: put the lines of both under one [a.b]"],
    ),
    "syntax at the end": (
        'name = "x"\ntarget =',
        ['2:9: this is not TOML: invalid value [kit-file-04] a line reads key = "text", a section [left]'],
    ),
    "unknown keys, all of them": (
        HEAD + 'authr = "x"\n[left]\nrodend = "NORTH/RE-3"\n[rite]\n',
        [
            '3:1: unknown key "authr" [kit-file-05] nearest: author, adapter',
            '5:1: unknown key "rodend" in [left] [kit-file-05] nearest: rod_end, rod_length, spherical_rod_end',
            '6:2: unknown key "rite" [kit-file-05] nearest: right, note',
        ],
    ),
    "unknown key of an adapter": (
        HEAD + '[[adapter]]\nprt = "x"\npart = "x"\nbetween = ["a", "b"]\nends = ["a"]\n',
        [
            '4:1: unknown key "prt" in [[adapter]] [kit-file-05] nearest: part',
            '7:8: ends is not a list of two texts [kit-file-06] write ends = ["...", "..."]',
        ],
    ),
    "nothing in it": (
        "",
        [
            '1:1: the kit has no name [kit-file-07] add a line at its top: name = "Narrow rack, short rods"',
            '1:1: the kit has no target [kit-file-07] add a line at its top: target = "NORTH/V-1"',
        ],
    ),
    "not text": (
        HEAD + "author = 3\n",
        ['3:10: author is not text [kit-file-06] write it between quotes: author = "..."'],
    ),
    "empty text": (
        HEAD + 'author = " "\n',
        ["3:10: author is empty [kit-file-06] write something between the quotes, or take the line out"],
    ),
    "not a section": (
        HEAD + 'left = "NORTH/RE-3"\nadapter = 1\nwanted = 2\n',
        [
            "3:8: left is not a table of keys and values [kit-file-06] "
            "write [left] on a line of its own, its keys below",
            "4:11: adapter is not a repeated section [kit-file-06] write [[adapter]] on a line of its own",
            "5:10: wanted is not a table of keys and values [kit-file-06] "
            "write [wanted] on a line of its own, its keys below",
        ],
    ),
    "a word that is not allowed": (
        HEAD + '[rack]\nsits = "by mountings"\n[right]\nstud_enters = "up"\n',
        [
            '4:8: sits is "by mountings" [kit-file-08] nearest: by mounting',
            '6:15: stud_enters is "up" [kit-file-08] allowed: above, below',
        ],
    ),
    "both outer joints": (
        HEAD + '[left]\nrod_end = "NORTH/RE-3"\nspherical_rod_end = "NORTH/SR-1"\n',
        [
            "5:1: [left] names both a rod end and a spherical rod end [kit-file-09] "
            "one takes the place of the other: keep one of them"
        ],
    ),
    "an adapter between what is not named": (
        HEAD
        + '[left]\ntie_rod = "NORTH/TR-2"\n[[adapter]]\npart = "x"\nbetween = ["left.tie_rod", "left.rodend"]\n'
        + 'ends = ["a", "b"]\n',
        ['7:28: the kit names no part as "left.rodend" [kit-file-10] nearest: left.tie_rod'],
    ),
    "an adapter between what does not meet": (
        HEAD + '[rack]\npart = "NORTH/RK-7"\n[left]\ntie_rod = "NORTH/TR-2"\nknuckle = "NORTH/KN-1"\n'
        '[[adapter]]\npart = "x"\nbetween = ["left.tie_rod", "left.knuckle"]\nends = ["a", "b"]\n',
        [
            "10:11: left.tie_rod and left.knuckle do not meet, so nothing goes between them [kit-file-11] "
            "these meet: left.tie_rod and rack"
        ],
    ),
    "two adapters in one place": (
        HEAD + '[left]\ntie_rod = "NORTH/TR-2"\nrod_end = "NORTH/RE-3"\n'
        '[[adapter]]\npart = "x"\nbetween = ["left.tie_rod", "left.rod_end"]\nends = ["a", "b"]\n'
        '[[adapter]]\npart = "x"\nbetween = ["left.rod_end", "left.tie_rod"]\nends = ["a", "b"]\n',
        [
            "12:11: there is already an adapter between left.rod_end and left.tie_rod [kit-file-12] "
            "one adapter goes between two parts"
        ],
    ),
    "an adapter by one end twice": (
        HEAD + '[left]\ntie_rod = "NORTH/TR-2"\nrod_end = "NORTH/RE-3"\n'
        '[[adapter]]\npart = "x"\nbetween = ["left.tie_rod", "left.rod_end"]\nends = ["a", "a"]\n',
        [
            '9:8: both ends are "a": one end cannot meet both parts [kit-file-19] '
            "name the end that meets each part, in the order of between"
        ],
    ),
    "an adapter without its ends": (
        HEAD + '[[adapter]]\npart = "x"\n',
        [
            "3:3: [[adapter]] has no between [kit-file-07] add between = ...",
            "3:3: [[adapter]] has no ends [kit-file-07] add ends = ...",
        ],
    ),
    "a position and a seat": (
        HEAD + '[rack]\nsits = "by mounting"\nposition = {x = "0 mm", y = "0 mm"}\n',
        [
            '5:1: position does not go with sits = "by mounting" [kit-file-13] '
            "take sits out: the position says where it sits",
            "5:1: [rack.position] has no z [kit-file-07] add z = ...",
        ],
    ),
    "a position that is no table": (
        HEAD + "[rack]\nposition = 3\n",
        [
            "4:12: position is not a table of keys and values [kit-file-06] "
            'write position = {x = "0 mm", y = "12 mm", z = "-30 mm"}'
        ],
    ),
    "free without a box": (
        HEAD + '[rack]\nsits = "free"\n',
        [
            '4:1: sits = "free" has no box [kit-file-13] add box = {x = ["-20 mm", "20 mm"], '
            'y = ["0 mm", "30 mm"], z = ["-10 mm", "10 mm"]}'
        ],
    ),
    "a box without a seat, upside down": (
        HEAD + '[rack]\nbox = {x = ["1 mm", "0 mm"], y = ["0 mm", "1 mm"], z = ["0 mm", "1 mm"]}\n',
        [
            '4:1: box without sits [kit-file-13] a box goes with sits = "free"',
            "4:12: x runs from 1 mm down to 0 mm [kit-file-14] write the lower end first",
        ],
    ),
    "a box with another seat": (
        HEAD
        + '[rack]\nsits = "by mounting"\nbox = {x = ["0 mm", "1 mm"], y = ["0 mm", "1 mm"], z = ["0 mm", "1 mm"]}\n',
        ['5:1: box does not go with sits = "by mounting" [kit-file-13] a box goes with sits = "free"'],
    ),
    "facts out of reason": (
        HEAD + '[left]\nrod_length = "-217 mm"\nwasher = "-1 mm"\ntilt_inner = "-5 deg"\n'
        '[right]\nrod_length = "0 mm"\ntilt_outer = "500 deg"\nwasher = "2.1 in"\n',
        [
            "4:14: rod_length is -217 mm, out of reason [kit-file-23] write 1 mm to 5000 mm",
            "5:10: washer is -1 mm, out of reason [kit-file-23] write 0 mm to 50 mm",
            "6:14: tilt_inner is -5 deg, out of reason [kit-file-23] write 0 deg to 90 deg",
            "8:14: rod_length is 0 mm, out of reason [kit-file-23] write 1 mm to 5000 mm",
            "9:14: tilt_outer is 500 deg, out of reason [kit-file-23] write 0 deg to 90 deg",
            "10:10: washer is 2.1 in, out of reason [kit-file-23] write 0 mm to 50 mm",
        ],
    ),
    "a rack far from the car": (
        HEAD + '[rack]\nposition = {x = "300 m", y = "0 mm", z = "-5001 mm"}\n',
        [
            "4:17: x is 300 m, out of reason [kit-file-23] write -5000 mm to 5000 mm",
            "4:42: z is -5001 mm, out of reason [kit-file-23] write -5000 mm to 5000 mm",
        ],
    ),
    "a box far from the car": (
        HEAD + '[rack]\nsits = "free"\nbox = {x = ["0 mm", "6 m"], y = ["0 mm", "1 mm"], z = ["0 mm", "1 mm"]}\n',
        ["5:21: x is 6 m, out of reason [kit-file-23] write -5000 mm to 5000 mm"],
    ),
    "limits": (
        HEAD + '[limits]\nsleeve_wal = 1\nsleeve_wall = true\nwall_ratio = nan\nengagement_factor = "1 mm"\n',
        [
            '4:1: there is no limit "sleeve_wal" [kit-file-15] nearest: sleeve_wall',
            "5:15: sleeve_wall is not a number [kit-file-06] write a number in mm, or a text with its unit",
            "6:14: wall_ratio is not a number [kit-file-06] write a plain number",
            "7:21: engagement_factor is not a number [kit-file-06] write a number in d",
        ],
    ),
}


@pytest.mark.parametrize(
    ("entered", "shown"),
    [
        ("9" * 400, "(over 300 digits)"),
        ("-" + "9" * 400, "-(over 300 digits)"),
        ("1e300", "1e+300"),
        ("inf", "inf"),
        ("-inf", "-inf"),
        ('"1 m"', "1000"),
    ],
)
def test_a_limit_outside_what_is_accepted(entered: str, shown: str) -> None:
    low, high = limit_range("sleeve_wall")
    (told,) = faults_of(f"{HEAD}[limits]\nsleeve_wall = {entered}\n")
    assert told == (
        f"4:15: limit sleeve_wall = {shown} is outside what this tool accepts ({low:g} to {high:g} mm) [kit-file-22] "
        f"write a value from {low:g} to {high:g} mm"
    )


@pytest.mark.parametrize("nested", ["a = " + "[" * 3000 + "]" * 3000, "a = " + "{b = " * 3000 + "1" + "}" * 3000])
def test_brackets_nested_too_deeply(nested: str) -> None:
    assert faults_of(f"{HEAD}{nested}\n") == [
        "kit.toml: the brackets of this file are nested too deeply to be read [kit-file-20] "
        "a kit needs a section, a key and a value: take the brackets out"
    ]


def test_a_number_of_more_digits_than_python_reads() -> None:
    (told,) = faults_of(f"{HEAD}[limits]\nsleeve_wall = {'9' * 5000}\n")
    assert told.startswith("kit.toml: a number in this file has too many digits to be read [kit-file-21]")


@pytest.mark.parametrize("case", WRONG)
def test_faults(case: str) -> None:
    text, expected = WRONG[case]
    assert faults_of(text) == expected


def test_quantities_are_refused_in_their_own_words_at_their_place() -> None:
    text = HEAD + '[rack]\nposition = {x = "0", y = "1 furlong", z = "1 mm"}\n[left]\nwasher = "2 kg"\n'
    found = faults_of(text)
    assert [line.partition(": ")[0] for line in found] == ["4:17", "4:26", "6:10"]
    assert all("[quantity-" in line for line in found)


def test_several_faults_are_one_exception_in_the_order_of_the_file() -> None:
    with pytest.raises(Faults) as caught:
        read('[limits]\nx = 1\n[left]\ny = "a"\n')
    assert [fault.place for fault in caught.value.faults] == [
        "kit.toml:1:1",
        "kit.toml:1:1",
        "kit.toml:2:1",
        "kit.toml:4:1",
    ]
    assert caught.value.exit_code == 65
