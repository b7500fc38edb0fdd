"""A comparison of steerings as one page of plots, A4 landscape, readable in black and white.

Line styles, markers and letters tell the steerings apart; no colour is used. The same comparison gives the same bytes
with the same version of matplotlib, which is loaded here, and only when a page is drawn.
"""

from __future__ import annotations

import io
import math
import textwrap
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from fitment.frozen import dataclass
from fitment.kits.steering_effort import assumed
from fitment.kits.steering_results import Curve
from fitment.quantity.units import system_unit
from fitment.sheets.plotted_text import plotted_text
from fitment.sheets.steer_text import lettered

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from fitment.kits.steer import Comparison, Steered

    Columns = Sequence[tuple[str, Steered]]

#: A4 landscape, mm; dots per inch of a PNG
_PAPER, _DOTS = (297.0, 210.0), 150

#: left edge of title, legend and foot, as a share of the page
_LEFT = 0.045

#: sizes of text, points
_TITLE, _TEXT, _SMALL = 13, 9, 7.5

_FONT = "DejaVu Sans"

_SETTINGS: dict[str, Any] = {
    # the ids in an SVG follow from this alone; its text is drawn as outlines, the same wherever it is shown
    "svg.hashsalt": "fitment",
    "svg.fonttype": "path",
    "font.family": [_FONT],
    "font.size": _TEXT,
    "axes.grid": True,
    "axes.axisbelow": True,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "grid.color": "0.9",
    "grid.linewidth": 0.5,
}


def _farthest(curve: Curve) -> float:
    """Its largest value, sign and all."""
    return max((y for y in curve.y if math.isfinite(y)), key=abs)


def _on_centre(curve: Curve) -> float:
    return min((abs(x), y) for x, y in zip(curve.x, curve.y, strict=True) if math.isfinite(y))[1]


@dataclass(frozen=True)
class _Words:
    """What is said over a plot: its title, what to look for, and the one figure of each curve that is printed."""

    title: str
    reads: str
    figure: str
    of: Callable[[Curve], float]
    decimals: int
    both_ways: bool = True


_TOE = ("flat at 0: bumps do not steer the wheel", "farthest from 0", _farthest, 2)
_CAMBER = ("change from ride height, + top outboard", "farthest from 0", _farthest, 2)
_WORDS = {
    "toe-left": _Words("Toe change over bump, left wheel", *_TOE),
    "toe-right": _Words("Toe change over bump, right wheel", *_TOE),
    "camber-left": _Words("Camber change over bump, left wheel", *_CAMBER),
    "camber-right": _Words("Camber change over bump, right wheel", *_CAMBER),
    "ackermann-error": _Words(
        "Ackermann: outer wheel's angle less ideal",
        "0 is ideal: all wheels roll about one point",
        "farthest from 0",
        _farthest,
        1,
    ),
    "steer-left": _Words(
        "Angle of the left wheel over lock", "+ to the left; the ends are the locks", "most", _farthest, 1
    ),
    "ratio": _Words("Overall steering ratio over lock", "higher: slower, lighter", "on centre", _on_centre, 1, False),
    "steer-per-mm": _Words("Road wheel per mm of bar", "higher: quicker, heavier", "on centre", _on_centre, 3, False),
    "rim-most": _Words(
        "Force at the rim, car standing", "upper end of the range; lower: lighter", "most", _farthest, 0, False
    ),
}

#: plots in their order: the first of these curves that any steering has, and that is not drawn yet
_PLOTS = (
    ("toe-left",),
    ("toe-right",),
    ("camber-left", "camber-right"),
    ("ackermann-error", "steer-left"),
    ("ratio", "steer-per-mm"),
    ("rim-most", "steer-left"),
)

#: of a plot's width, on its right, for the letters; of its height, between two of them
_ROOM, _APART = 0.1, 0.075

#: mm between the two rows of plots: axis, title and what to look for
_ROWS = 34.0

#: plots that are drawn to the same scale, to be compared with each other
_SAME_SCALE = ("toe-left", "toe-right")


@dataclass(frozen=True)
class _Style:
    """How one steering is drawn."""

    colour: str
    line: Any
    width: float
    marker: str
    inside: str


