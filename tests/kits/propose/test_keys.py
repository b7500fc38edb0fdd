"""A key only prunes what `check` refuses: ends of the demo whose keys differ never go together."""

from __future__ import annotations

from itertools import combinations

import pytest

from fitment.catalogue.stock import Stock, open_stock
from fitment.cli.main import answer
from fitment.doubt import Draws
from fitment.finding import Verdict, worst
from fitment.joints.kinds import joint_kinds
from fitment.joints.limits import default_limits
from fitment.joints.registration import Feature, Setting
from fitment.kits.propose.candidates import Shelf, kinds_of_parts


@pytest.fixture(scope="module")
def db(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = tmp_path_factory.mktemp("demo") / "demo"
    assert answer(["demo", "--into", str(folder), "-q"]) == 0
    return str(folder / "catalogue.sqlite")


def distinct(stock: Stock, kinds: frozenset[str], tried: frozenset[str], key: object) -> list[Feature]:
    """One end for each key and sex, of those that no trial was made with."""
    found: dict[object, Feature] = {}
    for one in stock.of_kinds(kinds_of_parts()):
        for end in one.part.features.values():
            if end.kind in kinds and end.name not in tried and (named := key(end)) is not None:
                sex = end.get("sex")
                found.setdefault((named, sex.word if sex else "", end.kind), end)
    return list(found.values())


@pytest.mark.parametrize("name", [name for name, kind in joint_kinds().items() if kind.keyed_by])
def test_ends_with_unlike_keys_never_go(db: str, name: str) -> None:
    kind, setting = joint_kinds()[name], Setting(default_limits(), Draws(400))
    with open_stock(db) as stock:
        tried = Shelf(stock.of_kinds(kinds_of_parts()), "NORTH/V-1", (), frozenset()).tried
        ends = distinct(stock, kind.between[0] | kind.between[1], tried, kind.key)
    pairs = [pair for pair in combinations(ends, 2) if kind.key(pair[0]) != kind.key(pair[1])]
    assert pairs
    for one, other in pairs:
        found = worst(finding.verdict for finding in kind.check(one, other, setting))
        assert found in (Verdict.DOES_NOT_FIT, Verdict.NOT_KNOWN), (one.name, other.name)
    refused = [worst(one.verdict for one in kind.check(*pair, setting)) is Verdict.DOES_NOT_FIT for pair in pairs]
    assert all(refused), [(pair[0].name, pair[1].name) for pair, no in zip(pairs, refused, strict=True) if not no]


def test_a_stock_finds_what_the_book_finds(db: str) -> None:
    with open_stock(db) as stock:
        listed = stock.of_kinds(kinds_of_parts())
        assert len(listed) > 100
        for one in listed:
            assert one.part == stock.find(one.part.name)
