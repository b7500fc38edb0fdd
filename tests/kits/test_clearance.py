"""Clearance: the rack in its box, gaps as entered, the scrub line; every car and part is invented.

The car is the published case A with its rack's middle at (125, 0, 213) and the bar straight across.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitment.catalogue.found import FoundPart, FoundVehicle
from fitment.doubt import Draws
from fitment.finding import Finding, Use, Verdict
from fitment.kits.check import check
from fitment.kits.kit_file import read_kit
from fitment.kits.report import Report
from fitment.kits.room_rules import RULES
from fitment.kits.rules import kit_rules
from tests.kits.test_steer import CAR, Car, at, filled, text, use

DOES_NOT_FIT, NOT_KNOWN, _, FITS = Verdict
TITLE = "clearance to the engine, exhaust, wheels and ground"
BODY = f"{CAR} body"
PARTS = '[left]\nknuckle = "NORTH/KN-1"\n[right]\nknuckle = "NORTH/KN-1"\n'


class Bay(Car):
    """The car with a box of 160 by 800 by 130 mm round its rack, which is a tube of 44 mm, 480 mm long."""

    def __init__(self) -> None:
        super().__init__()
        self.say("body", box_min="45, -400, 148", box_max="205, 400, 278", lowest_point=22.0)
        self.part("NORTH/RK-2", tube_left=43.0, tube_right=44.0, envelope_length=480.0)
        self.part("NORTH/RK-2", envelope_height=90.0, envelope_depth=110.0)

    def part(self, name: str, **values: float | str) -> None:
        self.parts[name] = filled(self.parts[name], "body", 0.1, **values)

    def lose(self, name: str, *dimensions: str) -> None:
        self.parts[name] = _without(self.parts[name], dimensions)

    def unsay(self, *dimensions: str) -> None:
        body = self.features["body"]
        kept = {key: one for key, one in body.values.items() if key not in dimensions}
        self.features["body"] = replace(body, values=kept)


def _without(part: FoundPart, dimensions: tuple[str, ...]) -> FoundPart:
    body = part.features["body"]
    kept = {key: one for key, one in body.values.items() if key not in dimensions}
    return replace(part, features={**part.features, "body": replace(body, values=kept)})


def run(book: Car, more: str = "", place: str = at(125, 0, 213), parts: str = PARTS) -> Report:
    return check(read_kit(text(f"{place}\n{parts}{more}").encode(), "kit.toml"), book, Draws(200), {})


def found(report: Report, rule: str) -> list[Finding]:
    return [one for joint in report.joints if joint.id == "clearance" for one in joint.findings if one.rule == rule]


def only(report: Report, rule: str) -> Finding:
    (one,) = found(report, rule)
    return one


def lines(report: Report) -> list[str]:
    return [line.removeprefix(f"{TITLE}: ") for line in report.not_checked if line.startswith(TITLE)]


def test_a_rack_with_room_fits_and_says_what_its_sizes_do_not_tell() -> None:
    told = only(run(Bay()), "room-01")
    assert told.verdict is FITS
    assert told.because == f"its height and depth have 40.00 mm to spare in the clearance box of {BODY}"
    assert told.joint == ("NORTH/RK-2", BODY)
    # 110 deep in 160, 90 high in 130; the tube 65 mm from below and above less 22 mm; 480 long in 800
    assert {name: one.value for name, one in told.figures.items()} == pytest.approx(
        {"length": 320.0, "height_and_depth": 40.0, "tube_as_placed": 43.0}
    )
    assert told.cautions[0].startswith("Room round the rack is told by its recorded sizes alone")


@pytest.mark.parametrize(
    ("sizes", "because"),
    [
        ({"envelope_length": 820.0}, "its length is 20.00 mm too much for"),
        ({"envelope_height": 140.0, "envelope_depth": 150.0}, "its height and depth are 10.00 mm too much for"),
    ],
)
def test_a_rack_larger_than_its_box_does_not_fit(sizes: dict[str, float], because: str) -> None:
    book = Bay()
    book.part("NORTH/RK-2", **sizes)
    told = only(run(book), "room-01")
    assert told.verdict is DOES_NOT_FIT
    assert told.because == f"{because} the clearance box of {BODY}"


def test_a_rack_that_goes_in_on_edge_goes_in() -> None:
    book = Bay()
    book.part("NORTH/RK-2", envelope_height=150.0, envelope_depth=120.0)
    told = only(run(book), "room-01")
    assert (told.verdict, told.figures["height_and_depth"].value) == (FITS, 10.0)


@pytest.mark.parametrize("lost", ["envelope_depth", "envelope_height"])
def test_one_size_alone_is_held_against_the_larger_way(lost: str) -> None:
    book = Bay()
    book.lose("NORTH/RK-2", lost.replace("_", "-"))
    other = "depth" if lost == "envelope_height" else "height"
    book.part("NORTH/RK-2", **{f"envelope_{other}": 150.0})
    report = run(book)
    assert only(report, "room-01").figures[other].value == 10.0
    assert f"NORTH/RK-2 body {lost.replace('_', '-')}: no reading" in lines(report)[-1]


@pytest.mark.parametrize(
    ("place", "left"),
    [
        (at(125, 0, 165), -5.0),  # 17 mm above the floor, the tube 22
        (at(60, 0, 213), -7.0),
        (at(190, 0, 213), -7.0),
        (at(125, 0, 270), -14.0),
        (f'{at(125, 0, 213)}\ntilt = "10 deg"', 65 - 240 * 0.17364817766693033 - 22),
    ],
)
def test_a_tube_that_reaches_out_of_the_box_as_placed_does_not_fit(place: str, left: float) -> None:
    told = only(run(Bay(), place=place), "room-01")
    assert told.figures["tube_as_placed"].value == pytest.approx(left, abs=1e-6)
    assert told.verdict is (DOES_NOT_FIT if left < 0 else FITS)
    if left < 0:
        assert told.because == f"its tube as placed is {-left:.2f} mm too much for the clearance box of {BODY}"


@settings(max_examples=12)
@given(st.floats(-200, 200), st.floats(-200, 200), st.floats(-14, 14))
def test_a_rack_mirrored_left_to_right_has_the_same_room(dx: float, dz: float, tilt: float) -> None:
    book = Bay()
    place = at(125 + round(dx, 3), 0, 213 + round(dz, 3))
    one, other = (run(book, place=f'{place}\ntilt = "{sign * tilt:.3f} deg"') for sign in (1, -1))
    assert only(one, "room-01").figures["tube_as_placed"].value == pytest.approx(
        only(other, "room-01").figures["tube_as_placed"].value, abs=1e-6
    )


def test_a_rack_without_a_place_is_looked_at_by_its_sizes() -> None:
    report = run(Bay(), place="")
    assert set(only(report, "room-01").figures) == {"length", "height_and_depth"}
    assert "rack place in the car: the kit does not say where it sits" in lines(report)[-1]


def test_half_a_box_and_a_size_in_conflict_are_not_known() -> None:
    book = Bay()
    book.unsay("box-max")
    told = only(run(book), "room-01")
    assert told.verdict is NOT_KNOWN
    assert [(gap.feature, gap.dimension) for gap in told.gaps] == [(BODY, "box-max")]
    book = Bay()
    book.lose("NORTH/RK-2", "envelope-length")
    rack = book.parts["NORTH/RK-2"]
    torn = replace(rack.features["body"], gaps={"envelope-length": "in conflict: 480 and 510"})
    book.parts["NORTH/RK-2"] = replace(rack, features={**rack.features, "body": torn})
    told = only(run(book), "room-01")
    assert told.verdict is NOT_KNOWN
    assert told.because == "NORTH/RK-2 body envelope-length: in conflict: 480 and 510"


def test_the_box_of_a_crossmember_counts_too_where_its_points_are_the_cars() -> None:
    book = Bay()
    book.part("NORTH/CM-1", box_min="45, -230, 148", box_max="205, 230, 278")
    crossmember = '[mounting]\ncrossmember = "NORTH/CM-1"\n'
    own, other = found(run(book, crossmember), "room-01")
    assert (own.verdict, other.verdict) == (FITS, DOES_NOT_FIT)
    assert other.because == "its length is 20.00 mm too much for the clearance box of NORTH/CM-1 body"
    assert "tube_as_placed" in other.figures
    book.parts["NORTH/CM-1"] = replace(book.parts["NORTH/CM-1"], datums=("a bench",))
    report = run(book, crossmember)
    assert "tube_as_placed" not in found(report, "room-01")[1].figures
    assert "NORTH/CM-1 datum: its points are taken from a bench" in lines(report)[-1]


@pytest.mark.parametrize(("gap", "verdict"), [(8.0, FITS), (3.0, DOES_NOT_FIT), (5.0, NOT_KNOWN)])
def test_rim_and_tyre_keep_clear_of_the_joint(gap: float, verdict: Verdict) -> None:
    book = Bay()
    book.part("NORTH/KN-1", tyre_gap=gap)
    told = only(run(book), "room-02")
    assert told.verdict is verdict
    assert told.because.startswith(f"{gap:.2f} mm to the tyre at full lock as entered, where 5.00 mm is asked")
    assert told.joint == ("NORTH/KN-1 body", CAR)
    assert only(run(book, "[limits]\ntyre_gap = 2\n"), "room-02").verdict is FITS


def test_gaps_round_the_room_are_figures_until_the_kit_states_a_limit() -> None:
    book = Bay()
    book.say("body", gap_sump=4.0, gap_exhaust=61.0)
    report = run(book)
    assert found(report, "room-02") == []
    assert lines(report)[:2] == [
        f"{BODY}, as entered: 4.00 mm to the sump, 61.00 mm to the exhaust",
        'no verdict, as the kit states no limit and none has authority; room_gap = "5 mm" in [limits] would be one',
    ]
    sump, exhaust = found(run(book, '[limits]\nroom_gap = "10 mm"\n'), "room-02")
    assert (sump.verdict, exhaust.verdict) == (DOES_NOT_FIT, FITS)
    assert sump.because == "4.00 mm to the sump as entered, where 10.00 mm is asked"


@pytest.mark.parametrize(
    ("height", "verdict", "lies"),
    [(22.0, FITS, "22.00 mm above"), (-6.0, DOES_NOT_FIT, "6.00 mm below"), (0.0, NOT_KNOWN, "0.00 mm above")],
)
def test_no_part_hangs_below_the_scrub_line(height: float, verdict: Verdict, lies: str) -> None:
    book = Bay()
    body = book.features["body"]
    low = use(BODY, "lowest-point", height, 0.5)
    book.features["body"] = replace(body, values={**body.values, "lowest-point": low})
    told = only(run(book), "room-03")
    assert told.verdict is verdict
    assert f"the lowest point of the steering lies {lies} the scrub line" in told.because
    assert told.cautions == (
        "The lowest point above the scrub line holds for the parts that it was measured with: measure it again with "
        "these.",
    )


def test_hearsay_never_passes() -> None:
    book = Bay()
    body = book.features["body"]
    low: Use = replace(use(BODY, "lowest-point", 22.0), hearsay=True, source="forum post")
    book.features["body"] = replace(body, values={**body.values, "lowest-point": low})
    assert only(run(book), "room-03").verdict is NOT_KNOWN


def test_nothing_recorded_is_not_checked_and_says_what_to_measure() -> None:
    report = run(Car())
    assert not [joint for joint in report.joints if joint.id == "clearance"]
    assert lines(report) == [
        f"not recorded: {BODY} box-min, box-max, gap-sump, gap-radiator, gap-roll-bar, gap-exhaust, lowest-point: no "
        "reading; NORTH/KN-1 body rim-gap, tyre-gap: no reading"
    ]


@pytest.mark.parametrize("knuckles", ["", PARTS])
def test_a_kit_without_a_rack_has_no_room_to_look_at(knuckles: str) -> None:
    rackless = f'name = "N"\ntarget = "NORTH/V-1"\n{knuckles}[limits]\nroom_gap = "5 mm"\n'
    report = check(read_kit(rackless.encode(), "kit.toml"), Bay(), Draws(200), {})
    assert not [one for one in report.findings if one.rule.startswith("room-")]
    assert lines(report) == ["the kit names no rack"]


def test_a_target_of_which_nothing_is_known() -> None:
    class Bare(Car):
        def find_vehicle(self, reference: str) -> FoundVehicle:
            return FoundVehicle(CAR, "Kestrel 12 (invented)")

    assert lines(run(Bare()))[0].startswith(f"not recorded: {BODY} box-min, box-max, gap-sump")


def test_the_rules_have_their_pages() -> None:
    assert {rule.code for rule in RULES} <= {rule.code for rule in kit_rules()}
