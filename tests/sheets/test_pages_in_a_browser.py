"""Pages to hand over, opened in a real browser and printed: nothing asked for from outside, nothing cut off, nothing
that a screen reader trips over, the right number on every page, and hostile names shown as they are written."""

from __future__ import annotations

import csv
import json
import re
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any
from unicodedata import normalize

import pytest

from fitment.cli.main import answer
from tests.support.browser import Browser
from tests.support.demo_shop import demo_catalogue, demo_kit

pytestmark = pytest.mark.browser

#: CSS pixels of the room inside the margins of A4, which is the narrower: 186 mm
ROOM = 703
LONG = "Wiederholgenauigkeitszwischenwellen" * 9
MARKUP = '<script>document.title="taken"</script><b onmouseover=alert(1)>&amp; "both" \'quotes\' {{ 7*7 }}'
RIGHT_TO_LEFT = "מסרק היגוי 17 مثبت"
NAME = f'</style>"; $x^2$ {MARKUP} {LONG}'
EMOJI = "🛞🔧👩🏽‍🔧"
HOSTILE = {
    "name": MARKUP,
    "maker": RIGHT_TO_LEFT,
    "number": LONG,
    "note": EMOJI,
    "title": MARKUP,
    "model": EMOJI,
    "years": "=1+1",
}

#: text wider than its box, and boxes wider than the page: the start of each
CUT_OFF = """
const found = [];
document.querySelectorAll("figure").forEach(one => one.remove());  // a drawing is as wide as its scale makes it
for (const one of document.querySelectorAll("th, td, li, p, h1, h2, h3, h4, caption, figcaption"))
  if (one.scrollWidth > one.clientWidth + 1 || one.getBoundingClientRect().right > document.body.clientWidth + 1)
    found.push(one.tagName + ": " + one.textContent.slice(0, 60));
if (document.documentElement.scrollWidth > window.innerWidth) found.push("the page is wider than its window");
return found;
"""

#: cells in which a sentence runs down letter by letter: the start of each
SQUEEZED = """
return [...document.querySelectorAll("th, td")].filter(one => one.textContent.length > 20 && one.clientWidth < 50)
  .map(one => one.textContent.slice(0, 60));
"""


#: pages of the second kit that are looked at where all others are made of the same blocks as the first kit's
_OF_THE_SECOND = {"report", "fit-report", "parts-list", "measurement-request"}


@dataclass(frozen=True)
class Handed:
    """A folder that was handed over: its pages by name."""

    folder: Path
    paper: str
    name: str

    @property
    def pages(self) -> list[Path]:
        return sorted(self.folder.glob("*.html"))

    @property
    def unlike(self) -> list[Path]:
        """Its pages, of a second kit only the one that holds all documents and those that no other kit has or fills."""
        return [page for page in self.pages if self.paper == "A4" or page.stem in _OF_THE_SECOND]


def hand_over(db: str, kit: Path, into: Path, name: str, paper: str = "A4") -> Handed:
    assert answer(["sheet", str(kit), "--into", str(into), "--paper", paper, "--db", db, "-q"]) == 0
    return Handed(into, paper, name)


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Handed:
    """Everything, of a kit with every part; its own documents and all in one."""
    folder = tmp_path_factory.mktemp("whole")
    return hand_over(demo_catalogue(folder), demo_kit("fits-outright"), folder / "sheets", "Fits outright")


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Handed:
    """An undecided kit of a catalogue whose names are meant to break a page, on Letter."""
    folder = tmp_path_factory.mktemp("hostile")

    def changed(_: str, column: str, cell: str) -> str:
        return HOSTILE.get(column, cell) if cell else cell

    db = demo_catalogue(folder, changed)
    kit = folder / "kit.toml"
    text = demo_kit("known-in-six").read_text(encoding="utf-8")
    kit.write_text(re.sub(r"(?m)^name = .*$", lambda _: f"name = {json.dumps(NAME)}", text), encoding="utf-8")
    return hand_over(db, kit, folder / "sheets", NAME, paper="letter")


@pytest.fixture(params=["whole", "hostile"])
def handed(request: pytest.FixtureRequest) -> Handed:
    found: Handed = request.getfixturevalue(request.param)
    return found


def test_nothing_is_cut_off_on_paper_or_on_a_phone(browser: Browser, handed: Handed) -> None:
    for page in handed.pages:
        browser.open(page, width=ROOM, media="print")
        assert browser.ask(CUT_OFF) == [], page.name
        browser.open(page, width=360)
        assert browser.ask("return document.documentElement.scrollWidth") <= 360, page.name
        assert browser.ask(SQUEEZED) == [], page.name
        assert browser.ask("return parseFloat(getComputedStyle(document.body).fontSize)") >= 14


