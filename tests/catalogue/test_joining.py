"""Two references for one design: proposed, joined by people with a reason, put apart again; never by themselves."""

from __future__ import annotations

from pathlib import Path

import pytest

from fitment.catalogue.book import open_catalogue
from fitment.catalogue.database import open_engine
from fitment.catalogue.verifying import verify
from tests.support.shop import Shop

SHEETS = {
    "source": "source,kind,title\nS-own,own-measurement,bench\nS-2,other-measurement,a friend\n",
    "sitting": "sitting,who,date,source\nT-1,AB,2026-01-02,S-own\nT-2,CD,2026-01-03,S-2\n",
    "rod-end": "rod-end,maker,number,sitting,units,condition,shank.thread,shank.sex,shank.hand,stud.large,stud.taper\n"
    "RE-1,Nobody,N 1/a,T-1,mm,new,M14x1.5,female,RH,15.00,1:10\n"
    "SOUTH/RE-1,NOBODY,n1A,T-2,mm,new,M14x1.5,female,RH,15.60,1:10\n"
    "SOUTH/RE-2,,,T-2,mm,new,M14x1.5,female,RH,15.01,1:10\n"
    "RE-3,,,T-1,mm,new,M14x1.5,female,RH,17.00,1:10\n",
    "tie-rod": "tie-rod,maker,number,sitting,units,condition,outer.thread\nTR-1,Nobody,N1a,T-1,mm,new,M14x1.5\n",
}


@pytest.fixture
def shop(database_url: str, tmp_path: Path) -> Shop:
    made = Shop(database_url, tmp_path)
    made.done("catalogue", "create", "--shop", "NORTH")
    for name, text in SHEETS.items():
        (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
    made.done("import", *(tmp_path / f"{name}.csv" for name in SHEETS))
    return made


def large(shop: Shop, reference: str) -> float | str:
    """The adopted large end of a stud, or why there is none."""
    values = shop.done("part", "show", reference, "--json").told["values"]
    (found,) = [one for one in values if one["dimension"] == "large"]
    return str(found["gap"]) if found["gap"] else float(found["value"])


def proposed(shop: Shop) -> list[tuple[str, str, str]]:
    said = shop("part", "join", "--json")
    pairs = said.told["proposed"]
    assert said.code == (0 if pairs else 1)
    return [(one["part"], one["other"], one["because"].partition(":")[0]) for one in pairs]


ALIKE = [
    ("NORTH/RE-1", "SOUTH/RE-1", "same maker and number"),
    ("NORTH/RE-1", "SOUTH/RE-2", "same ends"),
]


def test_same_number_or_same_ends_are_proposed_and_nothing_is_joined(shop: Shop) -> None:
    assert proposed(shop) == ALIKE
    assert large(shop, "RE-1") == 15.0


def test_a_join_shares_readings_and_its_undo_takes_that_back(shop: Shop) -> None:
    before = {name: large(shop, name) for name in ("RE-1", "SOUTH/RE-1")}
    with open_catalogue(shop.url) as book:
        digest = book.stamp().digest
    said = shop.done("part", "join", "RE-1", "SOUTH/RE-1", "--reason", "same number", "--who", "AB")
    assert 'undo: fitment part join NORTH/RE-1 SOUTH/RE-1 --undo --reason "..."' in said.out
    for name in before:
        assert str(large(shop, name)).startswith("in conflict")  # 15.00 and 15.60 speak for one design now
    with open_catalogue(shop.url) as book:
        assert book.stamp().digest != digest
    assert "joined with: SOUTH/RE-1" in shop.done("part", "show", "RE-1").out
    assert proposed(shop) == []  # what is in conflict has no ends to go by
    engine = open_engine(shop.url)
    assert verify(engine) == []
    shop.done("part", "join", "SOUTH/RE-1", "RE-1", "--undo", "--reason", "another forging")
    assert {name: large(shop, name) for name in before} == before
    assert verify(engine) == []
    engine.dispose()
    assert proposed(shop) == ALIKE[1:]  # somebody said that they are not one
    shop.done("part", "join", "SOUTH/RE-1", "RE-1", "--reason", "the same after all")  # on the same day, and holds
    assert str(large(shop, "RE-1")).startswith("in conflict")


def test_joined_parts_are_decided_and_told_as_one(shop: Shop) -> None:
    shop.done("part", "join", "RE-1", "SOUTH/RE-1", "--reason", "same number")
    uids = [shop.readings(name)["stud large"] for name in ("RE-1", "SOUTH/RE-1")]
    shop.done("reading", "decide", "SOUTH/RE-1", "stud", "large", "--take", uids[0], "--reason", "gauged again")
    assert (large(shop, "RE-1"), large(shop, "SOUTH/RE-1")) == (15.0, 15.0)
    story = shop.done("part", "history", "RE-1", "stud.large", "--json").told["dimensions"][0]["steps"]
    assert [step["event"] for step in story] == ["read", "read", "decided"]
    assert story[-1]["adopted"]["value"] == 15.0
    assert shop("catalogue", "audit").code in (0, 1)
    # a reading of the other reference withdrawn is withdrawn for both
    shop.done("part", "join", "RE-1", "SOUTH/RE-2", "--reason", "same ends")
    shop.done("reading", "withdraw", uids[0], "--reason", "wrong end")
    assert large(shop, "RE-1") == large(shop, "SOUTH/RE-1") != 15.0


def test_what_cannot_be_joined(shop: Shop) -> None:
    assert "cannot be one design" in shop("part", "join", "RE-1", "TR-1", "--reason", "x").err
    assert "cannot be one design" in shop("part", "join", "RE-1", "RE-1", "--reason", "x").err
    assert "are not joined" in shop("part", "join", "RE-1", "SOUTH/RE-1", "--undo", "--reason", "x").err
    assert shop("part", "join", "RE-1", "--reason", "x").code == 2
    assert shop("part", "join", "RE-1", "SOUTH/RE-1").code == 2
    assert shop("part", "join", "RE-1", "RE-99", "--reason", "x").code == 66
    shop.done("part", "join", "RE-1", "SOUTH/RE-1", "--reason", "x", "--dry-run")
    shop.done("part", "join", "RE-1", "SOUTH/RE-1", "--reason", "x")
    assert "are joined already" in shop("part", "join", "RE-1", "SOUTH/RE-1", "--reason", "x").err
