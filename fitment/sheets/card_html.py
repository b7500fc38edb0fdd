"""The scrapyard card as HTML: one file, nothing fetched, black on white, a box for each reading."""

from __future__ import annotations

from fitment.catalogue.donors import Found
from fitment.kits.card_row import CardRow
from fitment.kits.donor_card import Card
from fitment.quantity.tools import tool_title
from fitment.sheets.card_text import in_catalogue, missing_text
from fitment.sheets.pages import rendered


def card_html(card: Card, found: Found, system: str) -> str:
    """The card, a whole document.

    Args:
        card: what it says.
        found: what the catalogue has within its windows.
        system: "mm" or "inch".
    """
    title = f"Rack for {card.vehicle.name} {card.vehicle.title}"
    values = {
        "title": title,
        "paper": None,
        "top_left": "",
        "top_right": "",
        "stamp": "fitment: card for the yard",
        "rows": [_row(row, system) for row in card.rows],
        "found": in_catalogue(found),
        "cautions": card.cautions,
    }
    return rendered("card.html", values)


def _row(row: CardRow, system: str) -> dict[str, str]:
    return {
        "what": row.what,
        "wanted": row.shown(system),
        "missing": missing_text(row) if row.gaps else "",
        "how": f"{tool_title(row.tool)}: {row.how}",
        "stop": row.stop_if(system) if row.known else "",
        "rests_on": row.rests_on,
    }
