"""The rules by jurisdiction and the operations as data: whole, known by their words, and never a judgement."""

from __future__ import annotations

import re

import pytest

from fitment.standards.jurisdictions import (
    TOUCHES,
    find_jurisdiction,
    jurisdiction_rules,
    jurisdictions,
    rules_in,
)
from fitment.standards.operations import ANSWERS, operations, operations_asked
from fitment.standards.table_files import rows

FORBIDDEN = re.compile(r"\b(safe|safely|legal|legally|approved|will pass|strong enough|roadworthy)\b", re.IGNORECASE)


def test_every_row_of_the_rules_is_whole() -> None:
    table = rows("jurisdiction_rules")
    assert len({row["id"] for row in table}) == len(table) == len(jurisdiction_rules())
    for rule in jurisdiction_rules().values():
        assert rule.jurisdiction in jurisdictions()
        assert all((rule.document, rule.paragraph, rule.read, rule.source))
        assert rule.substance.endswith(".")
        assert rule.touches
        assert set(rule.touches) <= set(TOUCHES)
    assert {row["second_hand"] for row in table} == {"yes", "no"}
    assert {tag for rule in jurisdiction_rules().values() for tag in rule.touches} == set(TOUCHES)


def test_nothing_judges_a_car() -> None:
    for rule in jurisdiction_rules().values():
        assert not FORBIDDEN.search(rule.substance), rule.id
    for one in operations().values():
        assert not FORBIDDEN.search(f"{one.says} {one.state} {one.passes}"), one.id


@pytest.mark.parametrize(
    ("rule", "place"),
    [
        ("nz-01", "NZ VIRM in-service, 9-1 Steering and suspension, reason for rejection 5(c); as at 29 Mar 2024"),
        ("qc-01", "Quebec C-24.2, r. 32, section 149; version of 6 Dec 2023"),
        ("us-02", "US 49 CFR 570.7 (up to 10 000 lb), (b); current to 31 Oct 2024"),
        ("nsw-01", "New South Wales VSI 6 rev 2.1, page 4; Nov 2007, second hand"),
        ("sa-03", "South Australia, steering modifications page, welding, heating, chroming; as read, undated"),
    ],
)
def test_a_rule_says_where_it_stands_and_when_it_was_read(rule: str, place: str) -> None:
    assert jurisdiction_rules()[rule].place == place


def test_what_was_only_quoted_is_second_hand() -> None:
    second = {rule.id for rule in jurisdiction_rules().values() if rule.second_hand}
    assert second == {"nz-08", "au-03", "nsw-01", "us-05", "us-06", "eu-01", "uk-04", "uk-05", "uk-06"}


def test_figures_of_the_rules() -> None:
    held = {rule.id: rule.substance for rule in jurisdiction_rules().values()}
    assert "at most 1/4 in at the tread" in held["us-02"]  # 49 CFR 570.7(b)
    assert "at least 330 mm" in held["sa-04"]
    assert "more than 25 mm" in held["westaus-01"]
    assert "0.4 in with a rack" in held["ut-02"]
    assert held["md-01"].startswith("Buses only")
    assert held["ut-01"].startswith("Heavy vehicles")


@pytest.mark.parametrize(
    ("text", "name"),
    [("NZ", "NZ"), ("new  zealand", "NZ"), ("usa", "US"), ("Québec", "Quebec"), ("GB", "UK"), ("Atlantis", None)],
)
def test_a_jurisdiction_is_known_by_its_names(text: str, name: str | None) -> None:
    found = find_jurisdiction(text)
    assert (found.name if found else None) == name


def test_jurisdictions_lie_within_known_ones_and_names_are_their_own() -> None:
    names = [name.lower() for one in jurisdictions().values() for name in {one.name, one.title, *one.also}]
    assert len(names) == len(set(names))
    for one in jurisdictions().values():
        assert one.within in {"", *jurisdictions()}
        assert rules_in(one)
    assert [rule.jurisdiction for rule in rules_in(jurisdictions()["Utah"])][-1] == "US"


def test_every_row_of_the_operations_is_whole() -> None:
    table = rows("operations")
    assert len({row["id"] for row in table}) == len(table)
    words = [word for one in operations().values() for word in one.words]
    assert len(words) == len(set(words))
    for one in operations().values():
        assert one.answer in ANSWERS
        assert all((one.says, one.state, one.passes, one.source, one.source_kind))
        assert operations_asked(one.words[0])[0] is one
    refused = {one.id for one in operations().values() if one.answer == "no"}
    assert {"weld", "heat", "bend", "plating", "section", "grind"} <= refused
    assert all("no instruction is given" in operations()[name].says for name in ("weld", "heat", "bend", "plating"))


@pytest.mark.parametrize(
    ("question", "found"),
    [
        ("weld", ["weld"]),
        ("May I WELD this?", ["weld"]),
        ("Is it okay to weld / cut / extend the track rods?", ["weld", "section"]),
        ("ream it, then weld", ["weld", "ream"]),
        ("adapter plate", ["bridging plate"]),
        ("chrome", ["plating"]),
        ("thread adapter", ["thread adapter"]),
        ("a new tie rod", ["made rod"]),
        ("reamerish", []),
        ("", []),
    ],
)
def test_a_question_finds_its_operations_gravest_first(question: str, found: list[str]) -> None:
    assert [one.id for one in operations_asked(question)] == found


def test_the_first_line_has_the_answer_and_the_rule() -> None:
    assert operations()["weld"].first_line == (
        "no: welding a rod, arm, knuckle, rack bar, pinion, shaft or joint is not supported and no instruction is "
        "given (NZ VIRM in-service, 9-1 Steering and suspension, reason for rejection 5(c); as at 29 Mar 2024)"
    )
    assert operations()["grind"].first_line.endswith("(no rule on it was read; that says nothing of yours)")
    assert operations()["ream"].first_line.startswith("only with a certifier: ")
