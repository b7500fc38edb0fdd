"""The page of plots: what is on it, that it needs no colour, and that the same comparison gives the same bytes."""

from __future__ import annotations

import re
import struct
import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from functools import cache

import matplotlib
import pytest

from fitment.kits.steer import Comparison
from fitment.kits.steering_effort import assumed
from fitment.sheets.steer_plots import plotted, steer_plots
from tests.kits.test_steer import at, compare, text
from tests.kits.test_steering_effort import loaded


@cache
def comparison() -> Comparison:
    """Two proposals: the rack where it was, and 12 mm too low."""
    return compare(loaded(u=0.3), text(at(125, 0, 213), name="Level"), text(at(125, 0, 201), name="Low"), count=60)


def words(made: Comparison, system: str = "mm") -> list[str]:
    """The texts on the page: drawn as outlines, they stand beside them as comments."""
    return re.findall(r"<!-- (.*?) -->", steer_plots(made, "svg", system).decode())


def over(made: Comparison, title: str, system: str = "mm") -> str:
    """The line of figures over the plot of this title: the page has it just before the letters and the title."""
    found = words(made, system)
    return next(line for line in reversed(found[: found.index(title)]) if re.match(r"(farthest|on centre|most)", line))


def test_the_same_comparison_gives_the_same_bytes_whatever_a_user_has_set() -> None:
    for form in ("svg", "png"):
        first = steer_plots(comparison(), form, "mm")
        with matplotlib.rc_context({"axes.facecolor": "red", "font.size": 30, "savefig.bbox": "tight"}):
            assert steer_plots(comparison(), form, "mm") == first
        assert not re.search(rb"20\d\d-\d\d-\d\d", first)


def test_the_page_is_a4_lying() -> None:
    png = steer_plots(comparison(), "png", "mm")
    assert png.startswith(b"\x89PNG\r\n\x1a\n")
    wide, tall = struct.unpack(">II", png[16:24])
    assert (wide / 150 * 25.4, tall / 150 * 25.4) == (pytest.approx(297, abs=0.5), pytest.approx(210, abs=0.5))
    root = ElementTree.fromstring(steer_plots(comparison(), "svg", "mm").decode())
    assert (float(root.attrib["width"][:-2]), float(root.attrib["height"][:-2])) == (
        pytest.approx(297 / 25.4 * 72, abs=1),
        pytest.approx(210 / 25.4 * 72, abs=1),
    )


def test_no_colour_is_used() -> None:
    colours = set(re.findall(r"#([0-9a-f]{6})", steer_plots(comparison(), "svg", "mm").decode()))
    assert len(colours) > 2
    assert {colour for colour in colours if not colour[:2] == colour[2:4] == colour[4:]} == set()


def test_steerings_differ_without_their_shade() -> None:
    made = compare(loaded(), *(text(at(125, 0, 213 + step), name=f"Kit {step}") for step in range(6)), count=2)
    svg = steer_plots(made, "svg", "mm").decode()
    legend = svg[svg.index('<g id="legend_1">') :].split('<g id="line2d')[1:]
    looks = set()
    for sample in legend:
        line = re.search(r'style="(fill: none; stroke[^"]*)"', sample)
        assert line is not None
        marker = re.search(r'<use xlink:href="#(m\w+)"[^>]*style="fill: (#\w+|none)', sample)
        shade = re.sub(r"stroke: #\w+;", "", line[1])
        looks.add((shade, marker.groups() if marker else None))
    assert len(legend) == len(looks) == 7


def test_what_stands_on_the_page() -> None:
    found = words(comparison())
    assert "Steering of NORTH/V-1 Kestrel 12 (invented)" in found
    for title in (
        "Toe change over bump, left wheel",
        "Toe change over bump, right wheel",
        "Camber change over bump, left wheel",
        "Ackermann: outer wheel's angle less ideal",
        "Overall steering ratio over lock",
        "Force at the rim, car standing",
    ):
        assert found.count(title) == 1
    for letter in ("orig.", "A", "B"):
        assert found.count(letter) == 6
    assert found[-3:] == ["original", "A = Level; fitment check: not known", "B = Low; fitment check: not known"]
    page = " ".join(found)
    assert "Shaded: 95 % of 60 samples" in page
    assert all(caution in page for caution in comparison().cautions)
    assert f"Force at the rim: {assumed()}." in page


def test_the_figures_over_a_plot_are_those_of_the_table() -> None:
    original, level, low = (one.told.results for one in comparison().steerings)

    def told(name: str, decimals: int) -> str:
        values = zip(("original", "A", "B"), (original, level, low), strict=True)
        return ", ".join(f"{letter} {results[name].value:.{decimals}f}" for letter, results in values)

    # case A's rebound is the worse end for all three
    assert (
        over(comparison(), "Toe change over bump, left wheel") == f"farthest from 0: {told('toe-rebound-left', 2)} deg"
    )
    assert over(comparison(), "Camber change over bump, left wheel").endswith(f"{told('camber-bump-left', 2)} deg")
    assert over(comparison(), "Overall steering ratio over lock") == f"on centre: {told('ratio-centre', 1)}"
    assert over(comparison(), "Force at the rim, car standing") == f"most: {told('rim-most-lock', 0)} N"


def test_both_toes_are_drawn_to_one_scale() -> None:
    found = words(compare(loaded(), text(at(125, 0, 201) + '\nbar_offset = "0 mm"', name="Low"), count=2))
    ticks = []
    for title in ("Toe change over bump, left wheel", "Toe change over bump, right wheel"):
        end = found.index(title)
        start = max(index for index, line in enumerate(found[:end]) if line.startswith("wheel travel"))
        ticks.append(found[start + 1 : found.index("deg", start)])
    assert ticks[0] == ticks[1]


def test_inches() -> None:
    found = words(comparison(), "inch")
    assert found.count("wheel travel, + bump, in") == 3
    assert "lbf" in found
    force = comparison().original.told.results["rim-most-lock"].value / 4.4482216
    assert over(comparison(), "Force at the rim, car standing", "inch").startswith(f"most: original {force:.0f}, A ")


def test_what_is_not_known_is_said_and_another_curve_takes_its_place() -> None:
    car = loaded()
    car.forget("wheel-centre", "load", sides=("right",))
    bare = replace(car.features["body"], values={k: v for k, v in car.features["body"].values.items() if k != "tyre"})
    car.features["body"] = bare
    made = compare(car, 'name = "No place"\ntarget = "NORTH/V-1"\n[rack]\npart = "NORTH/RK-2"\n')
    assert over(made, "Overall steering ratio over lock").endswith("; not known: A")
    found = words(made)
    # no contact centre of the right wheel, so no distance of the axes and no effort: the wheel's angle is drawn, once
    assert found.count("Angle of the left wheel over lock") == 1
    assert "Force at the rim, car standing" not in found
    assert "Ackermann: outer wheel's angle less ideal" not in found
    assert not any("friction" in line for line in found)


def test_what_was_measured_is_marked() -> None:
    made = comparison()
    curves = {name: replace(curve, measured=True) for name, curve in made.original.told.curves.items()}
    measured = replace(made, original=replace(made.original, told=replace(made.original.told, curves=curves)))
    assert over(measured, "Toe change over bump, left wheel").startswith("farthest from 0: original* -0.0")


def test_nothing_to_plot() -> None:
    made = comparison()
    bare = replace(made.original, told=replace(made.original.told, curves={}))
    assert plotted(made)
    assert not plotted(replace(made, original=bare, proposals=()))
