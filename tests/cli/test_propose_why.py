"""Why there is none, through the command line on a few invented parts: what is printed, acted on, opens a kit."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from tests.support.shop import Said, Shop
from tests.support.small_market import Cells, small_market

#: what is measured of the rod; the kit of the demo has 200 mm
LENGTH = ("NORTH/TR-1", "body.length")
#: stud and eye of one cone, and of sizes by which the eye must be reamed
REAMED = {
    ("NORTH/RE-1", "stud.seat-trial"): "",
    ("NORTH/RE-1", "stud.gauge-trial"): "pass gauge 1:8",
    **{(f"NORTH/KN-{number}", "eye.large"): "14.90 @ball-gauge" for number in (1, 2)},
    **{(f"NORTH/KN-{number}", "eye.small"): "12.65 @calliper-inside" for number in (1, 2)},
}


def proposed(shop: Shop, *words: str) -> Said:
    """The answer of `fitment propose`."""
    return shop("propose", "--for", "NORTH/V-1", "--json", *words)


def opens(said: Said) -> dict[str, Any]:
    """What would open a kit where there is none: one change."""
    assert (said.code, said.told["kits"], said.told["proven"]) == (1, [], True)
    (one,) = [reason for reason in said.told["why_none"] if reason["sort"] == "opens"]
    assert one["checked"]
    return one


def market(tmp_path: Path, name: str, cells: Cells, *more: str) -> Shop:
    return small_market(tmp_path / name, cells, frozenset(more))


@pytest.mark.parametrize(("length", "way", "sign"), [(180.0, "longer", 1), (235.0, "shorter", -1)])
def test_a_length_changed_by_what_is_printed_opens_the_kit_and_by_a_bit_less_does_not(
    tmp_path: Path, length: float, way: str, sign: int
) -> None:
    said = proposed(market(tmp_path, "none", {LENGTH: f"{length:g}"}))
    one = opens(said)
    assert (one["change"], one["count"]) == ("length", 3)
    assert {"sort": "out-of-reach", "racks": 1, "of": 1} in said.told["why_none"]
    (what,) = one["what"]
    by = float(re.fullmatch(rf"tie rods that can be set (\d+\.\d) mm {way}", what)[1])
    assert by > 10
    # a tenth is what the printed figure is rounded to
    done = proposed(market(tmp_path, "done", {LENGTH: f"{length + sign * (by + 0.1):.1f}"}))
    assert done.code == 0
    assert done.told["kits"][0]["cost"] == pytest.approx(one["cost"])
    short = proposed(market(tmp_path, "short", {LENGTH: f"{length + sign * (by - 0.3):.1f}"}))
    assert (short.code, short.told["kits"], short.told["proven"]) == (1, [], True)


def test_one_adapter_more_opens_a_kit_where_the_rod_is_too_short(tmp_path: Path) -> None:
    shop = market(tmp_path, "none", {LENGTH: "152 !"}, "NORTH/AD-6")
    said = proposed(shop)
    changes = {reason["change"]: reason for reason in said.told["why_none"] if reason["sort"] == "opens"}
    assert said.code == 1
    assert set(changes) == {"adapter", "length"}
    sides = (f"NORTH/AD-6 between {side}.tie_rod and {side}.rod_end" for side in ("left", "right"))
    assert changes["adapter"]["what"] == ["; ".join(sides)]
    done = proposed(shop, "--adapters", "1")
    assert done.code in (0, 3)
    kit = done.told["kits"][0]
    assert kit["cost"] == pytest.approx(changes["adapter"]["cost"])
    assert [part["part"] for part in kit["parts"] if part["role"] == "adapter"] == ["NORTH/AD-6"] * 2
    file = tmp_path / "kit.toml"
    file.write_text(kit["kit_file"], encoding="utf-8")
    assert shop("check", file).code == done.code
    assert proposed(market(tmp_path, "without", {LENGTH: "152 !"}), "--adapters", "1").code == 1


def test_an_eye_reamed_opens_a_kit_where_no_machining_is_wanted(tmp_path: Path) -> None:
    shop = market(tmp_path, "none", REAMED)
    one = opens(proposed(shop, "--want", "no machining"))
    assert (one["change"], one["what"]) == ("work", ["work on the parts"])
    done = proposed(shop)
    assert done.code == 3
    kit = done.told["kits"][0]
    assert kit["cost"] == pytest.approx(one["cost"])
    (work,) = [line for line in kit["ledger"] if line["line"] == "work"]
    assert any("ream" in what and "NORTH/KN-1" in what for what in work["of"])


def test_one_dimension_measured_opens_a_kit_where_it_decides(tmp_path: Path) -> None:
    shop = market(tmp_path, "none", {("NORTH/TR-1", "outer.depth"): ""})
    one = opens(proposed(shop))
    assert (one["change"], one["what"]) == ("reading", ["NORTH/TR-1 outer depth"])
    assert one["minutes"] > 0
    read = ("reading", "add", "NORTH/TR-1", "outer", "depth=52.00 mm @calliper", "--sitting", "E-1", "--who", "AB")
    shop.done(*read)
    done = proposed(shop)
    assert done.code == 0
    assert done.told["kits"][0]["cost"] >= one["cost"]


def test_the_text_says_how_many_racks_no_rod_can_be_set_to(tmp_path: Path) -> None:
    shop = market(tmp_path, "none", {LENGTH: "180"})
    text = " ".join(shop("propose", "--for", "NORTH/V-1").out.split())
    assert "1. of 1 racks that rods and rod ends go onto by their threads, 1 ask for a length that none" in text
    assert re.search(r"2\. tie rods that can be set \d+\.\d mm longer: opens 3 kits", text)
