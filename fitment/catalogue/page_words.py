"""The words of one line of a page: comments and boxes left empty taken away, pairs parted, a sitting taken apart."""

from __future__ import annotations

import re
from collections.abc import Iterable

from fitment.catalogue.entering import SittingWords
from fitment.errors import DataFault

_COMMENT = re.compile(r"(?:^|\s)#.*")
_BOX = re.compile(r"_{2,}|\[\s*\]")
#: "thread=" and "depth =", but not the "u=0.05" of a value
_KEY = re.compile(r"(?:(?<=\s)|^)(?!u\s*=)([A-Za-z][\w.-]*)\s*=\s*")
_DATE = re.compile(r"\d+[-./]\d+[-./]\d+")
_CLAUSES = ("who", "date", "tool", "source")


def words_of(line: str) -> tuple[str, bool]:
    """The line without comment and empty boxes, and whether the second word of it was a box left empty."""
    bare = _COMMENT.sub("", line).strip()
    second = bare.split()[1:2]
    return " ".join(_BOX.sub(" ", bare).split()), bool(second and _BOX.match(second[0]))


def opening(text: str, keys: Iterable[str]) -> str | None:
    """Which of the keys the line begins with, if any."""
    folded = text.casefold()
    return next((key for key in keys if folded == key or folded.startswith(f"{key} ")), None)


def pairs(text: str) -> list[str]:
    """``name value`` of each pair of a line: itself, or of ``feature key=value key=value`` each with its feature."""
    pieces = _KEY.split(text)
    if len(pieces) == 1:
        return [text]
    feature = pieces[0].strip()
    return [f"{feature} {key} {value.strip()}".strip() for key, value in zip(pieces[1::2], pieces[2::2], strict=True)]


def sitting_words(text: str) -> SittingWords:
    """``yard-3 AB 2026-11-24 tool calliper source listing``; the words who and date may be written too.

    Raises:
        DataFault: a word of it says nothing known.
    """
    said: dict[str, list[str]] = {key: [] for key in ("name", *_CLAUSES)}
    open_clause = ""
    for word in text.split():
        if word.casefold() in _CLAUSES:
            open_clause = word.casefold()
        elif open_clause in ("tool", "source") or (open_clause and not said[open_clause]):
            said[open_clause].append(word)
        elif not said["name"]:
            said["name"].append(word)
        elif not said["date"] and _DATE.fullmatch(word):
            said["date"].append(word)
        elif not said["who"]:
            said["who"].append(word)
        else:
            raise DataFault(
                f'"{word[:40]}" says nothing known of a sitting',
                mending="write: sitting NAME INITIALS DATE tool TOOL source KIND",
                code="sitting-04",
            )
    return SittingWords(
        name=" ".join(said["name"]),
        who=" ".join(said["who"]),
        date=" ".join(said["date"]),
        source="-".join(said["source"]).casefold(),
        tool=" ".join(said["tool"]),
    )
