"""A page for the yard as plain text, 80 columns; filled in, it is what ``fitment reading add --from`` reads."""

from __future__ import annotations

import textwrap

from fitment.quantity.axes import OWN_AXES
from fitment.sheets.paper import CAUTIONS, Paper, PaperRow, has_points, is_vehicle

_WIDTH = 80
_BOX = "_" * 24
SITTING = "sitting ________ who ____ date __________ tool ________ source own-measurement"
SURVEY = ("datum ________________________", f"axes {OWN_AXES}", "ride height ________________")
BACK = (
    "Leave empty what is not known. Type the lines back as they stand, in a message or a file, then: "
    "fitment reading add --from FILE. After a value: @tool where another tool was used, ! where it is right "
    "though unusual; repeats are parted by ;"
)


def paper_text(paper: Paper) -> str:
    """The page; what is not typed back begins with #."""
    lines = [f"# fitment: {paper.title} ({len(paper.rows)} of {paper.of} rows)"]
    for sentence in (*CAUTIONS, BACK, paper.kind.note):
        lines += comment(sentence) if sentence else []
    lines += ["", *_heading(paper), ""]
    for row in paper.rows:
        lines += row_lines(row)
    return "\n".join(lines) + "\n"


def _heading(paper: Paper) -> list[str]:
    if is_vehicle(paper):
        first = ["vehicle ____________"]
        last = ["maker ____________", "model ____________", "years ____________"]
    else:
        first = [
            f"part ____________ {paper.kind.kind} ________   # reference; new, used or worn",
            f"# or, one of them: item __________ of __________ {paper.kind.kind} ________",
        ]
        last = ["name ________________________", "fitted to ____________"]
    return [
        *first,
        SITTING,
        *(SURVEY if has_points(paper) else ()),
        f"units {paper.system}",
        *last,
        "note ________________________",
    ]


def row_lines(row: PaperRow) -> list[str]:
    """What a row asks, as a comment, and its line with an empty box."""
    return [*comment(f"{row.number} {_told(row)}"), f"{row.name} {_BOX}"]


def comment(sentence: str) -> list[str]:
    """A sentence as lines that are not typed back."""
    return textwrap.wrap(
        sentence, _WIDTH, initial_indent="# ", subsequent_indent="#   ", break_on_hyphens=False, break_long_words=False
    )


def _told(row: PaperRow) -> str:
    what = row.title + (f", {row.unit}" if row.unit else "")
    words = f" ({' / '.join(row.words)})" if row.words else ""
    return f"{what}{words}. {row.tool}: {row.how}"
