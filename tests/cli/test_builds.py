"""``fitment build``: what was really fitted, its as-built readings, reports and papers, on each kind of database."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from tests.support.shop import KIT, Shop, open_shop


@pytest.fixture
def shop(database_url: str, tmp_path: Path) -> Shop:
    return open_shop(database_url, tmp_path)


def add(shop: Shop, *more: str | Path) -> str:
    """Adds B-1 with both items; what it says."""
    items = ("--item", "left.rod_end=RE-1a", "--item", "left.tie_rod=TR-1a")
    return shop.done("build", "add", "B-1", "--kit", shop.kit, *items, "--date", "2026-11-20", *more).out


def test_a_build_is_its_kit_its_items_and_a_report_of_them_as_fitted(shop: Shop) -> None:
    lines = add(shop, "--who", "AB", "--note", "first car", "--vehicle", "V-1").splitlines()
    assert lines[:3] == [
        "added NORTH/B-1: Two of a rod in NORTH/V-1",
        "  left.tie_rod NORTH/TR-1a",
        "  left.rod_end NORTH/RE-1a",
    ]
    assert lines[3].startswith("as fitted: not known: nothing known rules it out (report ")
    told = shop.done("build", "show", "B-1", "--json").told
    assert {key: told[key] for key in ("reference", "vehicle", "dated", "who", "note", "kit", "kit_text")} == {
        "reference": "NORTH/B-1",
        "vehicle": "NORTH/V-1",
        "dated": "2026-11-20",
        "who": "AB",
        "note": "first car",
        "kit": "Two of a rod",
        "kit_text": KIT,
    }
    assert told["kit_digest"] == hashlib.sha256(KIT.encode()).hexdigest()
    assert told["items"] == [
        {"role": "left.tie_rod", "item": "NORTH/TR-1a", "part": "NORTH/TR-1"},
        {"role": "left.rod_end", "item": "NORTH/RE-1a", "part": "NORTH/RE-1"},
    ]
    (report,) = told["reports"]
    body = shop("report", "show", report["uid"], "--json").told
    assert [part["reference"] for part in body["parts"]] == ["NORTH/TR-1a", "NORTH/RE-1a"]
    assert report["builds"] == ["NORTH/B-1"]
    (listed,) = shop.done("build", "list", "--json").told["builds"]
    assert listed == {key: value for key, value in told.items() if key not in ("schema", "readings", "papers")}
    assert "NORTH/B-1" in shop.done("build", "list").out


def test_the_kit_stays_as_it_was_when_its_file_changes(shop: Shop) -> None:
    add(shop)
    shop.kit.write_text(KIT.replace("Two of a rod", "Another"), encoding="utf-8")
    assert shop.done("build", "show", "B-1", "--json").told["kit_text"] == KIT
    assert "Kit: Two of a rod" in shop("build", "check", "B-1").out
    said = shop("build", "add", "B-1", "--kit", shop.kit)
    assert said.code == 65
    assert said.err.startswith("fitment: NORTH/B-1 is there already with another kit file (SHA-256 ")


def test_an_item_left_out_is_named_later_and_none_is_changed(shop: Shop) -> None:
    first = shop.done("build", "add", "B-1", "--kit", shop.kit, "--item", "left.rod_end=RE-1a")
    assert first.err == "fitment: no item named for left.tie_rod: checked by the part's own readings\n"
    shop.done("build", "add", "B-1", "--kit", shop.kit, "--item", "left.tie_rod=TR-1a")
    told = shop.done("build", "show", "B-1", "--json").told
    assert {one["item"] for one in told["items"]} == {"NORTH/RE-1a", "NORTH/TR-1a"}
    latest = shop("report", "show", told["reports"][-1]["uid"], "--json").told
    assert all(part["is_item"] for part in latest["parts"])
    said = shop("build", "add", "B-1", "--kit", shop.kit, "--item", "left.rod_end=RE-1b")
    assert said.code == 65
    assert said.err == (
        "fitment: NORTH/B-1 has NORTH/RE-1a as left.rod_end already, not NORTH/RE-1b [build-02]\n"
        "  a build says what was fitted: use another reference for what was fitted later\n"
    )


def test_what_was_fitted_may_be_of_another_part_than_the_kit_names_and_is_shown(shop: Shop) -> None:
    shop.done("build", "add", "B-1", "--kit", shop.kit, "--item", "left.rod_end=RE-2a")
    shown = shop.done("build", "show", "B-1").out
    assert "left.rod_end  NORTH/RE-2a    NORTH/RE-2  RE-1" in shown
    assert "left.tie_rod  no item named              TR-1" in shown


def test_as_built_readings_are_of_the_item_and_the_next_report_uses_them(shop: Shop) -> None:
    add(shop)
    shop.done("reading", "add", "TR-1a", "outer", "depth=52 mm", "--sitting", "T-1")
    words = ("build", "read", "B-1", "left.rod_end", "shank", "depth=31 mm", "--sitting", "fit-1", "--who", "AB")
    assert shop("build", "read", *words[2:], "--dry-run").code == 0
    assert shop.done("build", "show", "B-1", "--json").told["readings"] == []
    said = shop.done(*words, "--json")
    assert said.err == "fitment: made the sitting NORTH/fit-1\n"
    (entered,) = said.told["readings"]
    assert (said.told["schema"], entered["of"]) == ("fitment.reading-add/1", "NORTH/RE-1a")
    (read,) = shop.done("build", "show", "B-1", "--json").told["readings"]
    assert (read["uid"], read["entered"], read["sitting"]) == (entered["uid"], "31 mm", "NORTH/fit-1")
    assert shop("build", "check", "B-1", "--keep", "--dry-run").code == 4
    assert len(shop.done("build", "show", "B-1", "--json").told["reports"]) == 1
    revision = shop.done("catalogue", "status", "--json").told["revision"]
    kept = shop("build", "check", "B-1", "--keep", "--json")
    assert shop.done("catalogue", "status", "--json").told["revision"] == revision
    reports = shop.done("build", "show", "B-1", "--json").told["reports"]
    assert kept.err == f"fitment: kept as report {reports[1]['uid'][:8]} of NORTH/B-1\n"
    (finding,) = [one for one in kept.told["findings"] if one["rule"] == "thread-04"]
    assert entered["uid"][:8] in {uid for use in finding["uses"] for uid in use["readings"]}
    assert "31 mm" in shop.done("build", "show", "B-1").out


def test_a_dry_run_adds_nothing(shop: Shop) -> None:
    assert add(shop, "--dry-run").startswith("would add NORTH/B-1: Two of a rod in NORTH/V-1\n")
    assert shop.done("build", "list").out == "no builds\n"
    assert shop.done("report", "list", "--json").told["reports"] == []


FAULTS: list[tuple[list[str], int, str]] = [
    (
        ["build", "add", "B-2", "--kit", "{kit}", "--vehicle", "V-2"],
        65,
        'fitment: {kit}:2:10: the kit is for NORTH/V-1, not for NORTH/V-2 [build-05]\n  write target = "NORTH/V-2" in '
        "the kit, or name the vehicle that it is for\n",
    ),
    (
        ["build", "add", "B-2", "--kit", "{kit}", "--item", "left.rodend=RE-1a"],
        65,
        'fitment: the kit names no part as "left.rodend" [build-04]\n  nearest: left.rod_end, left.tie_rod\n',
    ),
    (
        ["build", "add", "B-2", "--kit", "{kit}", "--item", "left.rod_end"],
        2,
        'fitment: --item "left.rod_end" is not PLACE=ITEM [usage-30]\n  write for example --item left.rod_end=RE-1a\n',
    ),
    (
        ["build", "add", "B-2", "--kit", "{kit}", "--item", "left.rod_end=RE-1a", "--item", "left.rod_end=RE-1b"],
        2,
        "fitment: left.rod_end is named twice [usage-30]\n  write for example --item left.rod_end=RE-1a\n",
    ),
    (
        ["build", "add", "B-2", "--kit", "{kit}", "--date", "20 May"],
        65,
        'fitment: "20 May" is not a date [sitting-02]\n  write year-month-day, like 2026-11-24\n',
    ),
    (
        ["build", "add", "B-2", "--kit", "{kit}", "--paper", "none.jpg"],
        66,
        "fitment: none.jpg: there is no such file [paper-01]\n  name an existing one\n",
    ),
    (["build", "show", "B-2"], 66, "fitment: no build B-2 [ref-02]\n  allowed: NORTH/B-1\n"),
    (
        ["build", "read", "B-1", "left.tie_rods", "outer", "depth=50 mm", "--sitting", "T-1"],
        66,
        "fitment: NORTH/B-1 names no item as left.tie_rods [build-03]\n  nearest: left.tie_rod; fitment build add "
        "NORTH/B-1 --kit FILE --item left.tie_rods=ITEM names it\n",
    ),
    (
        ["build", "read", "B-1", "left.tie_rod", "outer", "depth=50 mm", "--sitting", "T-9"],
        66,
        "fitment: no sitting T-9 [sitting-01]\n  add --who INITIALS (and --source, --tool) to make it\n",
    ),
]


@pytest.mark.parametrize(("words", "code", "told"), FAULTS)
def test_faults_name_what_and_how_to_mend_and_leave_nothing_behind(
    tmp_path: Path, words: list[str], code: int, told: str
) -> None:
    shop = open_shop(f"sqlite:///{tmp_path / 'shop.sqlite'}", tmp_path)
    shop.done("build", "add", "B-1", "--kit", shop.kit, "--item", "left.tie_rod=TR-1a")
    before = shop.done("build", "list", "--json").told
    said = shop(*(word.replace("{kit}", str(shop.kit)) for word in words))
    assert (said.code, said.err) == (code, told.replace("{kit}", str(shop.kit)))
    assert shop.done("build", "list", "--json").told == before


def test_papers_are_named_by_path_and_digest_and_a_changed_one_is_told(shop: Shop) -> None:
    photo, page = shop.folder / "arm.jpg", shop.folder / "page.txt"
    photo.write_bytes(b"as it looked")
    page.write_bytes(b"as it was written")
    add(shop, "--paper", photo)
    add(shop, "--paper", photo)
    words = ("build", "read", "B-1", "left.rod_end", "shank", "depth=31 mm", "--sitting", "fit-1", "--who", "AB")
    shop.done(*words, "--paper", page)
    other = ("reading", "add", "RE-2", "shank", "wall=4 mm", "--sitting", "T-1", "--paper", page)
    shop.done(*other)
    near = shop.url.startswith("sqlite")
    papers = shop.done("build", "show", "B-1", "--json").told["papers"]
    assert papers == [
        {
            "of": of,
            "path": path.name if near else path.as_posix(),
            "digest": hashlib.sha256(path.read_bytes()).hexdigest(),
            "state": "as it was",
        }
        for of, path in (("build NORTH/B-1", photo), ("sitting NORTH/fit-1", page))
    ]
    assert shop("catalogue", "verify").code == 0
    photo.write_bytes(b"touched up")
    page.unlink()
    said = shop("catalogue", "verify")
    assert said.code == 1
    assert said.out == (
        f"{papers[0]['path']} of build NORTH/B-1 no longer holds what it held when it was named "
        f"(SHA-256 {papers[0]['digest'][:12]})\n"
    )
    states = [one["state"] for one in shop.done("build", "show", "B-1", "--json").told["papers"]]
    assert states == ["changed", "not there"]
    assert "changed" in shop.done("build", "show", "B-1").out
