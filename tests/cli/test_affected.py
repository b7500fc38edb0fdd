"""A corrected reading shows up in every report and build that used it, old verdict beside new, and in their notice."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.support.shop import KIT, Shop, open_shop

NEVER = ("safe", "legal", "will pass", "strong enough")


@pytest.fixture
def shop(database_url: str, tmp_path: Path) -> Shop:
    return open_shop(database_url, tmp_path)


@pytest.fixture
def own(tmp_path: Path) -> Shop:
    """The shop in a file."""
    return open_shop(f"sqlite:///{tmp_path / 'shop.sqlite'}", tmp_path)


def withdraw(shop: Shop, uid: str, *more: str) -> str:
    return shop.done("reading", "withdraw", uid[:8], "--reason", "wrong rod end", "--who", "CD", *more).out


def test_a_withdrawn_reading_shows_up_in_every_affected_reports_notice(shop: Shop) -> None:
    other = shop.folder / "other.toml"
    other.write_text(KIT.replace("RE-1", "RE-2").replace("Two of a rod", "Not this one"), encoding="utf-8")
    mirrored = shop.folder / "mirrored.toml"
    mirrored.write_text(KIT.replace("left", "right").replace("Two of a rod", "Right side"), encoding="utf-8")
    reports = [shop.keep(), shop.keep(mirrored)]
    untouched = shop.keep(other)
    shop.done("build", "add", "B-1", "--kit", shop.kit, "--item", "left.rod_end=RE-1a")
    shop.done("build", "add", "B-2", "--kit", other, "--item", "left.rod_end=RE-2a")
    reports += [one for one in shop.done("report", "list", "--json").told["reports"] if one["builds"] == ["NORTH/B-1"]]
    uid = shop.readings("RE-1")["shank thread"]
    withdraw(shop, uid, "--value", "M16x1.5")
    told = shop.done("reading", "affected", uid[:8], "--json").told
    assert [one["id"] for one in told["reports"]] == [one["uid"] for one in reports]
    assert told["builds"] == ["NORTH/B-1"]
    assert told["parts"] == ["NORTH/RE-1", "NORTH/RE-1a", "NORTH/RE-1b"]
    assert {key: told["withdrawal"][key] for key in ("reason", "who")} == {"reason": "wrong rod end", "who": "CD"}
    assert (told["reading"]["entered"], told["instead"]["entered"]) == ("M14x1.5", "M16x1.5")
    for one in told["reports"]:
        assert (one["then"], one["now"]) == ("not known", "does not fit")
        changed = {rule["rule"]: (rule["then"], rule["now"]) for rule in one["rules"] if rule["then"] != rule["now"]}
        assert changed["thread-03"] == ("fits", "does not fit")
    folder = shop.folder / "notices"
    said = shop.done("reading", "affected", uid[:8], "--notice", folder)
    text = (folder / f"correction-{uid[:8]}.txt").read_text(encoding="utf-8")
    page = (folder / f"correction-{uid[:8]}.html").read_text(encoding="utf-8")
    assert said.out == text
    for wanted in [one["uid"][:8] for one in reports] + ["NORTH/B-1", "wrong rod end", "M16x1.5", "does not fit"]:
        assert wanted in text
        assert wanted in page
    for absent in (untouched["uid"][:8], "NORTH/B-2", "Not this one", *NEVER):
        assert absent not in text
        assert absent not in page


NOTICE = """\
Correction notice: NORTH/RE-1 shank depth

Corrected
  old value: 38 mm (AB, 2026-01-02, depth-rod, bench, NORTH/T-1; reading
    {old})
  new value: 16 mm (AB, 2026-01-02, depth-rod, bench, NORTH/T-1; reading
    {new})
  reason: wrong rod end (CD, 2026-05-28)

Affected
  parts: NORTH/RE-1, NORTH/RE-1a, NORTH/RE-1b
  kits: Two of a rod
  builds: none
  reports: {report} of 2026-05-28T20:26:40Z

Report {report} of 2026-05-28T20:26:40Z: kit Two of a rod, for NORTH/V-1
  verdict then: not known
  verdict now: does not fit
  value then: 38.000 mm
  value now: 16.000 mm
  joint                 rule       then                   now
  left tie rod to rod   thread-04  fits, +21.00 mm        does not fit, -1.00 mm
  end                              (+20.91 to +21.10)     (-1.09 to -0.90)
  - The old verdict no longer stands. Tell whoever holds the report.

- The kept reports are as they were given; this notice does not change them.
- Dimensional compatibility only. Not an approval. Have the work certified where
  your authority requires it.
- Not checked: strength, fatigue, material, hidden cracks, welds.
- Confirm the direction of steering and every torque on the car.