_ORIGINAL = _Style("0.5", "-", 3.0, "", "none")
_PROPOSED = (
    _Style("black", "-", 1.3, "o", "white"),
    _Style("black", (0, (5, 2)), 1.3, "s", "black"),
    _Style("black", (0, (1, 1.2)), 1.5, "^", "white"),
    _Style("black", (0, (6, 2, 1, 2)), 1.3, "D", "black"),
    _Style("0.3", (0, (3, 1, 1, 1, 1, 1)), 1.3, "v", "white"),
    _Style("0.3", "-", 0.8, "x", "none"),
)


def plotted(comparison: Comparison) -> bool:
    """Whether there is any curve to plot."""
    return bool(_curves(lettered(comparison)))


def steer_plots(comparison: Comparison, form: str, system: str, size: tuple[float, float] = _PAPER) -> bytes:
    """The page as the bytes of a file.

    Args:
        comparison: what to draw; it is `plotted`.
        form: "svg" or "png".
        system: "mm" or "inch".
        size: width and height of the picture, mm; letters are as large on any.
    """
    import matplotlib.style

    metadata = {"Date": None, "Creator": "fitment"} if form == "svg" else {"Software": None}
    out = io.BytesIO()
    # what a user has in a matplotlibrc does not change the page
    with matplotlib.style.context(["default", _SETTINGS]):
        _page(comparison, system, size).savefig(out, format=form, dpi=_DOTS, metadata=metadata)
    return out.getvalue()


def _curves(columns: Columns) -> list[str]:
    """Names of the curves that are drawn, in the order of their plots."""
    found: list[str] = []
    for names in _PLOTS:
        for name in names:
            if name not in found and any(name in one.told.curves for _, one in columns):
                found.append(name)
                break
    return found


def _page(comparison: Comparison, system: str, size: tuple[float, float]) -> Figure:
    from matplotlib.figure import Figure

    columns = lettered(comparison)
    names = _curves(columns)
    figure = Figure(figsize=(size[0] / 25.4, size[1] / 25.4))
    places = list(figure.subplots(2, 3).flat)
    for place, name in zip(places, names, strict=False):
        _draw(place, name, columns, system)
    for place in places[len(names) :]:
        place.set_axis_off()
    alike = [place for place, name in zip(places, names, strict=False) if name in _SAME_SCALE]
    ends = [end for place in alike for end in place.get_ylim()]
    for place in alike:
        place.set_ylim(min(ends), max(ends))
    for place, name in zip(places, names, strict=False):
        _letter(place, name, columns, system)
    _frame(figure, comparison, columns)
    return figure


def _styled(columns: Columns) -> list[tuple[str, Steered, _Style]]:
    return [
        (letter, one, _PROPOSED[(index - 1) % len(_PROPOSED)] if index else _ORIGINAL)
        for index, (letter, one) in enumerate(columns)
    ]


def _shown(unit: str, system: str) -> tuple[float, str]:
    """How many of the unit that is shown one of the curve's is, and its name."""
    if system == "inch" and unit in ("mm", "N"):
        inch = system_unit({"mm": "length", "N": "force"}[unit], "inch")
        return 1 / inch.factor, inch.symbol
    if system == "inch" and unit == "deg/mm":
        return system_unit("length", "inch").factor, "deg/in"
    return 1.0, unit


def _draw(place: Axes, name: str, columns: Columns, system: str) -> None:
    """The curves of one plot with their bands."""
    import numpy as np

    words = _WORDS[name]
    figures = []
    absent = []
    for letter, one, style in _styled(columns):
        curve = one.told.curves.get(name)
        if curve is None:
            absent.append(letter)
            continue
        (x_factor, x_unit), (factor, unit) = _shown(curve.x_unit, system), _shown(curve.y_unit, system)
        x = np.array(curve.x) * x_factor
        y, low, high = (np.array(values) * factor for values in (curve.y, curve.low, curve.high))
        place.fill_between(x, low, high, facecolor=style.colour, alpha=0.13, linewidth=0)
        for edge in (low, high):  # a copier loses the shade; the band's edges stay
            place.plot(x, edge, color=style.colour, linestyle=style.line, linewidth=0.5)
        place.plot(x, y, **_looks(style))
        measured = "*" if curve.measured else ""
        figures.append(f"{letter}{measured} {words.of(curve) * factor:.{words.decimals}f}")
        place.set_xlabel(curve.x_title if x_unit == "turn" else f"{curve.x_title}, {x_unit}", fontsize=_SMALL)
        place.set_ylabel(unit, fontsize=_SMALL)
    if words.both_ways:
        place.axhline(0.0, color="black", linewidth=0.7, zorder=1.5)
    else:
        place.set_ylim(bottom=0.0)
    place.axvline(0.0, color="black", linewidth=0.4, zorder=1.5)
    place.tick_params(labelsize=_SMALL)
    left, right = place.get_xlim()
    # room for the letters
    place.set_xlim(left, right + _ROOM * (right - left))
    place.set_title(words.title, fontsize=_TEXT, fontweight="bold", loc="left", pad=27)
    told = f"{words.figure}: {', '.join(figures)} {unit}".rstrip()
    if absent:
        told += f"; not known: {', '.join(absent)}"
    place.text(0, 1.03, f"{words.reads}\n{told}", transform=place.transAxes, fontsize=_SMALL, va="bottom")


