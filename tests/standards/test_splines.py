"""Splines and serrations, against the published figures, a solid model of pins, and each other."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.errors import DataFault
from fitment.standards import serrations, spline_forms, splines
from fitment.standards.serrations import din5481, din5481_table, j500, j500_table
from fitment.standards.spline_forms import InvoluteSpline, b92_1, din5480, iso4156, over_pins
from fitment.standards.splines import trade_spline, trade_splines

PUBLISHED = Path(__file__).parents[1] / "published" / "splines.csv"
INCH = 25.4


def published() -> list[dict[str, str]]:
    with PUBLISHED.open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))


def numbers(text: str) -> list[float]:
    return [float(number) for number in re.findall(r"\d+(?:\.\d+)?", text)]


def sharp(row: dict[str, str]) -> float:
    """J500 by geometry, per pitch diameter."""
    serration = j500(int(numbers(row["designation"])[0]))
    return {
        "OD": serration.sharp_outside,
        "RD": serration.sharp_root,
        "B": serration.tooth_angle,
        "Wh": serration.hole_wire,
        "Ws": serration.shaft_wire,
        "Mh": serration.between_wires,
        "Ms": serration.over_wires,
    }[row["id"].rsplit("-", 1)[1]]


def tabled(row: dict[str, str]) -> float:
    """J500 by its table, inches, with the count said beside the size."""
    size, teeth = row["designation"].split(" nominal, N=")
    whole = {"1/4": 0.25, "1/2": 0.5, "3/4": 0.75, "1": 1.0, "1 1/2": 1.5}[size]
    entry = next(entry for entry in j500_table() if entry.nominal == pytest.approx(whole * INCH))
    assert entry.teeth == int(teeth)
    figure = {"PD": entry.pitch_diameter, "Ms": entry.over_wires_max, "Mh": entry.between_wires_min}
    return figure[row["id"].rsplit("-", 1)[1]] / INCH


def involute_figure(spline: InvoluteSpline, letters: str) -> float | None:
    return {
        "D": spline.pitch_diameter,
        "Db": spline.base_diameter,
        "Do": spline.external_major,
        "Dri": spline.internal_major,
        "Di": spline.internal_minor,
        "Dre": spline.external_minor,
        "Dee": spline.external_major,
        "Dei": spline.internal_major,
        "d": spline.pitch_diameter,
        "db": spline.base_diameter,
        "da1": spline.external_major,
        "df1": spline.external_minor,
        "da2": spline.internal_minor,
        "df2": spline.internal_major,
        "xm": spline.profile_shift,
    }[letters]


def inch_involute(row: dict[str, str]) -> float | None:
    teeth, pitch, _, angle = numbers(row["designation"])
    figure = involute_figure(b92_1(int(teeth), pitch, angle), row["id"].rsplit("-", 1)[1])
    return None if figure is None else figure / INCH


def metric_involute(row: dict[str, str]) -> float | None:
    module, teeth, angle = numbers(row["designation"])
    return involute_figure(iso4156(int(teeth), module, angle), row["id"].rsplit("-", 1)[1])


def reference_involute(row: dict[str, str]) -> float | None:
    reference, module, _, teeth = numbers(row["designation"])
    return involute_figure(din5480(reference, module, int(teeth)), row["id"].rsplit("-", 1)[1])


def metric_serration(row: dict[str, str]) -> float:
    entry = din5481(row["designation"])
    assert entry.source_kind == row["source_kind"] == "memory"
    return {"z": entry.teeth, "d5": entry.pitch_diameter, "gap": entry.tooth_angle}[row["id"].rsplit("-", 1)[1]]


def pins(row: dict[str, str]) -> float:
    teeth, pitch, _, angle, thickness = numbers(row["designation"])
    spline = b92_1(int(teeth), pitch, angle)
    # the row prints the thickness to six places; the least effective space and pi/2P are the figures behind it
    assert spline.space_width is not None
    exact = math.pi / 2 / pitch if row["id"].endswith("basic") else spline.space_width / INCH
    assert exact == pytest.approx(thickness, abs=1e-6)
    return over_pins(spline, exact * INCH, 0.04 * INCH) / INCH


def trade(row: dict[str, str]) -> float:
    name = row["designation"]
    if name == "17DD":
        shaft = trade_spline("17 mm DD")
        assert shaft.across_flats is not None
        return (shaft.across_flats if "flats" in row["quantity"] else shaft.nominal_od) / INCH
    assert trade_spline(name).source_kind == row["source_kind"]
    return trade_spline(name).nominal_od / INCH


def measured(row: dict[str, str]) -> float:
    limits = trade_spline(row["designation"]).measured
    assert limits is not None
    low, high = limits
    # the row prints the middle, and half the spread as its tolerance
    assert (high - low) / 2 / INCH == pytest.approx(float(row["tolerance"]), abs=1e-9)
    return (low + high) / 2 / INCH


FAMILIES: dict[str, Callable[[dict[str, str]], float | None]] = {
    "J500": lambda row: tabled(row) if row["id"].startswith("J500-T-") else sharp(row),
    "B921": inch_involute,
    "ISO4156": metric_involute,
    "DIN5480": reference_involute,
    "DIN5481": metric_serration,
    "PINS": pins,
    "TRADE": trade,
    "MEAS": measured,
    "INDEX": lambda row: splines.index_step(int(numbers(row["designation"])[0])),
    "INDEX2": lambda row: splines.finest_step(*(int(number) for number in numbers(row["designation"]))),
    "CHORD": lambda row: splines.chord(19.05, int(row["id"].split("-")[1]), int(row["id"].split("-")[2])),
}


@pytest.mark.parametrize("row", published(), ids=lambda row: row["id"])
def test_published(row: dict[str, str]) -> None:
    ours = FAMILIES[row["id"].split("-")[0]](row)
    assert ours == pytest.approx(float(row["value"]), abs=float(row["tolerance"]) or 1e-12, rel=0)


# -- serrations ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("entry", j500_table(), ids=lambda entry: f"{entry.nominal / INCH:g} in")
def test_table_of_j500_follows_the_geometry_it_did_not_use(entry: serrations.TabledSerration) -> None:
    geometry = j500(entry.teeth, entry.pitch_diameter)
    # both printed to 0.0001 in, from a pitch diameter rounded to 0.001 in: the products reproduce each last digit
    assert entry.over_wires_max == pytest.approx(geometry.over_wires, abs=0.0001 * INCH)
    assert entry.between_wires_min == pytest.approx(geometry.between_wires, abs=0.0001 * INCH)
    # crests are flattened from the sharp point to about the nominal
    assert geometry.sharp_root < entry.nominal < geometry.sharp_outside * 1.001


@pytest.mark.parametrize("teeth", [6, 36, 40, 48])
def test_wires_touch_both_flanks_on_the_pitch_circle(teeth: int) -> None:
    serration = j500(teeth)
    half = math.pi / teeth
    root = complex(serration.sharp_root / 2)
    crest = serration.sharp_outside / 2 * complex(math.cos(half), math.sin(half))
    flank = (crest - root) / abs(crest - root)
    shaft = complex((serration.over_wires - serration.shaft_wire) / 2)
    along = ((shaft - root) * flank.conjugate()).real
    touching = root + along * flank
    assert abs(touching) == pytest.approx(0.5, abs=1e-12)
    assert abs(shaft - touching) == pytest.approx(serration.shaft_wire / 2, abs=1e-12)
    # the hole's space is the shaft's tooth, whose axis runs through the crest
    turned = complex(math.cos(half), math.sin(half))
    hole = (serration.between_wires + serration.hole_wire) / 2 * turned
    along = ((hole - root) * flank.conjugate()).real
    touching = root + along * flank
    assert abs(touching) == pytest.approx(0.5, abs=1e-12)
    assert abs(hole - touching) == pytest.approx(serration.hole_wire / 2, abs=1e-12)


def test_the_misprinted_wire_is_not_ours() -> None:
    # web copies print .06565005 for the 36-tooth shaft wire; the table's .0319 at PD .485 decides
    wire = j500(36).shaft_wire * 0.485
    assert round(wire, 4) == 0.0319
    assert round(0.06565005 * 0.485, 4) == 0.0318


def test_serrations_of_din_5481_are_consistent() -> None:
    for entry in din5481_table():
        small, large = (float(number) for number in entry.name.split("x"))
        # the pitch diameter lies between hub minor and shaft major
        assert small < entry.pitch_diameter < large
        assert entry.tooth_angle == pytest.approx(60 - 360 / entry.teeth)
    counts = [entry.teeth for entry in din5481_table()]
    assert counts == sorted(counts)


# -- involutes ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("angle", "root"), [(30, "flat"), (30, "fillet"), (37.5, "fillet"), (45, "fillet")])
@pytest.mark.parametrize("pitch", [8, 12, 16, 24, 48])
def test_shaft_goes_into_its_own_hole(angle: float, root: str, pitch: float) -> None:
    spline = b92_1(24, pitch, angle, root)
    assert spline.external_minor is not None
    assert spline.internal_minor is not None
    assert spline.external_form is not None
    assert spline.external_minor < spline.internal_minor < spline.pitch_diameter
    assert spline.pitch_diameter < spline.external_major < spline.internal_major
    assert spline.external_minor <= spline.external_form < spline.internal_minor
    metric = iso4156(24, 1.25, angle, root)
    assert metric.pitch_diameter < metric.external_major < metric.internal_major


def test_figures_of_b92_1_with_no_row_of_their_own() -> None:
    # a CAD vendor's help page: external minor (N-1.8)/P to 12/24, (N-2)/P from 16/32; (N-1.3)/P at 37.5 degrees
    assert b92_1(24, 12, 30).external_minor == pytest.approx((24 - 1.8) / 12 * INCH)
    assert b92_1(24, 16, 30).external_minor == pytest.approx((24 - 2) / 16 * INCH)
    assert b92_1(24, 16, 30, "flat").external_minor == pytest.approx((24 - 1.35) / 16 * INCH)
    assert b92_1(24, 16, 37.5).external_minor == pytest.approx((24 - 1.3) / 16 * INCH)
    assert b92_1(24, 16, 37.5).internal_minor == pytest.approx((24 - 0.8) / 16 * INCH)
    assert b92_1(24, 16, 37.5).internal_major == pytest.approx((24 + 1.6) / 16 * INCH)
    assert b92_1(24, 16, 30, "flat").internal_major == pytest.approx((24 + 1.35) / 16 * INCH)
    assert b92_1(24, 12, 30, "flat").external_minor == pytest.approx((24 - 1.35) / 12 * INCH)
    assert b92_1(24, 12, 37.5).external_minor == pytest.approx((24 - 1.3) / 12 * INCH)
    assert b92_1(24, 12, 45).external_minor == pytest.approx((24 - 1) / 12 * INCH)
    for root in ("flat", "fillet"):
        assert b92_1(24, 16, 30, root).space_width == pytest.approx(math.pi / 2 / 16 * INCH)
    assert b92_1(24, 16, 37.5).space_width == pytest.approx((math.pi / 2 + 0.1) / 16 * INCH)
    # form diameter with the clearance 0.001 D held between .002 and .010 in
    assert b92_1(36, 48).external_form == pytest.approx(((36 - 0.6) / 48 - 2 * 0.002) * INCH)
    assert b92_1(96, 16, 30).external_form == pytest.approx((95 / 16 - 2 * 0.006) * INCH)
    assert b92_1(96, 8, 30).external_form == pytest.approx((95 / 8 - 2 * 0.010) * INCH)
    # ISO 4156: 37.5 degrees 0.9 and 1.4; 30 degrees fillet 1.0 and 1.8, flat 1.0 and 1.5
    assert iso4156(36, 0.5, 37.5).external_major == pytest.approx(18.45)
    assert iso4156(36, 0.5, 37.5).internal_major == pytest.approx(18.7)
    for root in ("flat", "fillet"):
        assert iso4156(20, 2, 30, root).external_major == pytest.approx(42)
    assert iso4156(20, 2, 30).pitch_diameter == 40
    assert iso4156(20, 2, 30).base_diameter == pytest.approx(40 * math.sqrt(3) / 2)
    assert iso4156(20, 1, 30).profile_shift == b92_1(36, 48).profile_shift == 0
    assert iso4156(20, 1, 30).internal_major == pytest.approx(21.8)
    assert iso4156(20, 1, 30, "flat").internal_major == pytest.approx(21.5)
    assert din5480(25, 1.25, 18).pressure_angle == 30
    # DIN 5480, hobbed (from memory): dB - 2.3 m
    assert din5480(25, 1.25, 18, "hobbed").external_minor == pytest.approx(25 - 2.3 * 1.25)


def test_trade_names_that_fit_b92_1_and_those_that_do_not() -> None:
    # 26 teeth at 48/96 are exactly 9/16 in over the crests, 35 exactly 3/4 in; 36 are .7708 in
    assert b92_1(26, 48).external_major == pytest.approx(9 / 16 * INCH)
    assert b92_1(35, 48).external_major == pytest.approx(3 / 4 * INCH)
    assert b92_1(36, 48).external_major == pytest.approx(0.7708 * INCH, abs=0.0001 * INCH)


@pytest.mark.parametrize("teeth", [26, 35, 36, 54])
def test_pins_touch_two_involute_flanks(teeth: int) -> None:
    # no formula shared: walk along the unrolled flank until a circle on the space's centre line touches it
    spline = b92_1(teeth, 48)
    thickness, pin = math.pi / 2 / 48 * INCH, 0.04 * INCH
    base = spline.base_diameter / 2
    half_space = math.pi / teeth - thickness / spline.pitch_diameter

    def flank(roll: float) -> complex:
        """A point of the flank above the space's centre line, `roll` radians unwound from the base circle."""
        start = half_space - (math.tan(math.pi / 4) - math.pi / 4)
        direction = complex(math.cos(start + roll), math.sin(start + roll))
        return base * direction - 1j * base * roll * direction

    def gap(centre: float) -> float:
        """Distance of the flank from a pin there, less its radius."""
        points = (flank(0.2 + 1.8 * step / 4000) for step in range(4001))
        return min(abs(point - centre) for point in points) - pin / 2

    low, high = spline.pitch_diameter / 2, spline.pitch_diameter
    for _ in range(40):
        middle = (low + high) / 2
        low, high = (middle, high) if gap(middle) < 0 else (low, middle)
    opposite = 1.0 if teeth % 2 == 0 else math.cos(math.pi / 2 / teeth)
    assert over_pins(spline, thickness, pin) == pytest.approx(2 * low * opposite + pin, abs=2e-4)


