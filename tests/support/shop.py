"""A small shop through the command line: one car, a tie rod and a rod end that screw together, an item of each."""

from __future__ import annotations

import io
import json
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from fitment.cli.main import answer

# invented, as are all cars, parts and shops of the tests
SHEETS = {
    "vehicle": "vehicle,maker,model\nV-1,Invented,One\nV-2,Invented,Two\n",
    "source": "source,kind,title\nS-own,own-measurement,bench\n",
    "sitting": "sitting,who,date,source\nT-1,AB,2026-01-02,S-own\n",
    "tie-rod": "tie-rod,sitting,units,condition,outer.thread,outer.sex,outer.hand,outer.depth\n"
    "TR-1,T-1,mm,new,M14x1.5,male,RH,52\n",
    "rod-end": "rod-end,sitting,units,condition,shank.thread,shank.sex,shank.hand,shank.depth\n"
    "RE-1,T-1,mm,new,M14x1.5,female,RH,38\nRE-2,T-1,mm,new,M14x1.5,female,RH,30\n",
    "item": "item,part,condition\nTR-1a,TR-1,new\nRE-1a,RE-1,new\nRE-1b,RE-1,used\nRE-2a,RE-2,new\n",
}
KIT = 'name = "Two of a rod"\ntarget = "V-1"\n\n[left]\ntie_rod = "TR-1"\nrod_end = "RE-1"\n'


@dataclass(frozen=True)
class Said:
    """What a command answered."""

    code: int
    out: str
    err: str

    @property
    def told(self) -> Any:
        """The object on stdout."""
        return json.loads(self.out)


@dataclass(frozen=True)
class Shop:
    """A catalogue of its own, at a URL, and a folder for files."""

    url: str
    folder: Path

    @property
    def kit(self) -> Path:
        return self.folder / "rod.toml"

    def __call__(self, *words: str | Path) -> Said:
        out, err = io.StringIO(), io.StringIO()
        with redirect_stdout(out), redirect_stderr(err):
            code = answer([*map(str, words), "--db", self.url])
        return Said(code, out.getvalue(), err.getvalue())

    def done(self, *words: str | Path) -> Said:
        """The answer of a command that must not fail."""
        said = self(*words)
        assert said.code == 0, said
        return said

    def readings(self, reference: str) -> dict[str, str]:
        """Uid by feature and dimension, of one thing."""
        found = self.done("reading", "list", reference, "--json").told["readings"]
        return {f"{one['feature']} {one['dimension']}": one["uid"] for one in found}

    def keep(self, kit: Path | None = None) -> dict[str, Any]:
        """Keeps the report of a kit; what the list says of it."""
        assert self("check", kit or self.kit, "--keep").code == 4
        kept: dict[str, Any] = self.done("report", "list", "--json").told["reports"][-1]
        return kept


def open_shop(url: str, folder: Path) -> Shop:
    """A shop NORTH with its sheets taken in and its kit written."""
    shop = Shop(url, folder)
    shop.kit.write_text(KIT, encoding="utf-8")
    if url.startswith("sqlite:///"):
        Path(url.removeprefix("sqlite:///")).write_bytes(_filled())
    else:
        _fill(shop)
    return shop


def _fill(shop: Shop) -> None:
    shop.done("catalogue", "create", "--shop", "NORTH")
    for name, text in SHEETS.items():
        (shop.folder / f"{name}.csv").write_text(text, encoding="utf-8")
    shop.done("import", *(shop.folder / f"{name}.csv" for name in SHEETS))


@cache
def _filled() -> bytes:
    """The file of such a shop, made once."""
    with TemporaryDirectory() as folder:
        file = Path(folder) / "shop.sqlite"
        _fill(Shop(f"sqlite:///{file}", Path(folder)))
        return file.read_bytes()
