"""How far a long task is, on the terminal's stderr alone: nothing of it reaches a file, a pipe or a log."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

#: seconds before anything is shown: what is done by then needs no bar
_AFTER = 1.0
#: seconds between two looks of the bar, which would else take longer than what it tells of
_BETWEEN = 0.1


@contextmanager
def progress(quiet: bool = False) -> Iterator[Callable[[str, int, int], None]]:
    """Something to tell what is being done, how much of it is done and how much there is.

    Args:
        quiet: nothing is shown.
    """
    if quiet or sys.stderr is None or not sys.stderr.isatty():
        yield lambda what, done, total: None
        return
    bar = _Bar()
    try:
        yield bar.tell
    finally:
        bar.end()


class _Bar:
    """A bar that begins once the task has lasted a while, and is wiped away at its end."""

    def __init__(self) -> None:
        from rich.console import Console
        from rich.progress import Progress

        self._bar = Progress(console=Console(stderr=True), transient=True)
        self._task = self._bar.add_task("", total=None)
        self._next = time.monotonic() + _AFTER
        self._shown = False

    def tell(self, what: str, done: int, total: int) -> None:
        now = time.monotonic()
        if now < self._next:
            return
        if not self._shown:
            self._bar.start()
            self._shown = True
        self._next = now + _BETWEEN
        self._bar.update(self._task, description=what, completed=done, total=total)

    def end(self) -> None:
        if self._shown:
            self._bar.stop()