@given(st.floats(1e-6, 100))
def test_angle_of_an_involute(value: float) -> None:
    assert spline_forms.involute(spline_forms.angle_of_involute(value)) == pytest.approx(value, rel=1e-9, abs=1e-12)


# -- counts -------------------------------------------------------------------------------------------------------


@given(st.integers(2, 60), st.integers(2, 60))
def test_steps_and_teeth_in_line_by_brute_force(teeth: int, other: int) -> None:
    ours = {tooth * other for tooth in range(teeth)}
    theirs = {tooth * teeth for tooth in range(other)}
    assert splines.teeth_in_line(teeth, other) == len(ours & theirs)
    positions = sorted((a - b) % (teeth * other) for a in ours for b in theirs)
    steps = {b - a for a, b in pairwise(positions)} - {0}
    finest = min(steps, default=teeth * other) * 360 / (teeth * other)
    assert splines.finest_step(teeth, other) == pytest.approx(finest)


def test_unequal_counts_never_mate() -> None:
    # 36/35: 1 tooth lines up; 36/40: 4; 36/48: 12
    assert [splines.teeth_in_line(36, other) for other in (35, 40, 48, 36)] == [1, 4, 12, 36]


@pytest.mark.parametrize("teeth", [26, 35, 36])
def test_flat_jaws_over_crests_by_brute_force(teeth: int) -> None:
    crests = [2 * math.pi * tooth / teeth for tooth in range(teeth)]
    readings = []
    for step in range(2001):
        turn = 2 * math.pi / teeth * step / 2000
        across = [19 / 2 * math.cos(angle + turn) for angle in crests]
        readings.append(max(across) - min(across))
    assert splines.calliper_largest(19, teeth) == pytest.approx(max(readings), abs=1e-6)
    assert splines.calliper_smallest(19, teeth) == pytest.approx(min(readings), abs=1e-6)


