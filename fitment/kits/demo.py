"""The invented scenario that travels with the program: its catalogue built from sheets, its kits checked."""

from __future__ import annotations

import shutil
import uuid
from pathlib import Path

from fitment.catalogue.book import open_catalogue
from fitment.catalogue.database import create
from fitment.catalogue.importing import import_files
from fitment.errors import UsageFault
from fitment.kits.check import check
from fitment.kits.kit_file import load_kit
from fitment.kits.report import Report
from fitment.shipped import shipped

#: fixed, so that the demo's reports are the same on every machine
_UID = str(uuid.uuid5(uuid.NAMESPACE_URL, "fitment demo"))


def build_demo(folder: Path, replace: bool = False) -> list[tuple[str, Report]]:
    """Makes `folder` with the catalogue, the sheets and the kits; returns each kit's stem and report.

    Raises:
        UsageFault: the folder holds something (an earlier demo is replaced only on request).
    """
    database = folder / "catalogue.sqlite"
    if folder.exists() and any(folder.iterdir()):
        if not (replace and database.is_file() and (folder / "kits").is_dir()):
            mending = "say --yes to replace it" if database.is_file() else "name a new folder with --into"
            raise UsageFault("the folder is not empty", place=str(folder), mending=mending, code="demo-01")
        shutil.rmtree(folder)
    source = shipped("demo")
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "sheets").mkdir()
    for sheet in sorted(source.glob("*.csv")):
        shutil.copy(sheet, folder / "sheets")
    shutil.copytree(source / "kits", folder / "kits")
    engine = create(f"sqlite:///{database}", shop="NORTH", uid=_UID)
    import_files(engine, sorted((folder / "sheets").glob("*.csv")))
    engine.dispose()
    with open_catalogue(database) as book:
        return [(path.stem, check(load_kit(path), book)) for path in sorted((folder / "kits").glob("*.toml"))]
