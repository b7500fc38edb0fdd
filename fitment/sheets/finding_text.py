"""Pieces of one finding as text, for every screen that shows one."""

from __future__ import annotations

from fitment.finding import Margin


def margin_text(margin: Margin, system: str) -> str:
    """``+0.42 mm (+0.31 to +0.52)``; plain ratios without a unit."""
    if margin.unit == "mm" and system == "inch":
        value, low, high = (x / 25.4 for x in (margin.value, margin.low, margin.high))
        return f"{value:+.4f} in ({low:+.4f} to {high:+.4f})"
    digits = 4 if margin.unit == "" else 2
    unit = f" {margin.unit}" if margin.unit else ""
    return f"{margin.value:+.{digits}f}{unit} ({margin.low:+.{digits}f} to {margin.high:+.{digits}f})"