def test_an_odd_count_reads_low_between_flat_jaws() -> None:
    # 0.019 mm low at best and 0.038 at worst, for 35 teeth on 19 mm (geometry)
    assert 19 - splines.calliper_largest(19, 35) == pytest.approx(0.019, abs=5e-4)
    assert 19 - splines.calliper_smallest(19, 35) == pytest.approx(0.038, abs=5e-4)


def test_the_name_is_not_the_outside_diameter() -> None:
    # 3/4-30 measures .025 to .030 in under its name, nearer to 18 mm than to 3/4 in
    shaft = trade_spline("3/4-30")
    assert shaft.measured is not None
    low, high = shaft.measured
    assert shaft.nominal_od - high == pytest.approx(0.025 * INCH)
    assert shaft.nominal_od - low == pytest.approx(0.030 * INCH)
    assert abs(low - 18) < shaft.nominal_od - low
    assert shaft.teeth_beside_flat == "about 24"


def test_trade_names_say_their_count_and_never_claim_a_standard() -> None:
    for shaft in trade_splines():
        assert {shaft.source_kind, shaft.measured_source_kind} <= {"common-practice", "memory", ""}
        assert (shaft.measured is None) == (shaft.measured_source == "")
        if shaft.form == "double-D":
            assert shaft.teeth is None
        else:
            assert shaft.name.endswith(str(shaft.teeth))