Checked again on 2026-05-28 by {program}, catalogue
"""


def test_the_notice_has_the_value_the_reason_what_is_affected_the_verdicts_and_what_to_do(
    own: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780000000")
    kept = own.keep()
    old = own.readings("RE-1")["shank depth"]
    said = withdraw(own, old, "--value", "16", "--units", "mm")
    assert re.fullmatch(
        rf"withdrew {old[:8]}: shank depth 38\ninstead [0-9a-f]{{8}}  NORTH/RE-1 shank depth = 16.000 mm, .*\n", said
    )
    new = own.readings("RE-1")["shank depth"]
    out = own.done("reading", "affected", old).out
    wanted = NOTICE.format(old=old[:8], new=new[:8], report=kept["uid"][:8], program=kept["program"])
    assert out.startswith(wanted), out


def test_margins_in_inches_on_request(own: Shop) -> None:
    own.keep()
    uid = own.readings("RE-1")["shank depth"]
    assert "+0.8268 in" in own.done("reading", "affected", uid, "--units", "inch").out


def test_a_build_is_told_to_its_owner_and_certifier(own: Shop) -> None:
    own.done("build", "add", "B-1", "--kit", own.kit)
    uid = own.readings("RE-1")["shank depth"]
    withdraw(own, uid)
    out = own.done("reading", "affected", uid).out
    assert "new value: none: no reading takes its place" in out
    assert "- Measure NORTH/RE-1 shank depth" in out
    assert "tell its owner and its certifier" in out


def test_a_build_is_checked_again_with_the_items_as_fitted(own: Shop) -> None:
    own.done("reading", "add", "RE-1a", "shank", "depth=31 mm", "--sitting", "T-1")
    own.done("build", "add", "B-1", "--kit", own.kit, "--item", "left.rod_end=RE-1a")
    uid = own.readings("RE-1a")["shank depth"]
    withdraw(own, uid, "--value", "16 mm")
    (told,) = own.done("reading", "affected", uid, "--json").told["reports"]
    assert (told["value_then"], told["value_now"], told["now"]) == ("31.000 mm", "16.000 mm", "does not fit")


def test_what_no_rule_used_is_told_as_such(own: Shop) -> None:
    own.done("reading", "add", "RE-1", "body", "mass=0.4 kg", "--sitting", "T-1")
    own.keep()
    uid = own.readings("RE-1")["body mass"]
    withdraw(own, uid)
    out = own.done("reading", "affected", uid).out
    assert "used by: no rule; it stood behind a value of a part of the kit" in out
    assert "- The verdicts are the same with the values in force now." in out


def test_a_value_that_was_in_conflict_then_is_told_as_such(own: Shop) -> None:
    own.done("reading", "add", "RE-1", "shank", "thread=M16x1.5", "--sitting", "T-1")
    own.keep()  # two threads on record are a conflict, so that no rule has either
    found = own.done("reading", "list", "RE-1", "--json").told["readings"]
    uid = next(one["uid"] for one in found if one["entered"] == "M16x1.5")
    withdraw(own, uid)
    told = own.done("reading", "affected", uid, "--json").told["reports"][0]
    assert told["value_then"].startswith("in conflict: M14x1.5")
    assert told["value_now"] == "M14x1.5"
    assert [rule["rule"] for rule in told["rules"] if rule["then"] != rule["now"]]


def test_rules_that_changed_through_a_value_that_no_rule_could_use_are_named(own: Shop) -> None:
    own.done("reading", "add", "RE-1", "shank", "minor=10.0 mm", "--sitting", "T-1")
    own.keep()  # the diameter is not that of the thread on record, so that no rule has the thread
    uid = own.readings("RE-1")["shank minor"]
    withdraw(own, uid)
    told = own.done("reading", "affected", uid, "--json").told["reports"][0]
    changed = list(dict.fromkeys(rule["rule"] for rule in told["rules"] if rule["then"] != rule["now"]))
    assert changed
    out = " ".join(own.done("reading", "affected", uid).out.split())
    names = ", ".join(changed)
    assert f"used by: a value of a part of the kit; rules whose verdict changed with it, or since: {names} joint" in out
    assert "no rule" not in out


def test_a_reading_in_force_is_listed_but_gets_no_notice(own: Shop) -> None:
    own.keep()
    uid = own.readings("RE-1")["shank depth"]
    said = own.done("reading", "affected", uid)
    assert said.out.startswith("Reading in force: NORTH/RE-1 shank depth\n")
    assert "Put this notice" not in said.out
    said = own("reading", "affected", uid, "--notice", own.folder)
    assert said.code == 65
    assert said.err.startswith(f"fitment: reading {uid[:8]} is in force: there is nothing to give notice of")


def test_nothing_affected_is_exit_1(own: Shop) -> None:
    own.keep()
    own.done("build", "add", "B-1", "--kit", own.kit, "--item", "left.rod_end=RE-1a")
    uid = own.readings("RE-2")["shank depth"]
    withdraw(own, uid)
    said = own("reading", "affected", uid, "--json")
    assert (said.code, said.told["reports"], said.told["builds"]) == (1, [], [])
    assert own("reading", "affected", "ffffffff").code == 66


def test_a_build_whose_item_was_read_after_its_report_is_named(own: Shop) -> None:
    own.done("build", "add", "B-1", "--kit", own.kit, "--item", "left.rod_end=RE-1a")
    words = ("left.rod_end", "shank", "depth=31 mm", "--sitting", "fit-1", "--who", "AB")
    uid = own.done("build", "read", "B-1", *words, "--json").told["readings"][0]["uid"]
    withdraw(own, uid)
    said = own.done("reading", "affected", uid)
    assert "builds: NORTH/B-1\n" in said.out
    assert "fitted in NORTH/B-1, but no kept report used it" in said.out


def test_a_kit_that_cannot_be_checked_again_is_open(own: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    from fitment.errors import DataFault
    from fitment.kits import correction

    def broken(*_: object) -> None:
        raise DataFault("the role is not known any more")

    own.keep()
    uid = own.readings("RE-1")["shank depth"]
    withdraw(own, uid)
    monkeypatch.setattr(correction, "read_kit", broken)
    out = own.done("reading", "affected", uid).out
    assert "verdict now: cannot be checked again: the role is not known any more\n" in out
    assert "- Treat the old verdict as open until the kit is checked again." in out
    (told,) = own.done("reading", "affected", uid, "--json").told["reports"]
    assert (told["now"], told["why_not_now"]) == (None, "the role is not known any more")


def test_another_reading_on_record_takes_its_place(own: Shop) -> None:
    own.done("reading", "add", "RE-1", "shank", "depth=36 mm", "--sitting", "T-2", "--who", "CD")
    found = own.done("reading", "list", "RE-1", "--json").told["readings"]
    first, second = (one["uid"] for one in found if one["dimension"] == "depth")
    said = own.done("reading", "withdraw", first, "--reason", "wrong end", "--instead", second[:8])
    assert said.out == (f"withdrew {first[:8]}: shank depth 38\ninstead {second[:8]}  shank depth 36 mm\n")
    assert own("reading", "affected", first, "--json").told["instead"]["uid"] == second


def test_withdrawing_says_how_many_are_affected(own: Shop) -> None:
    own.keep()
    own.done("build", "add", "B-1", "--kit", own.kit, "--item", "left.rod_end=RE-1a")
    uid = own.readings("RE-1")["shank depth"]
    for more in (["--dry-run"], []):
        said = own.done("reading", "withdraw", uid, "--reason", "wrong", *more)
        shows = f"fitment reading affected {uid[:8]} shows them"
        assert said.err == f"fitment: affected: 1 build, 2 kept reports; {shows}\n"


REFUSED: list[tuple[list[str], int, str]] = [
    (["--instead", "{uid}"], 65, "reading {id} is the reading itself [reading-04]"),
    (["--instead", "{gone}"], 65, "reading {gone_id} is withdrawn too [reading-04]"),
    (["--instead", "{thread}"], 65, "reading {thread_id} is of shank thread, not of depth [reading-05]"),
    (["--instead", "{thread}", "--value", "3 mm"], 2, "one reading takes the place of one [usage-31]"),
    (["--sitting", "T-1"], 2, "one reading takes the place of one [usage-31]"),
    (["--value", "36"], 65, '"36": 36 has no unit'),
    (["--value", "36 mm; 37 mm"], 65, '"36 mm; 37 mm" is 2 values [reading-06]'),
    (["--value", "36 mm", "--sitting", "T-7"], 66, "no sitting T-7 [ref-02]"),
]


@pytest.mark.parametrize(("more", "code", "told"), REFUSED)
def test_what_takes_its_place_is_one_reading_in_force_of_the_same_dimension(
    own: Shop, more: list[str], code: int, told: str
) -> None:
    readings = own.readings("RE-1")
    gone = own.readings("RE-2")["shank depth"]
    withdraw(own, gone)
    names = {"uid": readings["shank depth"], "thread": readings["shank thread"], "gone": gone}
    names |= {"id": names["uid"][:8], "thread_id": names["thread"][:8], "gone_id": gone[:8]}
    words = [word.format(**names) for word in more]
    said = own("reading", "withdraw", names["uid"], "--reason", "wrong", *words)
    assert said.code == code
    assert said.err.startswith(f"fitment: {told.format(**names)}")
    assert all(not one["withdrawn"] for one in own.done("reading", "list", "RE-1", "--json").told["readings"])


def test_a_notice_is_written_whole_once_and_over_nothing_else(own: Shop) -> None:
    own.keep()
    uid = own.readings("RE-1")["shank depth"]
    withdraw(own, uid)
    page = own.folder / "a" / "notice.html"
    said = own.done("reading", "affected", uid, "--notice", page, "--dry-run")
    assert (said.err, page.exists()) == (f"fitment: would write {page}\n", False)
    assert own.done("reading", "affected", uid, "--notice", page).err == f"fitment: wrote {page}\n"
    assert page.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    page.write_text("something else", encoding="utf-8")
    assert own("reading", "affected", uid, "--notice", page).code == 65
    assert page.read_text(encoding="utf-8") == "something else"


def torn(shop: Shop) -> tuple[str, str]:
    """Two readings of the rod end's depth in conflict; their uids, 38 mm and 16 mm."""
    first = shop.readings("RE-1")["shank depth"]
    shop.done("reading", "add", "RE-1", "shank", "depth=16 mm @calliper", "--sitting", "T-9", "--who", "EF")
    found = shop.done("reading", "list", "RE-1", "--json").told["readings"]
    (second,) = (one["uid"] for one in found if one["dimension"] == "depth" and one["uid"] != first)
    return first, second


