"""The scrapyard card as HTML: one file, nothing fetched, black on white, a box for each reading."""

from __future__ import annotations

from html import escape

from fitment.catalogue.donors import Found
from fitment.kits.card_row import CardRow
from fitment.kits.donor_card import Card
from fitment.quantity.tools import tool_title
from fitment.sheets.card_text import in_catalogue, missing_text

# Both sheets hold 186 x 255 mm inside these margins: A4 is the narrower, Letter the shorter.
_STYLE = """
@page { margin: 12mm 12mm 14mm; }
body { margin: 0 auto; max-width: 186mm; font: 8.5pt/1.2 sans-serif; color: #000; background: #fff; }
h1 { font-size: 13pt; margin: 0 0 1mm; }
table { width: 100%; border-collapse: collapse; }
tr { break-inside: avoid; }
td { border-top: 0.2mm solid #000; padding: 0.6mm 1mm; vertical-align: top; }
td.box { border: 0.5mm solid #000; width: 34mm; height: 10mm; }
small { font-size: 7.5pt; }
""".strip()


def card_html(card: Card, found: Found, system: str) -> str:
    """The card, a whole document.

    Args:
        card: what it says.
        found: what the catalogue has within its windows.
        system: "mm" or "inch".
    """
    title = escape(f"Rack for {card.vehicle.name} {card.vehicle.title}")
    rows = "\n".join(_row(number, row, system) for number, row in enumerate(card.rows, 1))
    cautions = "\n".join(f"<li>{escape(caution)}</li>" for caution in card.cautions)
    return f"""<!DOCTYPE html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>fitment: {title}</title>
<style>
{_STYLE}
</style>
</head>
<body>
<h1>{title}</h1>
<table>
{rows}
</table>
<p>{escape(in_catalogue(found))}.</p>
<ul>
{cautions}
</ul>
</body>
</html>
"""


def _row(number: int, row: CardRow, system: str) -> str:
    lines = [f"<strong>{escape(row.what)}: {escape(row.shown(system))}</strong>"]
    if row.gaps:
        lines.append(escape(missing_text(row)))
    lines.append(escape(f"{tool_title(row.tool)}: {row.how}"))
    if row.known:
        lines.append(f"<strong>stop if</strong> {escape(row.stop_if(system))}")
    if row.rests_on:
        lines.append(f"<small>rests on: {escape(row.rests_on)}</small>")
    return f'<tr><td>{number}</td><td>{"<br>".join(lines)}</td><td class="box"></td></tr>'