@pytest.mark.parametrize(
    ("ask", "message", "mending", "code"),
    [
        (
            lambda: trade_spline("3/4-35"),
            "'3/4-35' is no spline that the trade names here",
            "nearest: 3/4-36, 3/4-30, 3/4-48",
            "spline-01",
        ),
        (
            lambda: j500(35),
            "a serration to SAE J500 has an even number of teeth above 4, not 35",
            "count again, marking every fifth tooth with a pen",
            "spline-02",
        ),
        (
            lambda: j500(4),
            "a serration to SAE J500 has an even number of teeth above 4, not 4",
            "count again, marking every fifth tooth with a pen",
            "spline-02",
        ),
        (
            lambda: din5481("16x17"),
            "'16x17' is no serration of DIN 5481 that is known here",
            "nearest: 15x17, 12x14, 10x12",
            "spline-03",
        ),
        (
            lambda: b92_1(36, 48, 40),
            "no spline of 40 degrees with a fillet root is known here",
            "allowed: 30 degrees flat, 30 degrees fillet, 37.5 degrees fillet, 45 degrees fillet",
            "spline-04",
        ),
        (
            lambda: din5480(25, 1.25, 18, "forged"),
            "a shaft to DIN 5480 is not 'forged' here",
            "allowed: broached, hobbed",
            "spline-05",
        ),
        (
            lambda: over_pins(b92_1(18, 24, 30), 0.2, 0.2),
            "a pin of 0.2 mm is too small to touch both flanks of 18 teeth",
            "use a thicker pin",
            "spline-06",
        ),
    ],
)
def test_refusals(ask: Callable[[], object], message: str, mending: str, code: str) -> None:
    with pytest.raises(DataFault) as caught:
        ask()
    assert (caught.value.message, caught.value.mending, caught.value.code) == (message, mending, code)
