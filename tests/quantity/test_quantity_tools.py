"""Tools: their half-widths and standard uncertainties as the trade gives them, and their names."""

from __future__ import annotations

import pytest

from fitment.errors import DataFault
from fitment.quantity.parse import parse_quantity, standard_uncertainty
from fitment.quantity.tools import all_tools, find_tool

#: tool, kind, half-width and its standard uncertainty as rounded in the trade table (mm, deg, turn).
#: Common practice, no source.
TABLE = [
    ("calliper", "length", 0.05, 0.029),
    ("calliper-inside", "length", 0.08, 0.046),
    ("calliper-tapered-eye", "length", 0.15, 0.087),
    ("depth-rod", "length", 0.1, 0.058),
    ("micrometer", "length", 0.01, 0.006),
    ("ball-gauge", "length", 0.02, 0.012),
    ("rule", "length", 0.5, 0.29),
    ("tape", "length", 1.0, 0.58),
    ("chalk", "length", 200.0, None),
    ("plumb", "length", 2.0, 1.2),
    ("laser", "length", 1.0, 0.58),
    ("pitch-gauge", "length", 0.02, None),
    ("chord", "length", 0.05, 0.029),
    ("angle-finder", "angle", 0.2, 0.12),
    ("phone", "angle", 0.5, 0.29),
    ("protractor", "angle", 1.0, 0.58),
    ("string", "length", 0.5, 0.29),
    ("toe-plates", "length", 1.0, 0.58),
    ("turns", "turns", 0.03, 0.017),
    ("count", "count", 1.0, None),
    ("count-ticked", "count", 0.0, None),
    ("listing-1/16", "length", 0.79375, 0.46),
    ("listing-1/32", "length", 0.396875, 0.23),
    ("listing-1/64", "length", 0.1984375, 0.11),
]

PASS_OR_FAIL = ["blueing", "go-gauge"]


@pytest.mark.parametrize(("code", "kind", "half_width", "rounded_u"), TABLE)
def test_half_widths(code: str, kind: str, half_width: float, rounded_u: float | None) -> None:
    tool = find_tool(code)
    found = tool.half_width_for(kind, 20.0)
    assert (tool.kind, found) == (kind, half_width)
    if rounded_u is not None:
        bare = {"length": "mm", "angle": "deg", "turns": "turn"}[kind]
        u = standard_uncertainty(parse_quantity("20.0", kind, bare), found)
        digits = 3 if rounded_u < 0.1 else 1 if rounded_u >= 1 else 2
        assert round(u, digits) == rounded_u


def test_a_torque_wrench_errs_by_a_share_of_the_value() -> None:
    wrench = find_tool("torque wrench")
    # class value of ISO 6789, 4 to 6 %, from memory
    assert wrench.half_width_for("torque", 50.0) == pytest.approx(3.0)
    assert wrench.half_width_for("torque", -50.0) == pytest.approx(3.0)
    assert wrench.source == "class value of ISO 6789, from memory"


@pytest.mark.parametrize("code", PASS_OR_FAIL)
def test_pass_or_fail_has_no_half_width(code: str) -> None:
    tool = find_tool(code)
    assert (tool.half_width, tool.unit, tool.kind) == (None, None, None)
    assert tool.half_width_for("length", 14.0) is None


def test_every_tool_is_checked_and_sourced() -> None:
    checked = [*(row[0] for row in TABLE), *PASS_OR_FAIL, "torque-wrench"]
    assert sorted(tool.code for tool in all_tools()) == sorted(checked)
    for tool in all_tools():
        assert tool.title
        assert tool.use
        assert tool.source in ("common practice, no source", "class value of ISO 6789, from memory")


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("vernier", "calliper"),
        ("caliper", "calliper"),
        ("Calipers", "calliper"),
        ("callipers", "calliper"),
        ("digital calliper", "calliper"),
        ("CALLIPER_INSIDE", "calliper-inside"),
        ("inside caliper", "calliper-inside"),
        ("depth  rod", "depth-rod"),
        ("mic", "micrometer"),
        ("pin gauges", "ball-gauge"),
        ("tape measure", "tape"),
        ("plumb bob", "plumb"),
        ("thread gauge", "pitch-gauge"),
        ("known mating part", "go-gauge"),
        ("bluing", "blueing"),
        ("inclinometer", "phone"),
        ("listing 1/16 in", "listing-1/16"),
    ],
)
def test_synonyms(name: str, code: str) -> None:
    assert find_tool(name).code == code


def test_no_name_means_two_tools() -> None:
    names = [name.casefold().replace("-", " ") for tool in all_tools() for name in (tool.code, *tool.synonyms)]
    repeated = {name for name in names if names.count(name) > 1}
    # a code may be repeated among the synonyms of its own tool only
    for name in repeated:
        owners = {t.code for t in all_tools() for n in (t.code, *t.synonyms) if n.casefold().replace("-", " ") == name}
        assert len(owners) == 1, name


@pytest.mark.parametrize(
    ("name", "message", "mending"),
    [
        ("verneir", 'there is no tool "verneir"', "nearest: vernier, vernier caliper, vernier calliper"),
        (
            "sundial\n",
            'there is no tool "sundial?"',
            f"none of the {sum(1 + len(tool.synonyms) for tool in all_tools())} known names is near",
        ),
    ],
)
def test_unknown_tools(name: str, message: str, mending: str) -> None:
    with pytest.raises(DataFault) as raised:
        find_tool(name)
    assert (raised.value.message, raised.value.mending, raised.value.code) == (message, mending, "tool-01")


def test_a_tool_does_not_measure_every_kind() -> None:
    with pytest.raises(DataFault) as raised:
        find_tool("phone").half_width_for("length", 14.0)
    assert raised.value.message == "phone measures an angle, not a length"
    assert raised.value.mending == "name the tool that gave this value, or leave the tool out"
    assert raised.value.code == "tool-02"
