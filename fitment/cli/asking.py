"""The dialogue of ``part add --ask`` and ``vehicle add --ask``: asks row by row, takes answers in any order.

What is kept goes to stdout, everything else (questions, hints, faults) to stderr.
"""

from __future__ import annotations

import sys
import textwrap
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from fitment.cli.common import fault_lines, say, width
from fitment.errors import DataFault, FitmentError

if TYPE_CHECKING:
    from fitment.catalogue.asking import Entry
    from fitment.catalogue.dictionary import Dimension
    from fitment.catalogue.dictionary.lines import SheetRow
    from fitment.catalogue.entering import SittingWords

_HELP = "Enter skips; NAME VALUE answers another row; list, back, stop; repeats are parted by ;"


class _Stopped(Exception):
    """The user, or the end of the input, stops."""


def dialogue(entry: Entry, rows: Sequence[SheetRow], sitting: str | None, again: str) -> None:
    """Asks for the sitting, then for each row that this sitting does not have yet; what was answered is kept at once.

    Args:
        again: the command that takes it up again, without ``--sitting``.

    Raises:
        KeyboardInterrupt: Ctrl-C, after what was kept is told.
    """
    named = sitting or ""
    interrupted = False
    try:
        named = _begin(entry, rows, sitting)
        _Rows(entry, rows).ask_all()
    except _Stopped:
        pass
    except KeyboardInterrupt:
        interrupted = True
        _tell("")
    _tell_end(entry, rows, f"{again} --sitting {named}" if named else again)
    if interrupted:
        raise KeyboardInterrupt


def _tell(text: str) -> None:
    print(text, file=sys.stderr)


def _wrapped(text: str) -> None:
    _tell(textwrap.fill(text, width(), initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False))


def _typed(prompt: str) -> str:
    """One line.

    Raises:
        _Stopped: the word stop, or the end of the input.
    """
    print(f"{prompt}> ", end="", file=sys.stderr, flush=True)
    line = sys.stdin.readline() if sys.stdin is not None else ""
    if not line:
        _tell("")
        raise _Stopped
    if line.strip().casefold() == "stop":
        raise _Stopped
    return " ".join(line.split())


def _asked(prompt: str, usual: str, check: Callable[[str], str], needed: bool = False) -> str:
    """An answer that the check passes; Enter takes what is usual."""
    while True:
        text = _typed(f"{prompt} [{usual}]" if usual else prompt) or usual
        try:
            if text:
                return check(text)
        except FitmentError as fault:
            _tell("\n".join(fault_lines(fault)))
            continue
        if not needed:
            return ""
        _tell("  needed, so that the readings can be weighed; stop keeps nothing")


def _begin(entry: Entry, rows: Sequence[SheetRow], given: str | None) -> str:
    """Asks for what the sitting leaves open, and begins; returns the sitting's name."""
    from fitment.catalogue.dates import today
    from fitment.catalogue.entering import SittingWords, checked_date, checked_source, checked_who
    from fitment.quantity.tools import find_tool

    def free(text: str) -> str:
        entry.sitting_there(text)
        return text

    _tell(_HELP)
    name = given or _asked("sitting (a name for this time of measuring)", today(), free, True)
    said = entry.sitting_there(name)
    if said is None:
        said = SittingWords(
            name,
            who=_asked("who measures (initials)", "", checked_who, True),
            date=_asked("when", today(), checked_date),
            source=_asked("source", "own-measurement", checked_source),
            tool=_asked(
                "tool, if one for all; Enter takes each row's usual one", "", lambda text: find_tool(text).code
            ),
        )
    if any(row.dimension.value_kind == "point" for row in rows):
        said = _survey(said)
    _tell(f"  {entry.begin(said)}")
    return name


def _survey(said: SittingWords) -> SittingWords:
    """Datum, axes and ride height, where the sitting leaves them open."""
    from fitment.catalogue.entering import checked_axes
    from fitment.quantity.axes import OWN_AXES

    return replace(
        said,
        datum=said.datum or _asked("datum (where x = y = z = 0)", "", str),
        axes=said.axes or _asked("axes", OWN_AXES, checked_axes),
        ride_height=said.ride_height or _asked("ride height (hub to arch, or as it stands)", "", str),
    )


