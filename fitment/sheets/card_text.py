"""The scrapyard card as text: fits 80 columns and a page, with a place for what was read."""

from __future__ import annotations

import textwrap

from fitment.catalogue.donors import Found
from fitment.kits.card_row import CardRow
from fitment.kits.donor_card import Card
from fitment.quantity.tools import tool_title


def card_text(card: Card, found: Found, width: int, system: str) -> str:
    """The card.

    Args:
        card: what it says.
        found: what the catalogue has within its windows.
        width: columns.
        system: "mm" or "inch".
    """
    known = sum(row.known for row in card.rows)
    lines = [
        _wrap(f"Rack for {card.vehicle.name} {card.vehicle.title}: {known} of {len(card.rows)} rows answered", width),
        "",
    ]
    for number, row in enumerate(card.rows, 1):
        lines += _row(number, row, width, system)
    if card.search:
        lines += ["", _wrap(f"{in_catalogue(found)}: fitment donors rack {' '.join(card.search)}", width)]
    lines += ["", *(_wrap(f"- {caution}", width) for caution in card.cautions)]
    return "\n".join(lines) + "\n"


def in_catalogue(found: Found) -> str:
    """How many racks of the catalogue lie within the windows."""
    return f"In the catalogue {len(found.sure)} match, {len(found.may)} may match, {found.outside} are outside"


def missing_text(row: CardRow) -> str:
    """What the survey does not hold, and what to do about it."""
    by_feature: dict[str, list[str]] = {}
    for gap in row.gaps:
        why = "" if gap.why == "no reading" else f" ({gap.why})"
        by_feature.setdefault(gap.feature, []).append(gap.dimension + why)
    told = "; ".join(f"{feature} {', '.join(names)}" for feature, names in by_feature.items())
    return f"survey does not hold {told}: measure on the car first"


def _row(number: int, row: CardRow, width: int, system: str) -> list[str]:
    lines = [_wrap(f"{number}. {row.what}: {row.shown(system)}   read: ________", width)]
    if row.gaps:
        lines.append(_wrap(missing_text(row), width, "   "))
    lines.append(_wrap(f"{tool_title(row.tool)}: {row.how}", width, "   "))
    if row.known:
        lines.append(_wrap(f"stop if {row.stop_if(system)}", width, "   "))
    if row.rests_on:
        lines.append(_wrap(f"rests on: {row.rests_on}", width, "   "))
    return lines


def _wrap(text: str, width: int, indent: str = "") -> str:
    return textwrap.fill(text, width, initial_indent=indent, subsequent_indent=indent or "   ", break_on_hyphens=False)