def test_nothing_is_asked_for_from_outside_and_nothing_runs(browser: Browser, handed: Handed) -> None:
    for page in handed.pages:
        browser.open(page)
        assert browser.ask("return performance.getEntriesByType('resource').map(one => one.name)") == []
        assert browser.ask("return document.querySelectorAll('script, link, iframe, object, embed, img').length") == 0
        assert browser.ask("return document.title").startswith("fitment: ")
        assert browser.complaints() == []


def test_a_screen_reader_and_a_keyboard_find_their_way(browser: Browser, handed: Handed) -> None:
    for page in handed.unlike:
        browser.open(page)
        headings = browser.ask("return [...document.querySelectorAll('h1,h2,h3,h4,h5')].map(one => +one.tagName[1])")
        assert headings.count(1) == 1
        assert all(after <= before + 1 for before, after in pairwise(headings)), page.name
        assert browser.ask("return [...document.querySelectorAll('table')].every(one => one.caption)")
        assert browser.ask("return [...document.querySelectorAll('th')].every(one => one.scope)")
        # the long pages repeat the same rows, over which axe-core takes minutes: of them the drawings alone
        if page.stat().st_size < _LONG:
            assert browser.violations() == [], page.name
        elif browser.ask("return document.querySelector('figure') !== null"):
            assert browser.violations("figure") == [], page.name


#: bytes of a page that axe-core takes long over
_LONG = 100_000


def test_hostile_names_are_shown_as_they_are_written(browser: Browser, hostile: Handed) -> None:
    browser.open(hostile.folder / "parts-list.html")
    shown = re.sub(r"\s+", " ", browser.ask("return document.body.innerText"))
    for name in (MARKUP, RIGHT_TO_LEFT, LONG):
        assert name in shown
    with (hostile.folder / "parts-list.csv").open(encoding="utf-8", newline="") as table:
        rows = list(csv.DictReader(table))
    assert {row["description"] for row in rows} == {MARKUP}
    assert {row["donor years"] for row in rows} == {" =1+1"}  # no formula for a spreadsheet
    browser.open(hostile.folder / "report.html")
    assert EMOJI in browser.ask("return document.body.innerText")
    assert browser.ask("return document.querySelectorAll('b, [onmouseover]').length") == 0


def test_every_printed_page_has_its_number_the_revision_and_the_digest(browser: Browser, handed: Handed) -> None:
    from pypdf import PdfReader

    size = {"A4": (595, 842), "letter": (612, 792)}[handed.paper]
    for page in handed.unlike:
        stamp = re.search(
            r"catalogue \w{8} revision \d+, readings \w{12}; kit file \w{12}; report \w{8}", page.read_text("utf-8")
        )
        assert stamp is not None
        browser.open(page)
        printed = PdfReader(browser.printed()).pages
        last = len(printed)
        for number in sorted({1, 2, last // 2, last} & set(range(1, last + 1))):
            one = printed[number - 1]
            text = normalize("NFKC", re.sub(r"\s+", " ", one.extract_text()))
            assert f"page {number} of {last}" in text
            assert stamp[0] in text
            assert handed.name[:13] in text[:100]
            box = sorted((round(float(one.mediabox.width)), round(float(one.mediabox.height))))
            assert all(abs(a - b) <= 1 for a, b in zip(box, size, strict=True))
        assert len(printed) <= _MOST.get(page.stem, 400), page.name


#: pages that a document of a whole kit may fill before somebody has to cut it
_MOST: dict[str, Any] = {"parts-list": 6, "set-up": 10, "alignment": 6, "road-test": 3, "strip-down": 6, "dossier": 6}


def test_the_pages_for_the_yard_are_of_the_same_make(browser: Browser, tmp_path: Path) -> None:
    import html5lib

    db = demo_catalogue(tmp_path)
    into = tmp_path / "yard"
    assert answer(["template", "rack", "--print", "--full", "--into", str(into)]) == 0
    assert answer(["template", "vehicle", "--print", "--into", str(into)]) == 0
    assert answer(["donors", "rack", "--wanted", "NORTH/V-1", "--into", str(into), "--db", db]) == 0
    words = ["measure-next", str(demo_kit("hand-unknown")), "--print", "--into", str(into), "--db", db]
    assert answer(words) == 0
    pages = sorted(into.glob("*.html"))
    assert len(pages) == 4
    for page in pages:
        html5lib.HTMLParser(strict=True).parse(page.read_text(encoding="utf-8"))
        browser.open(page, width=ROOM, media="print")
        assert browser.ask(CUT_OFF) == [], page.name
        browser.open(page)
        assert browser.violations() == [], page.name
        assert browser.complaints() == []
