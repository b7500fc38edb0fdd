"""What can go wrong, as types that carry their evidence; one place (cli.main) words them for the screen.

A fault says *what*, *where* (`place`) and *how to mend it* (`mending`), and has a stable `code`.
The exit codes are those of the command line's contract.
"""

from __future__ import annotations

import bisect
import difflib
from collections.abc import Iterable, Sequence


class FitmentError(Exception):
    """A fault that a user can read.

    Args:
        message: what is wrong, one sentence without a full stop at its end.
        place: where, as ``file:line:column`` or ``file, row 3, column stud.large``; None where there is no place.
        mending: what to do about it, one sentence.
        code: stable identifier of this kind of fault, for example ``quantity-02``.
    """

    exit_code = 70

    def __init__(self, message: str, *, place: str | None = None, mending: str | None = None, code: str = "fault"):
        super().__init__(message)
        self.message = message
        self.place = place
        self.mending = mending
        self.code = code

    def at(self, place: str) -> FitmentError:
        """The same fault, with its place said (used by readers of files, which know the row and column)."""
        return type(self)(self.message, place=place, mending=self.mending, code=self.code)


class UsageFault(FitmentError):
    """The command line is wrong (exit 2)."""

    exit_code = 2


class DataFault(FitmentError):
    """An input file or a reading is wrong (exit 65)."""

    exit_code = 65


class NotFoundFault(FitmentError):
    """No such file, part or vehicle (exit 66)."""

    exit_code = 66


class StorageFault(FitmentError):
    """Disk or database failed, or is busy; nothing was lost (exit 74)."""

    exit_code = 74


class Faults(FitmentError):
    """Several faults of one input, reported at once; the exit code is that of the gravest (highest)."""

    def __init__(self, faults: Sequence[FitmentError]):
        self.faults = tuple(faults)
        first = self.faults[0]
        super().__init__(
            f"{len(self.faults)} faults" if len(self.faults) > 1 else first.message,
            place=first.place,
            mending=first.mending,
            code=first.code,
        )
        self.exit_code = max(fault.exit_code for fault in self.faults)


#: of so many known names each is compared with what was written
_MANY = 2000


def nearest(word: str, allowed: Iterable[str], count: int = 3) -> str:
    """A mending sentence that offers the spellings nearest to `word`, or the allowed ones where few."""
    choices = sorted(set(allowed))
    among = choices
    if len(choices) > _MANY:  # to compare a word with each of a million takes minutes: those beside it in the alphabet
        at = bisect.bisect(choices, word)
        among = choices[max(at - _MANY // 2, 0) : at + _MANY // 2]
    close = difflib.get_close_matches(word, among, n=count, cutoff=0.5)
    if close:
        return "nearest: " + ", ".join(close)
    if len(choices) <= 12:
        return "allowed: " + ", ".join(choices)
    return f"none of the {len(choices)} known names is near"
