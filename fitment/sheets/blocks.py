"""What a page to hand over is made of: headings, tables, boxes for pencil, drawings. `pages` makes HTML of it.

Plain data. Text is plain text everywhere and is shown literally; a drawing alone brings markup of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from fitment.frozen import dataclass


@dataclass(frozen=True)
class Blank:
    """A cell to fill in with a pencil; `unit` stands in its corner."""

    unit: str = ""


@dataclass(frozen=True)
class Tick:
    """A cell with a square to tick."""


Cell = str | Blank | Tick


@dataclass(frozen=True)
class Heading:
    """The heading of a section; `level` 1 is a section of the document, 2 one within it."""

    text: str
    level: int = 1
    form = "heading"


@dataclass(frozen=True)
class Words:
    """A paragraph; `small` as in a table for looking things up."""

    text: str
    strong: bool = False
    small: bool = False
    form = "words"


@dataclass(frozen=True)
class Bullets:
    """A list; `ordered` where the order is one of work, `ticks` where each line has a square to tick."""

    lines: tuple[str, ...]
    ordered: bool = False
    ticks: bool = False
    form = "bullets"


@dataclass(frozen=True)
class Table:
    """A table with a caption; the first cell of each row heads it.

    Attributes:
        caption: what it shows, in a few words.
        headings: of the columns.
        rows: as many cells each as there are headings; a row of one cell heads those that follow it.
        widths: of the columns in mm where it matters, 0 for what is left over; none of them by itself.
        small: whether it is a long list for looking things up, in smaller type.
    """

    caption: str
    headings: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    widths: tuple[float, ...] = ()
    small: bool = False
    form = "table"


@dataclass(frozen=True)
class Pairs:
    """Names with what they are, in two columns."""

    caption: str
    rows: tuple[tuple[str, Cell], ...]
    form = "pairs"


@dataclass(frozen=True)
class Boxes:
    """Boxes side by side for pencil, each with its label; `tall` ones have room for a sketch."""

    labels: tuple[str, ...]
    tall: bool = False
    form = "boxes"


@dataclass(frozen=True)
class Drawing:
    """A drawing in real millimetres, never shrunk.

    Attributes:
        title: what it shows, the figure's caption.
        description: what somebody who cannot see it needs to know of it.
        svg: one ``<svg>`` element with its width and height in mm, its own text escaped, its ids unlike any other's.
        alone: whether it has a page to itself.
        landscape: whether that page lies on its side.
    """

    title: str
    description: str
    svg: str
    alone: bool = False
    landscape: bool = False
    form = "drawing"


@dataclass(frozen=True)
class PageBreak:
    """What follows begins on a new page."""

    form = "page_break"


Block = Heading | Words | Bullets | Table | Pairs | Boxes | Drawing | PageBreak


@dataclass(frozen=True)
class Sheet:
    """A document filled in.

    Attributes:
        blocks: in their order.
        files: what goes with it, by name: CSV, SVG, DXF.
        lead: one sentence under the title: whom it is for and how it is used.
        cautions: those of its own, besides the standing ones.
        last: what comes after what was not checked and the cautions: signatures, annexes.
    """

    blocks: tuple[Block, ...]
    files: Mapping[str, bytes] = field(default_factory=dict)
    lead: str = ""
    cautions: tuple[str, ...] = ()
    last: tuple[Block, ...] = ()