def _looks(style: _Style) -> dict[str, Any]:
    return {
        "color": style.colour,
        "linestyle": style.line,
        "linewidth": style.width,
        "marker": style.marker,
        "markersize": 4,
        "markerfacecolor": style.inside,
        "markeredgewidth": 0.9,
    }


def _letter(place: Axes, name: str, columns: Columns, system: str) -> None:
    """Puts its letter beside the right-hand end of each curve, apart from each other."""
    ends = []
    for letter, one, _ in _styled(columns):
        curve = one.told.curves.get(name)
        if curve is not None:
            x, y = [(x, y) for x, y in zip(curve.x, curve.y, strict=True) if math.isfinite(y)][-1]
            at = place.transData.transform((x * _shown(curve.x_unit, system)[0], y * _shown(curve.y_unit, system)[0]))
            across, up = place.transAxes.inverted().transform(at)
            ends.append([up, across, "orig." if letter == "original" else letter])
    ends.sort()
    for index in range(1, len(ends)):
        ends[index][0] = max(ends[index][0], ends[index - 1][0] + _APART)
    ceiling = 1.0
    for up, across, letter in reversed(ends):
        ceiling = min(up, ceiling)
        place.text(across + 0.025, ceiling, letter, transform=place.transAxes, weight="bold", va="center")
        ceiling -= _APART


def _frame(figure: Figure, comparison: Comparison, columns: Columns) -> None:
    """Title, legend, and what the page is not."""
    from matplotlib.lines import Line2D

    wide, high = (float(inches) * 25.4 for inches in figure.get_size_inches())
    vehicle = comparison.vehicle
    title = plotted_text(f"Steering of {vehicle.name} {vehicle.title}", _FONT)
    figure.text(_LEFT, 1 - 9.5 / high, title, fontsize=_TITLE, weight="bold")
    handles = []
    for letter, one, style in _styled(columns):
        verdict = f"; fitment check: {one.verdict}" if one.verdict else ""
        name = letter if letter == one.name else f"{letter} = {one.name}{verdict}"
        handles.append(Line2D([], [], label=plotted_text(name, _FONT), **_looks(style)))
    across = 2 if len(handles) > 3 else 1
    figure.legend(
        handles=handles,
        loc="upper left",
        bbox_to_anchor=(_LEFT, 1 - 11.5 / high),
        ncols=across,
        frameon=False,
        handlelength=4.5,
        borderpad=0.0,
        borderaxespad=0.0,
    )
    told = [
        f"Shaded: 95 % of {comparison.samples} samples of the survey's doubt; * is measured on the car, "
        "shaded by two standard uncertainties.",
        "0 is straight ahead at ride height; toe + is toe-in.",
        *([f"Force at the rim: {assumed()}."] if any("rim-most" in one.told.curves for _, one in columns) else []),
        *comparison.cautions,
    ]
    foot = textwrap.wrap(" ".join(told), int(190 * wide / _PAPER[0]), break_on_hyphens=False)
    figure.text(_LEFT, 3.0 / high, "\n".join(foot), fontsize=_SMALL, va="bottom")
    top, bottom = 27.5 + 4.7 * math.ceil(len(handles) / across), 18.0 + 3.3 * len(foot)
    plot = (high - top - bottom - _ROWS) / 2
    figure.subplots_adjust(
        left=0.06, right=0.97, top=1 - top / high, bottom=bottom / high, wspace=0.2, hspace=_ROWS / plot
    )
