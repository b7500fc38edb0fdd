"""What a user wants of a kit: ``turns 3.0..3.6, no machining``."""

from __future__ import annotations

from fitment.errors import UsageFault
from fitment.frozen import dataclass

#: how it is said that only kits without work are wanted
_NO_WORK = frozenset({"no machining", "no work"})


@dataclass(frozen=True)
class Wants:
    """What is wanted of a kit.

    Attributes:
        turns: least and most turns lock to lock, None where open; None where nothing is said of them.
        no_work: whether only kits that fit without work are wanted.
    """

    turns: tuple[float | None, float | None] | None = None
    no_work: bool = False

    def off(self, turns: float) -> float:
        """How many turns a rack is outside of what is wanted; 0 within."""
        low, high = self.turns or (None, None)
        under = 0.0 if low is None else low - turns
        over = 0.0 if high is None else turns - high
        return max(0.0, under, over)


def read_wants(text: str) -> Wants:
    """The wants in words.

    Raises:
        UsageFault: something else is wanted, or twice.
        DataFault: the range of turns cannot be read.
    """
    from fitment.catalogue.dictionary import part_kinds
    from fitment.catalogue.windows import read_windows

    found = Wants()
    for part in filter(None, (" ".join(one.split()) for one in text.split(","))):
        word, _, rest = part.partition(" ")
        if part in _NO_WORK:
            found = Wants(found.turns, True)
        elif word == "turns" and rest and found.turns is None:
            window = read_windows(part_kinds()["rack"], [f"turns={rest}"], "mm")[0]
            found = Wants((window.low, window.high), found.no_work)
        else:
            raise UsageFault(
                f'"{part}" is nothing that can be wanted, or is wanted twice',
                mending='write --want "turns 3.0..3.6, no machining", or one of the two',
                code="propose-01",
            )
    return found
