"""The one place where pages become HTML: templates with everything escaped, one look, nothing fetched, no script."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fitment.frozen import dataclass
from fitment.kits.report import STANDING_CAUTIONS
from fitment.sheets.blocks import Block, Bullets, Heading, Pairs, Sheet
from fitment.sheets.paper_size import BOTTOM, SIDE, TOP
from fitment.sheets.report_text import by_reason

if TYPE_CHECKING:
    from jinja2 import Environment

    from fitment.sheets.context import SheetContext

_TEMPLATES = Path(__file__).with_name("templates")
#: letters of a name that a running line has room for
_SHORT = 44


@dataclass(frozen=True)
class Page:
    """A document filled in, with its name, title and whom it is for; `closing` is what ends it."""

    name: str
    title: str
    reader: str
    sheet: Sheet
    closing: tuple[Block, ...] = ()


@cache
def environment() -> Environment:
    """The templates: everything that is put in is escaped, and what is not there is an error."""
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    made = Environment(
        loader=FileSystemLoader(_TEMPLATES, encoding="utf-8"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    made.filters["css_text"] = lambda text: Markup(css_text(text))
    made.filters["drawn"] = Markup
    return made


def css_text(text: str) -> str:
    """Text as a string of a style sheet: whatever is not a plain letter, digit or blank is written by its number."""
    safe = "".join(c if (c.isascii() and c.isalnum()) or c in " .,:-" else f"\\{ord(c):06x} " for c in _printable(text))
    return f'"{safe}"'


def _printable(text: str) -> str:
    return "".join(c if c.isprintable() else " " for c in text)


def shortened(text: str) -> str:
    """A name as a running line has room for it, kept from turning the line's own direction."""
    cut = text if len(text) <= _SHORT else f"{text[: _SHORT - 1]}…"
    return f"\u2068{cut}\u2069" if not cut.isascii() else cut


def rendered(template: str, values: Mapping[str, Any]) -> str:
    """A template filled in, in the one look.

    Args:
        template: its file's name.
        values: what it asks for, besides what every page has; `title`, `top_left`, `top_right`, `stamp` and `paper`
            (None for a page that prints on either size) are asked for by every one.
    """
    css = (_TEMPLATES / "page.css").read_text(encoding="utf-8")
    return environment().get_template(template).render(css=css, margins=(TOP, BOTTOM, SIDE), **values)


def page_html(context: SheetContext, title: str, pages: Sequence[Page]) -> str:
    """One or several documents as one whole page."""
    values = {
        "title": title,
        "pages": pages,
        "head": head(context),
        "standing": STANDING_CAUTIONS,
        "paper": context.paper,
        "top_left": f"fitment: {title}",
        "top_right": shortened(context.report.kit),
        "stamp": context.stamp,
        "program": context.program,
        "date": context.date,
    }
    return rendered("sheet.html", values)


def head(context: SheetContext) -> tuple[Block, ...]:
    """What stands at the head of every document: which kit, for which car, what the check said, of which data."""
    report = context.report
    rows = [
        ("kit", report.kit),
        ("for", f"{report.target.name} {report.target.title}"),
        ("verdict", report.first_line),
        ("made", f"{context.date}{f', by {report.author}' if report.author else ''}; {context.program}"),
        ("data", context.stamp),
    ]
    return (Pairs("This sheet belongs to", tuple(rows)),)


def closing(context: SheetContext, sheet: Sheet) -> tuple[Block, ...]:
    """What ends every document: what was not checked, and the cautions of its own."""
    blocks: list[Block] = []
    if context.report.not_checked:
        blocks += [
            Heading("What was not checked"),
            Bullets(tuple(map(context.shown, by_reason(context.report.not_checked)))),
        ]
    own = tuple(caution for caution in sheet.cautions if caution not in STANDING_CAUTIONS)
    if own:
        blocks += [Heading("Cautions"), Bullets(tuple(map(context.shown, own)))]
    return tuple(blocks)
