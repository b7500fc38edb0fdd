"""A small catalogue of invented parts, on each kind of database."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pytest
from sqlalchemy.engine import Engine

from fitment.catalogue.database import create
from fitment.catalogue.importing import import_sheets
from fitment.catalogue.sheet_text import parse_sheet

SOURCES = "source,kind,title,origin\nS-own,own-measurement,bench,\nS-other,other-measurement,another shop,\n"
SOURCES += (
    "S-man,manual,workshop manual,\nS-list,listing,an advert,\nS-f1,forum,a post,post 7\nS-f2,forum,its copy,post 7\n"
)
SITTINGS = "sitting,who,date,source,tool\nT1,AB,2026-01-02,S-own,\nT2,CD,2026-02-03,S-other,\nT3,AB,2026-02-04,S-man,\n"
SITTINGS += "T4,AB,2026-02-05,S-list,\nT5,EF,2026-02-06,S-f1,\nT6,EF,2026-02-07,S-f2,\n"
HEAD = "rod-end,name,item,sitting,units,condition,"

Fill = Callable[..., dict[str, int]]


@pytest.fixture
def engine(database_url: str) -> Iterator[Engine]:
    """An empty catalogue of shop OWN."""
    made = create(database_url)
    yield made
    made.dispose()


@pytest.fixture
def fill(engine: Engine) -> Fill:
    """Takes sheets (text, or lines of a rod-end sheet after its plain columns) into the catalogue."""

    def take(*texts: str, dry_run: bool = False) -> dict[str, int]:
        sheets = [parse_sheet(text, f"sheet{number}.csv") for number, text in enumerate((SOURCES, SITTINGS, *texts), 1)]
        return dict(import_sheets(engine, sheets, dry_run).added)

    return take
