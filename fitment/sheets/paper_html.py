"""A page for the yard as HTML: one file, nothing fetched, black on white, on A4 and on Letter."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from fitment.quantity.axes import OWN_AXES
from fitment.sheets.paper import CAUTIONS, Paper, PaperRow, has_points, is_vehicle

# Both sheets hold 186 x 255 mm inside these margins: A4 is the narrower, Letter the shorter.
_STYLE = """
@page {
  margin: 12mm 12mm 14mm;
  @bottom-right { content: "page " counter(page) " of " counter(pages); font: 8pt sans-serif; }
}
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 186mm; font: 8pt/1.15 sans-serif; color: #000; background: #fff; }
h1 { font-size: 13pt; margin: 0 0 1mm; }
p { margin: 0 0 1mm; }
code, .name { font-family: monospace; font-size: 8pt; }
.head { display: flex; flex-wrap: wrap; gap: 1mm 3mm; margin: 1.5mm 0; }
.head div { border: 0.4mm solid #000; height: 9mm; padding: 0.3mm 1mm; flex: 1 1 34mm; }
.head .wide { flex-basis: 72mm; }
.head span { font-size: 7pt; display: block; }
table { width: 100%; border-collapse: collapse; }
th { text-align: left; font-size: 7.5pt; padding: 0 1mm; }
td { border-top: 0.2mm solid #000; padding: 0.4mm 1mm; vertical-align: top; }
tr { break-inside: avoid; }
td.box { border: 0.5mm solid #000; width: 46mm; height: 10mm; vertical-align: bottom; text-align: right; }
td.name { width: 36mm; overflow-wrap: anywhere; }
td.number { width: 6mm; text-align: right; }
""".strip()

SITTING_BOXES = [
    ("sitting", ""),
    ("who (initials)", ""),
    ("date (year-month-day)", ""),
    ("tool, if one for all", ""),
    ("source (own-measurement)", ""),
]
SURVEY_BOXES = [("datum: where x = y = z = 0", "wide"), (f"axes: {OWN_AXES}", ""), ("ride height", "")]


def paper_html(paper: Paper) -> str:
    """The page, a whole document."""
    title = f"{paper.title} ({len(paper.rows)} of {paper.of} rows)"
    note = f"<p>{escape(paper.kind.note)}.</p>\n" if paper.kind.note else ""
    body = f"""{note}<div class="head">
{_heading(paper)}
</div>
{rows_html(paper.rows, paper.system)}
<p>Leave empty what is not known. Type it back one line each: {_example(paper)}. Then <code>fitment reading add
--from FILE</code>. After a value: <code>@tool</code> where another tool was used, <code>!</code> where it is right
though unusual; repeats are parted by <code>;</code>.</p>"""
    return document(title, body)


def document(title: str, body: str) -> str:
    """A whole document with its title and the standing cautions."""
    return f"""<!DOCTYPE html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>fitment: {escape(title)}</title>
<style>
{_STYLE}
</style>
</head>
<body>
<h1>fitment: {escape(title)}</h1>
<p><strong>{escape(" ".join(CAUTIONS))}</strong></p>
{body}
</body>
</html>
"""


def rows_html(rows: Iterable[PaperRow], system: str) -> str:
    """The table of rows, each with an empty box."""
    made = "\n".join(_row(row) for row in rows)
    return f"""<table>
<thead>
<tr><th></th><th>type as</th><th>what; tool: how</th><th>value ({escape(system)} unless written)</th></tr>
</thead>
<tbody>
{made}
</tbody>
</table>"""


def boxes_html(boxes: Iterable[tuple[str, str]]) -> str:
    """Boxes of a heading: label, and ``wide`` for a wide one."""
    return "\n".join(f'<div class="{style or "plain"}"><span>{escape(label)}</span></div>' for label, style in boxes)


def _example(paper: Paper) -> str:
    first = "vehicle REF" if is_vehicle(paper) else f"part REF {paper.kind.kind} used"
    lines = (first, "sitting NAME INITIALS DATE", f"units {paper.system}", f"{paper.rows[0].name} VALUE")
    return ", ".join(f"<code>{escape(line)}</code>" for line in lines)


def _heading(paper: Paper) -> str:
    if is_vehicle(paper):
        boxes = [("vehicle", ""), ("maker, model, years", "wide")]
    else:
        boxes = [(f"part (or item ... of part ...), {paper.kind.kind}", "wide"), ("new, used or worn", "")]
        boxes += [("name", "wide"), ("fitted to", "")]
    boxes += SITTING_BOXES
    if has_points(paper):
        boxes += SURVEY_BOXES
    boxes += [("note", "wide")]
    return boxes_html(boxes)


def _row(row: PaperRow) -> str:
    words = f" ({escape(' / '.join(row.words))})" if row.words else ""
    return (
        f'<tr><td class="number">{row.number}</td><td class="name">{escape(row.name)}</td>'
        f"<td><strong>{escape(row.title)}</strong>{words}<br>{escape(row.tool)}: {escape(row.how)}.</td>"
        f'<td class="box">{escape(row.unit)}</td></tr>'
    )
