"""How a kit says that its rack is turned, and what turning does to ends and holes; every part is invented."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace

import pytest
from jsonschema import Draft202012Validator

from fitment.kits.assembly import assemble
from fitment.kits.kit_file import read_kit
from fitment.kits.rack_turned import AXES, TURNS, ends_swap, turned_rack
from fitment.quantity.points import point_of
from tests.kits.fakes import LIMITS, part
from tests.kits.front import HEAD, SEAT, Front, text, turned
from tests.kits.test_kit_file import faults_of
from tests.kits.test_report import closed, schema
from tests.kits.test_rod_length import figure, mounted, rod, run
from tests.support.features import feature


def test_the_kit_file_says_how_the_rack_is_turned() -> None:
    for word in TURNS:
        kit = read_kit(turned(word, SEAT).encode(), "kit.toml", LIMITS)
        assert (kit.seat.turned, kit.seat.position) == (word, (125.0, 0.0, 213.0))
        Draft202012Validator(closed(schema("kit"))).validate(json.loads(json.dumps(tomllib.loads(turned(word, SEAT)))))
    assert read_kit(text("").encode(), "kit.toml", LIMITS).seat.turned == ""
    box = 'sits = "free"\nbox = {x = ["0 mm", "1 mm"], y = ["0 mm", "1 mm"], z = ["0 mm", "1 mm"]}\n'
    assert read_kit(turned("upside down", box).encode(), "kit.toml", LIMITS).seat.turned == "upside down"


def test_another_word_is_a_fault_with_its_place() -> None:
    assert faults_of(f'{HEAD}[rack]\npart = "NORTH/RK-7"\nturned = "upside-down"\n') == [
        '5:10: turned is "upside-down" [kit-file-08] nearest: upside down'
    ]


def test_only_half_turns_that_swap_the_ends_do_so() -> None:
    assert {word: ends_swap(word) for word in ("", *TURNS)} == {
        "": False,
        "as in its donor": False,
        "upside down": True,
        "back to front": True,
        "end over end": False,
    }


@pytest.mark.parametrize("word", ["", *TURNS])
def test_the_left_rod_meets_the_end_that_comes_to_lie_on_the_left(word: str) -> None:
    found = assemble(read_kit((turned(word) if word else text("")).encode(), "kit.toml", None), Front(), {})
    ends = {joint.side: joint.names[0] for joint in found.joints if joint.id.endswith(".bar-rod")}
    own = ("NORTH/RK-7 bar-end.left", "NORTH/RK-7 bar-end.right")
    assert (ends["left"], ends["right"]) == (own[::-1] if ends_swap(word) else own)


def test_what_was_taken_at_an_end_goes_with_it_and_keeps_its_name() -> None:
    rack = part("NORTH/RK-7", "rack")
    body = feature("NORTH/RK-7 body", "rack-body", travel_left=78.0, out_right_left_lock=12.0, turns=3.0, hand="LH")
    body = replace(body, gaps={"tube-left": "in conflict"})
    rack = replace(rack, features={**rack.features, "body": body})
    for word in ("upside down", "back to front"):
        over = turned_rack(rack, word).features["body"]
        assert set(over.values) == {"travel-right", "out-left-left-lock", "turns", "hand"}
        assert over.values["travel-right"].dimension == "travel-left"
        assert over.gaps == {"tube-right": "in conflict"}
    assert turned_rack(rack, "end over end").features["body"] == body
    assert turned_rack(rack, "") is rack


HOLES = [(-40.0, -176.0, -18.0), (40.0, -176.0, -18.0), (-40.0, 150.0, -18.0), (40.0, 150.0, -18.0)]
SIGNS = {"upside down": (1, -1, -1), "back to front": (-1, -1, 1), "end over end": (-1, 1, -1)}


@pytest.mark.parametrize("word", AXES)
def test_the_holes_turn_about_the_racks_own_origin(word: str) -> None:
    signs = SIGNS[word]
    on_car = [(-120.0 + x * signs[0], 2.5 + y * signs[1], 230.0 + z * signs[2]) for x, y, z in HOLES]
    book = mounted(HOLES, on_car)
    rack = turned_rack(book.parts["NORTH/RK-7"], word)
    x, y, z = HOLES[0]
    assert point_of(rack.features["mount"].values["hole-1"]) == (signs[0] * x, signs[1] * y, signs[2] * z)
    kit = (
        f'name = "Rods"\ntarget = "NORTH/V-1"\n[rack]\npart = "NORTH/RK-7"\nturned = "{word}"\n'
        '[left]\ntie_rod = "NORTH/TR-2"\nrod_end = "NORTH/RE-3"\nknuckle = "NORTH/KN-1"\n'
        '[right]\ntie_rod = "NORTH/TR-2"\nrod_end = "NORTH/RE-3"\nknuckle = "NORTH/KN-1"\n'
        '[mounting]\ncrossmember = "NORTH/CM-1"\n'
    )
    # the middle lies 2.5 mm to the left: 560 - 2.5 - 260
    assert figure(rod(run(book, kit)), "needed_length") == pytest.approx(297.5, abs=1e-5)
    assert figure(rod(run(book, kit)), "rack_offset") == pytest.approx(2.5, abs=1e-5)


def test_distances_do_not_tell_how_holes_lie_with_the_rack_turned_and_a_slot_turns_over() -> None:
    rack = part("NORTH/RK-7", "rack")
    mount = feature("NORTH/RK-7 mount", "pattern", holes="1-2 centre 352 0.5", slot_angle=20.0)
    rack = replace(rack, features={**rack.features, "mount": mount})
    for word, angle in (("upside down", -20.0), ("back to front", 20.0), ("end over end", -20.0)):
        over = turned_rack(rack, word).features["mount"]
        assert over.gaps == {"holes": f"distances do not tell how the holes lie with the rack {word}: give points"}
        assert over.values["slot-angle"].number == angle
        assert "holes" not in over.values
