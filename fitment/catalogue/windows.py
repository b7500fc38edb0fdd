"""Windows on dimensions, as people ask for a donor, and how an adopted value stands to one. Pure.

``inner-spacing=600..625``, ``travel=130..``, ``turns=3.5±0.2``, ``bar-end.left.thread=M14x1.5-RH``, ``hand=RH``.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

from fitment.catalogue.dictionary import Dimension, PartKind, dimensions_of, find_dimension, find_feature
from fitment.catalogue.values import NUMERIC
from fitment.doubt import reach as reach_of
from fitment.errors import DataFault, UsageFault, nearest
from fitment.finding import Use
from fitment.frozen import dataclass
from fitment.quantity.parse import TaperQuantity, parse_quantity, parse_taper
from fitment.quantity.show import show_quantity, show_taper
from fitment.quantity.units import UNITLESS, system_unit
from fitment.standards.thread_names import parse_thread
from fitment.standards.threads import same_thread

#: a cone by name means that cone and no other: half the distance of the nearest two, 7 degree and 1:8, on the ratio
CONE_BY_NAME = 0.0013


class State(StrEnum):
    """How a value stands to a window; the last three in order of what is known."""

    INSIDE = "inside"
    OUTSIDE = "outside"
    CANNOT_TELL = "cannot be told"
    NO_READING = "no reading"


@dataclass(frozen=True)
class Window:
    """What is wanted of one dimension.

    Attributes:
        feature, dimension: on which end of the part, by the dictionary.
        kind: kind of value.
        low, high: ends, both belonging to it, in the canonical unit (a taper's as a ratio); None where it is open.
        word: the word or the designation wanted; None where numbers are.
    """

    feature: str
    dimension: str
    kind: str
    low: float | None = None
    high: float | None = None
    word: str | None = None

    @property
    def name(self) -> str:
        """The dimension with its feature, the body's without: ``inner-spacing``, ``bar-end.left thread``."""
        return self.dimension if self.feature == "body" else f"{self.feature} {self.dimension}"

    def shown(self, system: str = "mm") -> str:
        """The window for people: ``600 mm to 625 mm``, ``130 mm or more``, ``RH``."""
        if self.word is not None:
            return self.word
        low, high = (None if end is None else self.one(end, system) for end in (self.low, self.high))
        if low is None:
            return f"{high} or less"
        if high is None:
            return f"{low} or more"
        return low if low == high else f"{low} to {high}"

    def one(self, value: float, system: str, u: float | None = None) -> str:
        """A number of this dimension for people."""
        return show_taper(value) if self.kind == "taper" else show_quantity(value, self.kind, system, u)


@dataclass(frozen=True)
class Standing:
    """How one adopted value stands to one window.

    Attributes:
        window: what was wanted.
        state: inside or outside for certain, cannot be told, or no reading.
        use: the value and what it rests on; None where there is no value in force.
        off: how far outside, in the canonical unit; negative under; None for words and where not outside.
        gap: why there is no value, or why it proves nothing; "" where nothing needs saying.
    """

    window: Window
    state: State
    use: Use | None = None
    off: float | None = None
    gap: str = ""

    @property
    def relative(self) -> float:
        """How far off as a share of the window's larger limit, so that millimetres and turns have one order."""
        ends = [abs(end) for end in (self.window.low, self.window.high) if end]
        return abs(self.off or 0.0) / max(ends, default=1.0)


def read_windows(kind: PartKind, texts: Iterable[str], system: str) -> list[Window]:
    """Every window that is asked for, in order; a thread with its hand gives two.

    Args:
        kind: the kind of part.
        texts: ``DIM=RANGE`` as typed.
        system: "mm" or "inch", for numbers without a unit.

    Raises:
        UsageFault: not a DIM=RANGE, or one dimension twice.
        DataFault: no such dimension, or the range cannot be read.
    """
    windows: list[Window] = []
    for text in texts:
        name, equals, wanted = text.partition("=")
        if not (equals and name.strip() and wanted.strip()):
            raise UsageFault(
                f'"{text}" is not DIM=RANGE', mending="write inner-spacing=600..625 or hand=RH", code="donors-01"
            )
        try:
            asked = _window(*_named(kind, name.strip()), wanted.strip(), system)
        except DataFault as fault:
            raise fault.at(name.strip()) from None
        for window in asked:
            if any((one.feature, one.dimension) == (window.feature, window.dimension) for one in windows):
                raise UsageFault(f"{window.name} is asked for twice", mending="give one range", code="donors-02")
            windows.append(window)
    return windows


def _named(kind: PartKind, name: str) -> tuple[str, Dimension]:
    """Feature and dimension by name: ``bar-end.left.thread``, or just ``travel`` where one feature has it."""
    feature, dot, dimension = name.rpartition(".")
    if dot:
        return find_feature(kind, feature), find_dimension(kind, feature, dimension)
    having: dict[str, Dimension] = {}
    for feature in kind.features:
        try:
            having[feature] = find_dimension(kind, feature, name)
        except DataFault:
            continue
    if not having:
        names = [one for of in kind.features.values() for one in dimensions_of(of)]
        raise DataFault(
            f'{kind.title} has no dimension "{name}"', mending=nearest(name.casefold(), names), code="donors-03"
        )
    if len(having) > 1 and "body" not in having:
        choices = ", ".join(f"{feature}.{one.dimension}" for feature, one in having.items())
        raise DataFault(
            f'"{name}" belongs to several ends of the {kind.title}', mending=f"say which: {choices}", code="donors-04"
        )
    feature = "body" if "body" in having else next(iter(having))
    return feature, having[feature]


def _window(feature: str, dimension: Dimension, text: str, system: str) -> list[Window]:
    name, kind = dimension.dimension, dimension.value_kind
    if kind == "thread":
        parsed = parse_thread(text)
        made = [Window(feature, name, kind, word=parsed.thread.designation)]
        return [*made, Window(feature, "hand", "word", word=parsed.hand)] if parsed.hand else made
    if kind == "word":
        return [Window(feature, name, kind, word=_word(dimension, text))]
    if kind not in NUMERIC and kind != "taper":
        raise DataFault(
            f"{name} is a {kind} and has no range to search by",
            mending="search by a length, an angle, a count, a word or a thread",
            code="donors-05",
        )
    low, high = _ends(dimension, text, system)
    if low is not None and high is not None and low > high:
        raise DataFault(f'"{text}" ends below its start', mending="write the smaller first", code="donors-06")
    return [Window(feature, name, kind, low, high)]


def _word(dimension: Dimension, text: str) -> str:
    if not dimension.words:
        return " ".join(text.split())
    found = next((word for word in dimension.words if word.casefold() == " ".join(text.split()).casefold()), None)
    if found is None:
        raise DataFault(
            f'{dimension.dimension} cannot be "{text}"', mending=nearest(text, dimension.words), code="donors-07"
        )
    return found


def _ends(dimension: Dimension, text: str, system: str) -> tuple[float | None, float | None]:
    """Both ends of a range: ``a..b``, ``a..``, ``..b``, ``a±tol``; one number alone for a count or a cone."""
    low, dots, high = text.partition("..")
    if dots:
        low, high = low.strip(), high.strip()
        if high.startswith(".") or not (low or high):
            raise DataFault(
                f'"{text}" is not a range',
                mending="write 600..625, 600.. or ..625, with a nought before a decimal point",
                code="donors-08",
            )
        symbol = _unit_of(dimension, high) or _unit_of(dimension, low)
        ends = [_number(dimension, end, symbol, system)[0] if end else None for end in (low, high)]
        return ends[0], ends[1]
    value, half_width = _number(dimension, text, None, system, with_half_width=True)
    if half_width is None:
        if dimension.value_kind == "taper":
            half_width = CONE_BY_NAME
        elif dimension.value_kind == "count":
            half_width = 0.0
        else:
            raise DataFault(
                f'"{text}" is one number, and no reading is that exact',
                mending=f"write a range such as 600..625, or {text}±1",
                code="donors-09",
            )
    return value - half_width, value + half_width


def _unit_of(dimension: Dimension, text: str) -> str | None:
    """The unit that is written at one end of a range; None where there is none."""
    if not text or dimension.value_kind in UNITLESS or dimension.value_kind == "taper":
        return None
    try:
        return parse_quantity(text, dimension.value_kind).entered_unit
    except DataFault:
        return None


def _number(
    dimension: Dimension, text: str, symbol: str | None, system: str, with_half_width: bool = False
) -> tuple[float, float | None]:
    """One number in its canonical unit, and the half-width that was written with it.

    A number without a unit has that of the other end, `symbol`, or else the system's.
    """
    kind = dimension.value_kind
    read = parse_taper(text) if kind == "taper" else parse_quantity(text, kind, symbol or system_unit(kind, system))
    if read.u is not None or (read.half_width is not None and not with_half_width):
        raise DataFault(
            f'"{text}" is an end of a range and has no doubt of its own',
            mending="leave out what follows the number",
            code="donors-10",
        )
    value = read.ratio if isinstance(read, TaperQuantity) else read.value
    return value, read.half_width


def standing(window: Window, use: Use | None, gap: str = "") -> Standing:
    """How an adopted value stands to a window.

    Inside only where both ends of the value's doubt are (2.3 % and 97.7 %), outside only where neither may be. What is
    hearsay, or only assumed from the other side, is never inside for certain.

    Args:
        window: what is wanted.
        use: the adopted value, or None.
        gap: why there is none.
    """
    if use is None:
        return Standing(window, State.CANNOT_TELL if gap else State.NO_READING, gap=gap or "no reading")
    if window.word is not None:
        inside = _same_word(window, use.word)
        return _held_back(Standing(window, State.INSIDE if inside else State.OUTSIDE, use))
    if use.u is None:
        return Standing(window, State.CANNOT_TELL, use, gap="its doubt is not recorded")
    reach = use.u * reach_of(use.shape)
    if window.low is not None and use.number + reach < window.low:
        return _held_back(Standing(window, State.OUTSIDE, use, use.number - window.low))
    if window.high is not None and use.number - reach > window.high:
        return _held_back(Standing(window, State.OUTSIDE, use, use.number - window.high))
    low = window.low is None or use.number - reach >= window.low
    high = window.high is None or use.number + reach <= window.high
    if low and high:
        return _held_back(Standing(window, State.INSIDE, use))
    return Standing(window, State.CANNOT_TELL, use, gap="too near the end of the window to tell")


def _same_word(window: Window, word: str) -> bool:
    if window.kind == "thread":
        return same_thread(parse_thread(window.word or "").thread, parse_thread(word).thread)
    return (window.word or "").casefold() == word.casefold()


def _held_back(found: Standing) -> Standing:
    """Weak evidence never answers for certain that a part is wanted, and says so where it answers that it is not."""
    use = found.use
    if use is None or not (use.hearsay or use.assumed):
        return found
    why = f"hearsay ({use.source})" if use.hearsay else "only taken to be as the left"
    if found.state is State.INSIDE:
        return Standing(found.window, State.CANNOT_TELL, use, gap=why)
    word = "on hearsay" if use.hearsay else "on an assumption"
    return Standing(found.window, State.OUTSIDE, use, found.off, f"{word}: measure before discarding")