class _Rows:
    """Asks the open rows one by one."""

    def __init__(self, entry: Entry, rows: Sequence[SheetRow]) -> None:
        self.entry = entry
        self.rows = rows
        self.at = 0
        self.before: list[int] = []

    def ask_all(self) -> None:
        """Until every row was asked, or the user stops."""
        self.at = self._next_open(0)
        while self.at < len(self.rows):
            self._ask(self.rows[self.at])

    def _next_open(self, start: int) -> int:
        return next((i for i in range(start, len(self.rows)) if not self._answer(self.rows[i])), len(self.rows))

    def _onward(self) -> None:
        self.before.append(self.at)
        self.at = self._next_open(self.at + 1)

    def _answer(self, row: SheetRow) -> str:
        return self.entry.answered.get((row.feature, row.dimension.dimension), "")

    def _ask(self, row: SheetRow) -> None:
        from fitment.quantity.tools import tool_title
        from fitment.sheets.paper import unit_of

        unit = unit_of(row.dimension, self.entry.system)
        words = f" ({' / '.join(row.dimension.words)})" if row.dimension.words else ""
        _wrapped(f"{self.at + 1}/{len(self.rows)} {row.dimension.title}{words}")
        _wrapped(f"{tool_title(row.dimension.tool)}: {row.dimension.how}" + (f"; {row.why}" if row.why else ""))
        if answer := self._answer(row):
            _wrapped(f"now {answer}; Enter leaves it so")
        while True:
            text = _typed(f"{row.name} [{unit}]" if unit else row.name)
            word = text.casefold()
            if not text:
                self._onward()
                return
            if word == "list":
                open_rows = [one.name for one in self.rows if not self._answer(one)]
                _wrapped("open: " + ", ".join(open_rows))
            elif word in ("help", "?"):
                _tell(_HELP)
            elif word == "back":
                self.at = self.before.pop() if self.before else self.at
                return
            elif self._took(row, text):
                self._onward()
                return

    def _took(self, row: SheetRow, text: str) -> bool:
        """Keeps what the line answers; True where it answered the row that was asked."""
        try:
            meant = self._meant(row, text)
            for feature, dimension, value in meant:
                say("  " + self.entry.keep(feature, dimension, value))
            sys.stdout.flush()
        except FitmentError as fault:
            _tell("\n".join(fault_lines(fault)))
            return False
        asked = row.feature, row.dimension.dimension
        return any((feature, dimension.dimension) == asked for feature, dimension, _ in meant)

    def _meant(self, row: SheetRow, text: str) -> list[tuple[str, Dimension, str]]:
        """What a line answers: the row that was asked if it reads as a value of it, else the rows that it names."""
        from fitment.catalogue.dictionary.lines import split_line
        from fitment.catalogue.page_words import pairs
        from fitment.catalogue.values import bare_unit, read_values

        asked = [(row.feature, row.dimension, text)]
        free = row.dimension.value_kind == "word" and not row.dimension.words
        if not free:
            try:
                read_values(row.dimension, text, bare_unit(row.dimension, self.entry.system), "", False)
                return asked
            except FitmentError:
                pass
        try:
            named = [split_line(self.entry.kind, one, row.feature) for one in pairs(text)]
        except FitmentError as fault:
            # a number cannot begin with a letter, so that a mistyped name was meant
            if fault.code == "page-02" or (row.dimension.unit and text[0].isalpha()):
                raise
            return asked
        if all(value for _, _, value in named):
            return named
        if free:
            return asked
        raise DataFault(f'"{text}" is a name without a value', mending=f"write: {text} VALUE", code="reading-03")


def _tell_end(entry: Entry, rows: Sequence[SheetRow], again: str) -> None:
    left = [row.name for row in rows if (row.feature, row.dimension.dimension) not in entry.answered]
    kept = "would be kept" if entry.dry_run else "kept"
    _tell(f"{len(rows) - len(left)} of {len(rows)} rows answered; {entry.fresh} {kept} now, each as it was taken")
    if left:
        _wrapped("open: " + ", ".join(left))
        _tell(f"to take it up again: {again}")
