"""One acceptance window of the scrapyard card."""

from __future__ import annotations

from fitment.catalogue.dictionary import Dimension, dimensions_of
from fitment.finding import Gap, Use
from fitment.frozen import dataclass
from fitment.quantity.show import show_quantity


@dataclass(frozen=True)
class CardRow:
    """One acceptance window.

    Attributes:
        what: for people, ``inner-joint spacing``.
        dimension: of the rack, by which a donor is searched, ``inner-spacing``; "" where none is.
        kind: kind of value of `low` and `high`; "word" for words.
        ideal, u: the value aimed at and its standard uncertainty, in the canonical unit; None where there is none.
        low, high: ends of the window; None where it is open, or nothing is known.
        word: the window in words; "" for numbers.
        how: how to take it.
        tool: code of the tool.
        stop: what follows "stop if".
        rests_on: what the window comes from, in words.
        uses: the values behind it.
        gaps: what the survey does not hold; the row has no window then.
    """

    what: str
    dimension: str
    kind: str
    how: str
    tool: str
    stop: str
    ideal: float | None = None
    u: float | None = None
    low: float | None = None
    high: float | None = None
    word: str = ""
    rests_on: str = ""
    uses: tuple[Use, ...] = ()
    gaps: tuple[Gap, ...] = ()

    @property
    def known(self) -> bool:
        """Whether it has a window."""
        return bool(self.word) or self.low is not None or self.high is not None

    def shown(self, system: str) -> str:
        """The window for people."""
        if self.word:
            return self.word
        low, high, ideal = (
            None if x is None else show_quantity(round(x, 1), self.kind, system)
            for x in (self.low, self.high, self.ideal)
        )
        if low and high:
            return f"{low} to {high}" + (f", best {ideal}" if ideal else "")
        if low or high:
            return f"{low} or more" if low else f"{high} or less"
        return f"not known, best {ideal}" if ideal else "not known"

    def stop_if(self, system: str) -> str:
        """The whole "stop if ..." with its numbers."""
        ends = [
            f"{word} {show_quantity(end, self.kind, system)}"
            for word, end in (("under", self.low), ("over", self.high))
            if end is not None
        ]
        return f"{' or '.join(ends)}: {self.stop}" if ends else self.stop


def of_rack(name: str) -> Dimension:
    """A dimension of a rack's body."""
    return dimensions_of("rack-body")[name]


def rack_row(what: str, name: str, stop: str, search: bool = True) -> CardRow:
    """A row without its window yet, its method and tool from the dictionary of rack dimensions."""
    of = of_rack(name)
    return CardRow(what, name if search else "", of.value_kind, of.how, of.tool, stop)
