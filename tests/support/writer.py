"""One of several who write to one catalogue at once; run as a process of its own.

``python -m tests.support.writer URL NUMBER TIMES`` prints a line for each transaction that was kept: the revision then.
"""

from __future__ import annotations

import sys

import sqlalchemy as sa
from sqlalchemy.engine import Engine

from fitment.catalogue.database import open_engine
from fitment.catalogue.dictionary import find_dimension, part_kinds
from fitment.catalogue.entering import SittingWords, enter, put_sitting
from fitment.catalogue.records import Pen, writing
from fitment.catalogue.schema import CatalogueRow, Part

KIND = part_kinds()["rod-end"]


def write(engine: Engine, writer: int, turn: int) -> int:
    """One transaction: a part of the writer's own, a reading of it, a reading of the part that all write to.

    Every writer also says what all others say: one part, and one reading of one sitting. The revision after it.
    """
    with writing(engine) as pen:
        shared = pen.put(Part, "RE-shared", kind="rod-end")
        own = pen.put(Part, f"RE-{writer}-{turn}", kind="rod-end")
        _read(pen, shared, "of-all", "15.00", again=False)
        _read(pen, shared, f"T-{writer}", "15.00", again=True)
        _read(pen, own, f"T-{writer}", "15.20", again=True)
    with engine.connect() as connection:
        revision: int = connection.execute(sa.select(CatalogueRow.revision)).scalar_one()
    return revision


def _read(pen: Pen, part: Part, sitting: str, text: str, again: bool) -> None:
    large = find_dimension(KIND, "stud", "large")
    where = put_sitting(pen, SittingWords(sitting, who="AB", date="2026-01-02"))
    enter(pen, part, "stud", large, text, where, "", "mm", again)


def main() -> None:
    url, writer, times = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
    engine = open_engine(url)
    for turn in range(times):
        print(write(engine, writer, turn), flush=True)
    engine.dispose()


if __name__ == "__main__":
    main()
