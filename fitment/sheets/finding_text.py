"""Pieces of one finding as text, for every screen that shows one."""

from __future__ import annotations

import re

from fitment.finding import Margin

_NUMBER = re.compile(r"(?<![\w./:-])[-+]?\d+(?:\.(?P<decimals>\d+))?")
# one number, or several with one unit behind them: "0.20 to 0.35 mm"; a spanner keeps the size it is sold by
_MILLIMETRES = re.compile(rf"(?P<numbers>{_NUMBER.pattern}(?: (?:to|by|x) [-+]?\d+(?:\.\d+)?)*) mm\b(?!/| spanner)")


def margin_text(margin: Margin, system: str) -> str:
    """``+0.42 mm (+0.31 to +0.52)``; plain ratios without a unit."""
    if margin.unit == "mm" and system == "inch":
        value, low, high = (x / 25.4 for x in (margin.value, margin.low, margin.high))
        return f"{value:+.4f} in ({low:+.4f} to {high:+.4f})"
    digits = 4 if margin.unit == "" else 2
    unit = f" {margin.unit}" if margin.unit else ""
    return f"{margin.value:+.{digits}f}{unit} ({margin.low:+.{digits}f} to {margin.high:+.{digits}f})"


def in_system(sentence: str, system: str) -> str:
    """A sentence of a finding, which says its lengths in mm, with them in `system` ("mm" or "inch").

    Two decimals more than in mm (whole millimetres three), so that nothing is lost.
    """
    if system != "inch":
        return sentence
    return _MILLIMETRES.sub(lambda match: f"{_NUMBER.sub(_inches, match['numbers'])} in", sentence)


def _inches(number: re.Match[str]) -> str:
    text = number[0]
    sign = "+" if text.startswith("+") else ""
    return f"{float(text) / 25.4:{sign}.{len(number['decimals'] or '0') + 2}f}"
