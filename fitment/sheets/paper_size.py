"""The two sizes of paper, and the room inside the margins that every page to hand over keeps."""

from __future__ import annotations

from fitment.errors import UsageFault
from fitment.frozen import dataclass

#: margins of a page, mm: above and below the running lines stand in them
TOP, BOTTOM, SIDE = 16.0, 15.0, 12.0


@dataclass(frozen=True)
class PaperSize:
    """A size of paper, upright; mm."""

    name: str
    css: str
    width: float
    height: float

    @property
    def room(self) -> tuple[float, float]:
        """Width and height inside the margins, mm."""
        return self.width - 2 * SIDE, self.height - TOP - BOTTOM

    @property
    def room_landscape(self) -> tuple[float, float]:
        """The same with the paper on its side, mm."""
        return self.height - 2 * SIDE, self.width - TOP - BOTTOM


SIZES = {"A4": PaperSize("A4", "A4", 210.0, 297.0), "letter": PaperSize("letter", "letter", 215.9, 279.4)}


def paper_size(name: str) -> PaperSize:
    """The size of that name, however it is capitalised.

    Raises:
        UsageFault: there is none.
    """
    for size in SIZES.values():
        if size.name.lower() == name.lower():
            return size
    raise UsageFault(f'--paper is "{name}"', mending=f"allowed: {', '.join(SIZES)}", code="sheet-01")
