"""Three shops that know of each other, and the files that they gave: what each said of the same parts differs.

All of it is invented.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import sqlalchemy as sa

from fitment.catalogue.database import open_engine
from tests.support.shop import Shop

SHEETS = {
    "vehicle": "vehicle,maker,model\nV-1,Invented,One\nV-2,Invented,Two\n",
    "source": "source,kind,title\nS-own,own-measurement,bench\nS-other,other-measurement,a friend\n",
    "sitting": "sitting,who,date,source,tool\nT-1,AB,2026-01-02,S-own,\nT-2,CD,2026-02-03,S-other,\n",
    "rod-end": "rod-end,maker,number,fitted to,item,sitting,units,condition,"
    "shank.thread,shank.sex,shank.hand,stud.large\n"
    "RE-1,Nobody,N 1,V-1 left,,T-1,mm,new,M14x1.5,female,RH,15.00\n"
    "RE-1,,,,,T-2,mm,,,,,15.60\n"
    "RE-2,,,V-2,,T-1,mm,used,M12x1.25,female,LH,13.10\n"
    "RE-2,,,,,T-2,mm,,,,,13.70\n"
    "RE-3,,,,,T-1,mm,new,M14x1.5,female,RH,14.20\n",
    "item": "item,part,condition,welds\nRE-1a,RE-1,new,none\nRE-2a,RE-2,used,\n",
}
OWN = {
    "source": "source,kind,title\nS-own,own-measurement,bench\n",
    "sitting": "sitting,who,date,source\nT-9,EF,2026-03-04,S-own\n",
    "rod-end": "rod-end,maker,number,item,sitting,units,condition,shank.thread,shank.sex,shank.hand,stud.large\n"
    "RE-5,nobody,N-1,,T-9,mm,new,M14x1.5,female,RH,{own}\n"
    "NORTH/RE-1,,,,T-9,mm,new,,,,{of_north}\n",
}
KIT = 'name = "Two"\ntarget = "NORTH/V-1"\n\n[left]\nrod_end = "NORTH/RE-1"\n'


def _import(shop: Shop, sheets: dict[str, str], **values: str) -> None:
    for name, text in sheets.items():
        (shop.folder / f"{name}.csv").write_text(text.format(**values), encoding="utf-8")
    shop.done("import", *(shop.folder / f"{name}.csv" for name in sheets))


def _shop(folder: Path, code: str) -> Shop:
    (folder / code).mkdir()
    shop = Shop(f"sqlite:///{folder / code / 'catalogue.sqlite'}", folder / code)
    shop.done("catalogue", "create", "--shop", code)
    return shop


def uid_of(shop: Shop, entered: str) -> str:
    """The uid of the one reading that was so written."""
    engine = open_engine(shop.url)
    with engine.connect() as connection:
        found = connection.execute(sa.text("SELECT uid FROM reading WHERE entered = :it"), {"it": entered})
        uid: str = found.scalar_one()
    engine.dispose()
    return uid


def give(shop: Shop, name: str, *words: str | Path) -> Path:
    """A file that a shop gives."""
    path = shop.folder.parent / f"{name}.jsonl"
    shop.done("export", "--exchange", path, "--permission", f"{name}: pass on freely", *words)
    return path


def three_shops(folder: Path) -> tuple[dict[str, Shop], dict[str, Path]]:
    """Shops by code, and the files that they gave by name."""
    shops = {code: _shop(folder, code) for code in ("NORTH", "SOUTH", "EAST")}
    north, south, east = shops.values()
    _import(north, SHEETS)
    files = {"north-early": give(north, "north-early")}
    for shop, own, of_north in ((south, "15.02", "15.01"), (east, "15.04", "15.58")):
        shop.done("import", files["north-early"])
        _import(shop, OWN, own=own, of_north=of_north)
    thread = ["NORTH/RE-1", "stud", "large"]
    for shop, taken, reason in ((south, ("15.00", "15.01"), "gauged"), (east, ("15.60", "15.58"), "paint taken off")):
        take = ",".join(uid_of(shop, one) for one in taken)
        shop.done("reading", "decide", *thread, "--take", take, "--reason", reason, "--who", "EF")
        shop.done("reading", "withdraw", uid_of(shop, "14.20"), "--reason", f"wrong end, {reason}", "--who", "EF")
    for times in range(1, 6):  # each settles it anew on one day, the last one for 13.70
        take = uid_of(east, "13.70" if times % 2 else "13.10")
        why = ["--reason", f"gauged {times} times", "--who", "EF"]
        east.done("reading", "decide", "NORTH/RE-2", "stud", "large", "--take", take, *why)
    south.done("item", "add", "NORTH/RE-1a", "--part", "NORTH/RE-1", "--welds", "repaired", "--condition", "worn")
    east.done("item", "add", "NORTH/RE-1a", "--part", "NORTH/RE-1", "--welds", "none", "--condition", "used")
    south.done("vehicle", "add", "NORTH/V-1", "--years", "1961-66")
    east.done("vehicle", "add", "NORTH/V-1", "--years", "61 to 66")
    for shop in (south, east):
        shop.done("part", "join", "NORTH/RE-1", "RE-5", "--reason", "same number", "--who", "EF")
    south.done("part", "join", "RE-5", "NORTH/RE-1", "--undo", "--reason", "another forging", "--who", "EF")
    (north.folder / "two.toml").write_text(KIT, encoding="utf-8")
    files["north-kit"] = give(north, "north-kit", "--kit", north.folder / "two.toml")
    files["south"] = give(south, "south")
    files["south-part"] = give(south, "south-part", "--part", "NORTH/RE-1")
    files["east"] = give(east, "east")
    files["east-since"] = give(east, "east-since", "--since", "2026-03-01")
    paper = north.folder / "two.toml"
    north.done("build", "add", "B-1", "--kit", paper, "--item", "left.rod_end=RE-1a", "--paper", paper)
    read = ["build", "read", "B-1", "left.rod_end", "stud", "large=14.98 mm", "--sitting", "fit-1", "--who", "AB"]
    north.done(*read)
    north.done("import", files["south-part"])
    files["north-late"] = give(north, "north-late")
    files["north-car"] = give(north, "north-car", "--part", "V-1")
    return shops, files


def copied(shop: Shop, folder: Path) -> Shop:
    """The same catalogue in a folder of its own."""
    folder.mkdir()
    shutil.copy(shop.url.removeprefix("sqlite:///"), folder / "catalogue.sqlite")
    return Shop(f"sqlite:///{folder / 'catalogue.sqlite'}", folder)
