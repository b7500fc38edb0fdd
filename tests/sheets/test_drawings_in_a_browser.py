"""Drawings as they are printed: 100 mm are 100 mm on paper, an operation fills one page, nothing leaves its frame."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any
from unicodedata import normalize

import pytest

from fitment.cli.main import answer
from fitment.sheets import machining
from fitment.sheets.blocks import Block, PageBreak, Sheet
from fitment.sheets.drawing.svg import svg
from fitment.sheets.pages import Page, page_html
from fitment.sheets.paper_size import SIZES
from tests.sheets.test_machining import CASES, job
from tests.support.browser import Browser
from tests.support.demo_shop import demo_catalogue, demo_kit
from tests.support.sheet_context import context_of

pytestmark = pytest.mark.browser

#: of every drawing on a page: what lies outside it, and whether it is as wide as it says
OUTSIDE = """
const found = [];
for (const one of document.querySelectorAll("figure svg[role=img], body > svg")) {
  const frame = one.getBoundingClientRect();
  const told = parseFloat(one.getAttribute("width")) * 96 / 25.4;
  if (Math.abs(frame.width - told) > 0.5) found.push("width " + frame.width + " for " + told);
  for (const text of one.querySelectorAll("text")) {
    if (text.closest("svg svg")) continue;
    const box = text.getBoundingClientRect();
    if (box.left < frame.left - 1 || box.right > frame.right + 1 || box.top < frame.top - 1
        || box.bottom > frame.bottom + 1) found.push(text.textContent);
  }
}
return found;
"""


def segments(page: Any) -> list[float]:
    """Lengths of the straight lines on a page of a PDF, mm."""
    found: list[float] = []
    last: list[tuple[float, float]] = []

    def see(operator: Any, operands: Any, matrix: Any, _: Any) -> None:
        if operator not in (b"m", b"l", "m", "l"):
            return
        x, y = map(float, operands)
        at = (matrix[0] * x + matrix[2] * y + matrix[4], matrix[1] * x + matrix[3] * y + matrix[5])
        if operator in (b"l", "l") and last:
            found.append(math.dist(last[0], at) / 72 * 25.4)
        last[:] = [at]

    page.extract_text(visitor_operand_before=see)
    return found


def near(lengths: list[float], wanted: float) -> list[float]:
    return [one for one in lengths if abs(one - wanted) <= 0.2]


@pytest.fixture(scope="module")
def db(tmp_path_factory: pytest.TempPathFactory) -> str:
    return demo_catalogue(tmp_path_factory.mktemp("shop"))


def sheets(db: str, kit: str, document: str, paper: str, into: Path) -> Path:
    words = ["sheet", str(demo_kit(kit)), "--into", str(into), "--only", document, "--paper", paper, "--db", db, "-q"]
    assert answer(words) == 0
    return into / f"{document}.html"


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_the_bars_of_the_template_measure_right_in_the_printed_pdf(
    browser: Browser, db: str, tmp_path: Path, paper: str
) -> None:
    from pypdf import PdfReader

    page = sheets(db, "rack-pattern-1-2-mm-out", "template", paper, tmp_path / "out")
    browser.open(page)
    assert browser.ask(OUTSIDE) == []
    printed = PdfReader(browser.printed()).pages
    lengths = [segments(one) for one in printed]
    # across and up the page on either sheet; the margins of the page's other sheets have none
    assert [len(near(one, 100.0)) for one in lengths] == [0, 2, 2, 0]
    assert [len(near(one, 101.6)) for one in lengths] == [0, 1, 1, 0]
    assert [float(one.mediabox.width) > float(one.mediabox.height) for one in printed] == [False, True, True, False]


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_an_operation_fills_one_page_with_its_drawing_and_its_boxes(
    browser: Browser, db: str, tmp_path: Path, paper: str
) -> None:
    from pypdf import PdfReader

    context = context_of(db, demo_kit("target-only"), paper)
    jobs = [job(name) for name in CASES]
    blocks: list[Block] = []
    for number, made in enumerate(jobs, 1):
        blocks += [PageBreak(), *machining._page(number, len(jobs), made, context)]
    page = tmp_path / "machining.html"
    whole = page_html(
        context, "Machining sheets", [Page("machining", "Machining sheets", "shop", Sheet(tuple(blocks)))]
    )
    page.write_text(whole, encoding="utf-8")
    browser.open(page)
    assert browser.ask(OUTSIDE) == []
    printed = PdfReader(browser.printed()).pages
    assert len(printed) == len(jobs) + 1
    for number, made in enumerate(jobs, 1):
        text = normalize("NFKC", printed[number].extract_text())  # printed with ligatures
        assert f"{number} of {len(jobs)}: " in text
        assert "certifier, date" in text  # the last of its boxes, on the same page
        assert len(near(segments(printed[number]), 100.0)) == (1 if made.drawings else 0)


def test_the_layout_is_printed_whole_on_a_page(browser: Browser, db: str, tmp_path: Path) -> None:
    from pypdf import PdfReader

    page = sheets(db, "fits-outright", "layout", "letter", tmp_path / "out")
    browser.open(page)
    assert browser.ask(OUTSIDE) == []
    printed = PdfReader(browser.printed()).pages
    text = printed[1].extract_text()
    for words in ("PLAN, the front of the car downwards", "left rod 231.46", "FROM THE FRONT", "Scale 1:10"):
        assert words in text
    # left and right inner balls 639.83 mm apart, at 1:10
    assert len(near(segments(printed[1]), 63.98)) >= 1


def test_every_operation_is_drawn_within_its_frame(browser: Browser, tmp_path: Path) -> None:
    drawings = [drawing for name in CASES for drawing in job(name).drawings]
    assert len(drawings) >= 10
    page = tmp_path / "all.html"
    body = "".join(svg(drawing, foot="catalogue 00000000 revision 1") for drawing in drawings)
    page.write_text(f'<!doctype html><html lang="en"><title>all</title><body>{body}</body></html>', encoding="utf-8")
    browser.open(page, width=4000)
    assert browser.ask("return document.querySelectorAll('body > svg').length") == len(drawings)
    assert browser.ask(OUTSIDE) == []
    assert all(wide <= SIZES["A4"].room[0] for wide in [d.size[0] for d in drawings if not d.name.endswith("-cut")])
