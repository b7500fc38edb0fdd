"""``fitment explain`` asked about what may be done to a part."""

from __future__ import annotations

import json

import pytest

from fitment.cli.main import answer
from fitment.standards.operations import operations


@pytest.mark.parametrize("question", ["weld", "may I weld this?", "welding"])
def test_welding_is_refused_with_the_rule(question: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["explain", question]) == 0
    out = capsys.readouterr().out
    assert out.startswith("no: welding a rod, arm, knuckle")
    told = " ".join(out.split())
    assert "reason for rejection 5(c); as at 29 Mar 2024)" in told.partition(" state: ")[0]
    assert "Nov 2007, second hand) [nsw-01]" in told
    assert told.endswith("Rules differ and change, and that none is held says nothing: a certifier decides.")


@pytest.mark.parametrize(
    ("question", "first"),
    [
        ("ream", "only with a certifier: reaming"),
        ("bridging plate", "as a made part, only with a certifier: a plate"),
        ("made shaft", "as a made part, only with a certifier: a shaft"),
        ("made rod", "as a made part, only with a certifier: a tie rod"),
        ("weld and ream", "no: welding"),
    ],
)
def test_other_operations_begin_with_their_answer(
    question: str, first: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert answer(["explain", question]) == 0
    assert capsys.readouterr().out.startswith(first)


def test_a_made_part_is_described_by_what_to_state(capsys: pytest.CaptureFixture[str]) -> None:
    for question in ("bridging plate", "made shaft", "made rod", "thread adapter", "taper sleeve"):
        assert answer(["explain", question]) == 0
        out = " ".join(capsys.readouterr().out.split())
        assert "drawing number, revision, lot or serial; material, condition, certificate and heat number" in out


def test_operations_are_listed_and_come_as_an_object(capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["explain", "operations"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == "weld: no"
    assert len(lines) == len(operations())
    assert answer(["explain", "weld", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["schema"] == "fitment.operation/1"
    assert told["operations"][0]["first_line"].startswith("no: ")
    assert told["operations"][0]["rules"][0]["id"] == "nz-01"


def test_an_unknown_word_is_offered_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["explain", "wled"]) == 66
    assert capsys.readouterr().err == 'fitment: no rule "wled" [explain-01]\n  nearest: welded, weld, welds\n'