def decide(shop: Shop, uid: str, *more: str) -> tuple[str, str]:
    said = shop.done(
        "reading", "decide", "RE-1", "shank", "depth", "--take", uid[:8], "--reason", "gauge slipped", *more
    )
    return said.out, said.err


def test_a_decision_shows_up_in_the_notice_of_every_report_that_was_kept_before_it(shop: Shop) -> None:
    agreed = shop.keep()
    deep, shallow = torn(shop)
    while_torn = shop.keep()
    assert shop("reading", "affected", shallow[:8], "--notice", shop.folder / "none").code == 65
    out, err = decide(shop, shallow, "--who", "CD")
    assert out.endswith(f"set aside: {deep[:8]}\n")
    assert err == f"fitment: affected: 2 kept reports; fitment reading affected {deep[:8]} shows them\n"
    told = shop.done("reading", "affected", deep[:8], "--json").told
    assert [one["id"] for one in told["reports"]] == [agreed["uid"], while_torn["uid"]]
    assert [(one["then"], one["now"]) for one in told["reports"]] == [("not known", "does not fit")] * 2
    assert [one["value_now"] for one in told["reports"]] == ["16.000 mm"] * 2
    assert told["reports"][0]["value_then"] == "38.000 mm"
    assert told["reports"][1]["value_then"].startswith("in conflict: 16.000 mm")
    assert (told["withdrawal"], told["instead"]) == (None, None)
    decision = told["decision"]
    assert (decision["reason"], decision["who"], decision["dimension"]) == ("gauge slipped", "CD", "depth")
    assert [one["uid"] for one in decision["taken"]] == [shallow]
    said = shop.done("reading", "affected", deep[:8], "--notice", shop.folder / "notices").out
    assert said.startswith("Correction notice: NORTH/RE-1 shank depth\n\nCorrected\n  set aside: 38 mm (AB")
    assert f"reading {shallow[:8]})" in said
    assert "The old verdict no longer stands." in said
    page = (shop.folder / "notices" / f"correction-{deep[:8]}.html").read_text(encoding="utf-8")
    assert "gauge slipped (CD" in page
    for absent in NEVER:
        assert absent not in said


