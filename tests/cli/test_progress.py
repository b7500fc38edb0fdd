"""How far a long task is: shown on a terminal's stderr alone, and nowhere else."""

from __future__ import annotations

import io
import sys
from contextlib import redirect_stderr

import pytest

from fitment.cli import progress as module
from fitment.cli.progress import progress


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def _told(stream: io.StringIO, quiet: bool = False) -> str:
    with redirect_stderr(stream), progress(quiet) as tell:
        for done in range(3):
            tell("readings of rack", done, 3)
    return stream.getvalue()


def test_a_terminal_is_shown_what_is_done(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "_AFTER", 0.0)
    monkeypatch.setenv("TERM", "xterm")
    assert "readings of rack" in _told(_Terminal())


def test_what_is_done_at_once_shows_nothing() -> None:
    assert _told(_Terminal()) == ""


@pytest.mark.parametrize(("stream", "quiet"), [(io.StringIO(), False), (_Terminal(), True)])
def test_no_bar_in_a_pipe_nor_where_it_is_not_wanted(
    stream: io.StringIO, quiet: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "_AFTER", 0.0)
    assert _told(stream, quiet) == ""
    monkeypatch.setattr(sys, "stderr", None)
    with progress() as tell:
        tell("readings of rack", 0, 3)
