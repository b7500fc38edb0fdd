"""A correction notice as HTML: one file, nothing fetched, black on white, on A4 and on Letter."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from fitment.kits.correction import Notice, Rechecked
from fitment.sheets import correction_words as words

# Both sheets hold 186 x 255 mm inside these margins: A4 is the narrower, Letter the shorter.
_STYLE = """
@page {
  margin: 12mm 12mm 14mm;
  @bottom-right { content: "page " counter(page) " of " counter(pages); font: 8pt sans-serif; }
}
body { margin: 0 auto; max-width: 186mm; font: 9pt/1.25 sans-serif; color: #000; background: #fff; }
h1 { font-size: 13pt; margin: 0 0 2mm; }
h2 { font-size: 10.5pt; margin: 4mm 0 1mm; break-after: avoid; }
table { width: 100%; border-collapse: collapse; margin: 1mm 0; }
tr { break-inside: avoid; }
th { text-align: left; padding: 0 1mm; }
td { border-top: 0.2mm solid #000; padding: 0.6mm 1mm; vertical-align: top; overflow-wrap: anywhere; }
td.name { width: 26mm; font-weight: bold; }
ul { margin: 1mm 0; padding-left: 5mm; }
""".strip()


def correction_html(notice: Notice, system: str) -> str:
    """The notice, a whole document; margins in `system`, "mm" or "inch"."""
    title = escape(words.title(notice))
    reports = "\n".join(_report(one, system) for one in notice.reports)
    unreported = words.unreported(notice)
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
{_pairs(words.correction_pairs(notice))}
<h2>Affected</h2>
{_pairs(words.affected(notice))}
{reports}
{f"<p>{escape(unreported)}</p>" if unreported else ""}
{_list(words.CAUTIONS)}
<p>{escape(words.stamp(notice))}</p>
</body>
</html>
"""


def _pairs(pairs: Iterable[tuple[str, str]]) -> str:
    rows = [f'<tr><td class="name">{escape(name)}</td><td>{escape(text)}</td></tr>' for name, text in pairs]
    return "\n".join(["<table>", *rows, "</table>"])


def _list(sentences: Iterable[str]) -> str:
    return "\n".join(["<ul>", *(f"<li>{escape(sentence)}</li>" for sentence in sentences), "</ul>"])


def _report(one: Rechecked, system: str) -> str:
    blocks = [f"<h2>{escape(words.heading(one))}</h2>", _pairs(words.verdicts(one))]
    if rows := words.rows(one, system):
        head = "".join(f"<th>{escape(name)}</th>" for name in words.HEADINGS)
        cells = ["".join(f"<td>{escape(cell)}</td>" for cell in row) for row in rows]
        blocks.append("\n".join([f"<table>\n<tr>{head}</tr>", *(f"<tr>{row}</tr>" for row in cells), "</table>"]))
    return "\n".join([*blocks, _list(words.what_to_do(one, corrected=True))])
