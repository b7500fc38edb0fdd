"""Sentences of findings in the units that were asked for."""

from __future__ import annotations

import pytest

from fitment.cli.main import answer
from fitment.sheets.finding_text import in_system


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        ("margin 0.25 mm", "margin 0.0098 in"),
        ("holds on 0.08 to 0.34 mm of 0.68 mm", "holds on 0.0031 to 0.0134 in of 0.0268 in"),
        ("an M12 stud in 12 mm of thread", "an M12 stud in 0.472 in of thread"),
        ("moves 28.00 mm/turn", "moves 28.00 mm/turn"),
        ("takes a 13 mm spanner", "takes a 13 mm spanner"),
        ("eye sinks -0.50 mm at +1.00 mm", "eye sinks -0.0197 in at +0.0394 in"),
        ("1:10 stud, 75% of it", "1:10 stud, 75% of it"),
    ],
)
def test_lengths_are_said_in_inches(said: str, shown: str) -> None:
    assert in_system(said, "inch") == shown
    assert in_system(said, "mm") == said


def test_no_millimetre_is_left_when_inches_are_asked(capsys: pytest.CaptureFixture[str]) -> None:
    stud, eye = "stud taper=1:10 large=0.55 length=0.8", "eye taper=1:8 large=0.57 thick=0.63 opens=down"
    assert answer(["bench", "mate", stud, eye, "--units", "inch"]) == 1
    out = capsys.readouterr().out
    assert "gapes 0.0075 in at the far end" in out
    assert " mm" not in out
