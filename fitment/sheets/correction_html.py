"""A correction notice as HTML: one file, nothing fetched, black on white, on A4 and on Letter."""

from __future__ import annotations

from fitment.kits.correction import Notice, Rechecked
from fitment.sheets import correction_words as words
from fitment.sheets.blocks import Block, Bullets, Heading, Pairs, Table, Words
from fitment.sheets.pages import rendered


def correction_html(notice: Notice, system: str) -> str:
    """The notice, a whole document; margins in `system`, "mm" or "inch"."""
    content: list[Block] = [
        Pairs("What was corrected", tuple(words.correction_pairs(notice))),
        Heading("Affected"),
        Pairs("What it touches", tuple(words.affected(notice))),
    ]
    for one in notice.reports:
        content += _report(one, system)
    unreported = words.unreported(notice)
    content += [
        *((Words(unreported),) if unreported else ()),
        Heading("Cautions"),
        Bullets(words.CAUTIONS),
        Words(words.stamp(notice)),
    ]
    title = words.title(notice)
    values = {
        "title": title,
        "paper": None,
        "top_left": "fitment: correction notice",
        "top_right": "",
        "stamp": words.stamp(notice),
        "content": content,
    }
    return rendered("plain.html", values)


def _report(one: Rechecked, system: str) -> list[Block]:
    blocks: list[Block] = [Heading(words.heading(one)), Pairs("Verdict, then and now", tuple(words.verdicts(one)))]
    if rows := words.rows(one, system):
        blocks.append(Table("Rules, then and now", words.HEADINGS, tuple(rows)))
    return [*blocks, Bullets(tuple(words.what_to_do(one, corrected=True)))]