def test_who_decides_otherwise_later_is_told_of_the_reports_in_between(own: Shop) -> None:
    deep, shallow = torn(own)
    assert decide(own, deep, "--dry-run")[1] == ""  # nothing is kept yet, and nothing decided
    decide(own, deep)
    between = own.keep()
    out, err = decide(own, shallow)
    assert f"set aside: {deep[:8]}" in out
    assert "affected: 1 kept report;" in err
    told = own.done("reading", "affected", deep[:8], "--json").told
    assert [(one["id"], one["now"]) for one in told["reports"]] == [(between["uid"], "does not fit")]
    again = own("reading", "decide", "RE-1", "shank", "depth", "--take", deep[:8], "--reason", "gauge slipped")
    assert again.code == 65
    assert "decided just so before, and otherwise since" in again.err
    said = own.done("reading", "decide", "RE-1", "shank", "depth", "--take", deep, "--reason", "no: paint", "--quiet")
    assert said.err == ""
    assert "38.000 mm" in said.out
    assert own.done("reading", "affected", deep[:8], "--json").told["decision"] is None
    none = own("reading", "affected", shallow[:8], "--json")  # no report was kept while it held
    assert (none.code, none.told["decision"]["taken"][0]["uid"], none.told["reports"]) == (1, deep, [])


def test_a_decision_whose_readings_are_all_withdrawn_sets_nothing_aside(own: Shop) -> None:
    deep, shallow = torn(own)
    decide(own, shallow)
    withdraw(own, shallow)
    own.keep()
    assert own.done("reading", "affected", deep[:8], "--json").told["decision"] is None
