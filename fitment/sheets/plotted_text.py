"""A name as a plot can write it: no formula, not longer than it has room for, no letter that its font has not."""

from __future__ import annotations

#: letters that a title or a line of the legend has room for
_MOST = 90
#: written in place of a letter that the font has not
_UNKNOWN = "\N{REPLACEMENT CHARACTER}"


def plotted_text(text: str, family: str) -> str:
    """The text for a title or a label; the page that the plot stands on has it whole.

    Args:
        text: any.
        family: of the font that it is written in.
    """
    from matplotlib.font_manager import FontProperties, findfont, get_font

    font = get_font(findfont(FontProperties(family=[family])))
    cut = text if len(text) <= _MOST else f"{text[: _MOST - 1]}…"
    known = "".join(letter if font.get_char_index(ord(letter)) else _UNKNOWN for letter in cut)
    return known.replace("$", r"\$")
