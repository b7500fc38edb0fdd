"""Invented catalogues of any size, for the benchmarks: every maker, vehicle, part and number in them is made up.

    .venv/bin/python benchmarks/invented_catalogue.py PARTS --into DIR [--seed N]

writes sheets that `fitment import` takes. `fill` writes the same parts straight into the tables of an SQLite file, for
the sizes at which sheets would take hours: what the rules of adoption would say is then written beside the readings.
Designations and sizes are drawn by a rank-power law: the commonest thread holds about a quarter of all, as real
catalogues are skewed.
"""

from __future__ import annotations

import argparse
import csv
import random
import sqlite3
import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import accumulate
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

from fitment.catalogue.dictionary import PartKind, leading_sizes, part_kinds
from fitment.catalogue.digest import moved, term
from fitment.catalogue.end_keys import far_end
from fitment.standards.thread_names import parse_thread
from fitment.standards.threads import Thread, all_threads

MAKERS = ("Fadrell", "Ombrick", "Quennet", "Sarvolt", "Tibbrow", "Uldane", "Vessock", "Wexnall", "Yorrin", "Zantrel")
#: what of a hundred parts is of each kind
SHARES = {
    "rod-end": 22,
    "tie-rod": 20,
    "inner-joint": 16,
    "knuckle": 14,
    "rack": 12,
    "universal-joint": 9,
    "intermediate-shaft": 7,
}
COMMON_THREADS = ("M14x1.5", "M12x1.25", "M16x1.5", "M12x1.5", "9/16-18 UNF", "1/2-20 UNF", "M10x1.25", "M18x1.5")
TAPERS = {"1:8": 1 / 8, "1:10": 1 / 10, "1:6": 1 / 6, "1:12": 1 / 12, "1:5": 1 / 5, "1:20": 1 / 20}
TEETH = (36, 40, 48, 44, 30, 28, 26, 32, 46, 24, 42, 34)
#: exponent of the rank-power law
POWER = 1.2

#: feature, dimension, number or word, standard uncertainty
Value = tuple[str, str, float | str, float | None]


@dataclass(frozen=True)
class Invented:
    """One invented part; `values` as the readings say them, `cones` the ratios that its gauge trials prove."""

    number: int
    kind: PartKind
    maker: str
    vehicle: int
    values: tuple[Value, ...]
    cones: dict[str, tuple[str, float]] = field(default_factory=dict)

    @property
    def reference(self) -> str:
        return f"P-{self.number}"


class Draw:
    """Draws parts, one after the other; the same seed gives the same parts."""

    def __init__(self, seed: int = 1):
        self._random = random.Random(seed)
        common = {name: parse_thread(name).thread for name in COMMON_THREADS}
        others = [one for one in all_threads() if 8 <= one.nominal <= 24 and one.designation not in common]
        self._threads: list[Thread] = [*common.values(), *others][:60]
        self._sizes = [12.0 + 0.5 * step for step in range(17)]
        self._random.shuffle(self._sizes)
        self._weights = {
            count: list(accumulate((rank + 1) ** -POWER for rank in range(count))) for count in (60, 17, 12, 10, 6)
        }
        self._kinds = list(SHARES)
        self._shares = list(accumulate(SHARES.values()))

    def _one(self, among: Any) -> Any:
        return self._random.choices(among, cum_weights=self._weights[len(among)])[0]

    def _near(self, middle: float, spread: float) -> float:
        return round(self._random.gauss(middle, spread), 2)

    def _thread(self, feature: str, sex: str) -> list[Value]:
        thread, hand = self._one(self._threads), "LH" if self._random.random() < 0.06 else "RH"
        return [
            (feature, "thread", thread.designation, None),
            (feature, "sex", sex, None),
            (feature, "hand", hand, None),
        ]

    def _spline(self, feature: str, sex: str) -> list[Value]:
        teeth = self._one(TEETH)
        size = "od" if sex == "male" else "minor"
        return [
            (feature, "spline", float(teeth), 0.0),
            (feature, "sex", sex, None),
            (feature, size, self._near(teeth * 0.47, 0.04), 0.0115),
        ]

    def part(self, number: int, vehicles: int) -> Invented:
        """One part, which came on one of so many vehicles."""
        kind = part_kinds()[self._random.choices(self._kinds, cum_weights=self._shares)[0]]
        cones: dict[str, tuple[str, float]] = {}
        values = getattr(self, f"_{kind.kind.replace('-', '_')}")(cones)
        return Invented(
            number, kind, self._one(MAKERS), int(vehicles * self._random.random() ** 2) + 1, tuple(values), cones
        )

    def _cone(self, feature: str, cones: dict[str, tuple[str, float]]) -> list[Value]:
        name = self._one(list(TAPERS))
        cones[feature] = (name, TAPERS[name])
        return [
            (feature, "gauge-trial", f"pass gauge {name}", None),
            (feature, "large", self._near(self._one(self._sizes), 0.06), 0.0115),
        ]

    def _rod_end(self, cones: dict[str, tuple[str, float]]) -> list[Value]:
        return [
            ("body", "centre", self._near(52, 4), 0.29),
            ("body", "housing-dia", self._near(33.5, 1), 0.0115),
            *self._thread("shank", "female"),
            ("shank", "depth", self._near(34, 2), 0.0115),
            *self._cone("stud", cones),
            ("stud", "thread", self._one(self._threads).designation, None),
            ("stud", "length", self._near(17, 0.3), 0.0115),
            ("stud", "thread-start", self._near(17.4, 0.2), 0.0115),
        ]

    def _tie_rod(self, cones: dict[str, tuple[str, float]]) -> list[Value]:
        return [
            ("body", "length", self._near(240, 30), 0.29),
            ("body", "rod-dia", self._near(14.2, 0.4), 0.0115),
            *self._thread("inner", "male"),
            ("inner", "depth", self._near(26, 1), 0.0115),
            *self._thread("outer", "male"),
            ("outer", "depth", self._near(50, 2), 0.0115),
            ("outer", "jam-nut", self._near(8, 0.2), 0.0115),
            ("body", "bend", 0.0, 0.29),
        ]

    def _inner_joint(self, cones: dict[str, tuple[str, float]]) -> list[Value]:
        return [
            ("body", "ball-offset", self._near(20, 1), 0.0115),
            ("body", "tilt", float(self._random.randint(26, 32)), 0.6),
            ("body", "centre", self._near(40, 3), 0.29),
            *self._thread("bar-side", "male"),
            ("bar-side", "depth", self._near(22, 1), 0.0115),
            *self._thread("rod-side", "female"),
            ("rod-side", "depth", self._near(26, 1), 0.0115),
            ("rod-side", "wall", self._near(5, 0.3), 0.0115),
        ]

    def _knuckle(self, cones: dict[str, tuple[str, float]]) -> list[Value]:
        return [
            ("body", "arm-length", self._near(124, 6), 0.29),
            ("body", "side", self._random.choice(("left", "right")), None),
            *self._cone("eye", cones),
            ("eye", "thick", self._near(18, 0.5), 0.0115),
            ("eye", "opens", self._random.choice(("down", "up")), None),
            ("eye", "profile", "tapered", None),
            ("eye", "boss-large", self._near(35, 1.5), 0.0115),
            ("eye", "boss-small", self._near(34.5, 1.5), 0.0115),
            ("eye", "machined", "none", None),
            ("eye", "material", "forged steel", None),
            ("eye", "welds", "none", None),
        ]

    def _rack(self, cones: dict[str, tuple[str, float]]) -> list[Value]:
        left = self._thread("bar-end.left", "female")
        return [
            ("body", "hand", self._random.choice(("LH", "RH")), None),
            ("body", "inner-spacing", self._near(600, 40), 0.58),
            ("body", "travel", self._near(140, 10), 0.58),
            ("body", "turns", self._near(3.4, 0.3), 0.02),
            *left,
            *(("bar-end.right", name, said, u) for _, name, said, u in left),
            *self._spline("pinion", "male"),
            ("mount", "centres", self._near(380, 30), 0.29),
        ]

    def _universal_joint(self, cones: dict[str, tuple[str, float]]) -> list[Value]:
        return [
            *self._spline("upper", "female"),
            ("upper", "bore-depth", self._near(25, 1), 0.0115),
            ("upper", "clamp", "pinch bolt through groove", None),
            *self._spline("lower", "female"),
            ("lower", "bore-depth", self._near(25, 1), 0.0115),
            ("lower", "clamp", "pinch bolt through groove", None),
            ("body", "swing-dia", self._near(43, 1), 0.0115),
            ("body", "phase", 0.0, 0.6),
        ]

    def _intermediate_shaft(self, cones: dict[str, tuple[str, float]]) -> list[Value]:
        return [
            *self._spline("upper", "male"),
            ("upper", "engagement", self._near(25, 1), 0.0115),
            *self._spline("lower", "male"),
            ("lower", "engagement", self._near(25, 1), 0.0115),
            ("body", "length", self._near(320, 40), 0.29),
            ("body", "phase", 0.0, 0.6),
            ("body", "section-dia", self._near(19, 1), 0.0115),
            ("body", "wall", self._near(3, 0.2), 0.0115),
        ]


def invented(parts: int, seed: int = 1) -> Iterator[Invented]:
    """So many invented parts, on one vehicle for every 40 of them."""
    draw = Draw(seed)
    return (draw.part(number, vehicles_of(parts)) for number in range(1, parts + 1))


def vehicles_of(parts: int) -> int:
    """How many vehicles a catalogue of so many parts has."""
    return max(parts // 40, 1)


# --- sheets


def _cell(dimension: str, said: float | str) -> str:
    """As a sheet has it: teeth ticked off, and every size confirmed, since some draws are unusual."""
    return said if isinstance(said, str) else f"{said:g} {'@count-ticked' if dimension == 'spline' else '!'}"


def write_sheets(parts: int, into: Path, seed: int = 1) -> list[Path]:
    """Writes the sheets of a catalogue; returns them in the order in which they depend on each other."""
    into.mkdir(parents=True, exist_ok=True)
    made = {
        "vehicle": [["vehicle", "maker", "model"]]
        + [[f"V-{n}", MAKERS[n % 10], f"Invented {n}"] for n in range(1, vehicles_of(parts) + 1)],
        "source": [["source", "kind", "title"], ["S-1", "own-measurement", "invented bench"]],
        "sitting": [["sitting", "who", "date", "source"], ["T-1", "AB", "2026-01-02", "S-1"]],
    }
    by_kind: dict[str, list[Invented]] = {}
    for one in invented(parts, seed):
        by_kind.setdefault(one.kind.kind, []).append(one)
    for kind, ones in by_kind.items():
        columns = list(dict.fromkeys((value[0], value[1]) for one in ones for value in one.values))
        rows = [[kind, "maker", "fitted to", "sitting", "units", "condition", *(".".join(c) for c in columns)]]
        for one in ones:
            cells = {value[:2]: _cell(value[1], value[2]) for value in one.values}
            row = [one.reference, one.maker, f"V-{one.vehicle}", "T-1", "mm", "new"]
            rows.append([*row, *(cells.get(column, "") for column in columns)])
        made[kind] = rows
    for name, rows in made.items():
        with (into / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows(rows)
    return [into / f"{name}.csv" for name in made]


# --- tables


def uid(number: int) -> str:
    """A uid, in the order of the numbers."""
    return f"{number:08x}-0000-5000-8000-{number:012x}"


def _near_key(one: Invented, feature: str, said: dict[str, float | str]) -> str | None:
    kind = one.kind.features[feature]
    if "thread" in said and kind != "stud":
        thread = THREADS.get(str(said["thread"])) or parse_thread(str(said["thread"])).thread
        return f"{thread.form} {thread.nominal:.4f}x{thread.pitch:.4f} {said['hand']} {said['sex']}"
    if "spline" in said:
        return f"teeth {said['spline']:.0f} {said['sex']}"
    return f"{kind} {said['hand']}" if kind == "rack-body" else kind


THREADS = {one.designation: one for one in all_threads()}


def summary_rows(one: Invented) -> list[tuple[Any, ...]]:
    """What the program would keep in its summary of ends, for one part."""
    by_end: dict[str, dict[str, float | str]] = {}
    doubts = {(feature, dimension): u for feature, dimension, _, u in one.values}
    for feature, dimension, said, _ in one.values:
        by_end.setdefault(feature, {})[dimension] = said
    keys = {feature: _near_key(one, feature, said) for feature, said in by_end.items()}
    rows = []
    for feature in sorted(by_end):
        said = by_end[feature]
        leading = leading_sizes().get(one.kind.features[feature], "")
        size, u = said.get(leading), doubts.get((feature, leading))
        taper = one.cones[feature][1] if feature in one.cones else None
        far = far_end(one.kind, feature)
        hand = said.get("hand") if said.get("hand") in ("LH", "RH") else None
        count = int(said["spline"]) if "spline" in said else None
        key, other = keys[feature], keys.get(far) if far else None
        head = (one.number, feature, one.kind.kind, key, other, size, u, taper)
        rows.append((*head, said.get("thread"), hand, said.get("sex"), count, None))
    return rows


READING = (
    "INSERT INTO reading (id, uid, part_id, sitting_id, feature, dimension, entered, bare_unit, number, u, word, tool,"
    " condition, note, occurrence) VALUES (?, ?, ?, 1, ?, ?, ?, ?, ?, ?, ?, ?, 'new', '', 0)"
)
ADOPTED = (
    "INSERT INTO adopted (part_id, feature, dimension, number, u, word, unit, basis, gap, hearsay, assumed, shape,"
    " shared, source, shown, readings) VALUES (?, ?, ?, ?, ?, ?, ?, 'measured', '', 0, 0, 'rectangular', '[]',"
    " 'invented bench, calliper', ?, ?)"
)
SUMMARY = (
    "INSERT INTO end_summary (part_id, feature, kind, near_key, far_key, size, size_u, taper, thread, hand, sex,"
    " spline_count, hole_count) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
)


def fill(file: Path, parts: int, seed: int = 1, batch: int = 20_000) -> int:
    """Writes a catalogue into an SQLite file that has its tables and nothing in them; returns how many readings."""
    connection = sqlite3.connect(file, isolation_level=None)
    for pragma in ("journal_mode=OFF", "synchronous=OFF", "cache_size=-200000", "foreign_keys=OFF"):
        connection.execute(f"PRAGMA {pragma}")
    indexes = connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'index' AND sql NOT NULL").fetchall()
    connection.execute("BEGIN")
    for name, _ in indexes:
        connection.execute(f"DROP INDEX {name}")
    vehicles = [(n, uid(n), f"V-{n}", MAKERS[n % 10], f"Invented {n}") for n in range(1, vehicles_of(parts) + 1)]
    connection.executemany(
        "INSERT INTO vehicle (id, uid, shop, ref, maker, model, years, note) VALUES (?, ?, 'OWN', ?, ?, ?, '', '')",
        vehicles,
    )
    connection.execute(
        "INSERT INTO source (id, uid, shop, ref, kind, title, origin, dated, note)"
        " VALUES (1, 's', 'OWN', 'S-1', 'own-measurement', 'invented bench', '', '', '')"
    )
    connection.execute(
        "INSERT INTO sitting (id, uid, shop, ref, who, dated, source_id, tool, datum, axes, ride_height, note)"
        " VALUES (1, 't', 'OWN', 'T-1', 'AB', '2026-01-02', 1, '', '', '', '', '')"
    )
    readings = total = 0
    held: list[Invented] = []
    for one in invented(parts, seed):
        held.append(one)
        if len(held) == batch or one.number == parts:
            readings, add = _write(connection, held, readings)
            total += add
            held.clear()
    for _, sql in indexes:
        connection.execute(sql)
    connection.execute("UPDATE catalogue SET revision = 1, digest = ?", (moved("0", total),))
    connection.execute("COMMIT")
    connection.execute("ANALYZE")
    connection.execute("PRAGMA journal_mode=WAL")
    connection.close()
    return readings


def _write(connection: sqlite3.Connection, parts: list[Invented], before: int) -> tuple[int, int]:
    """Writes a batch after so many readings; returns how many there are now, and what the digest grew by."""
    rows, adopted, total, count = [], [], 0, before
    for one in parts:
        for feature, dimension, said, u in one.values:
            count += 1
            name, word = uid(count), said if isinstance(said, str) else None
            number = None if word is not None else said
            unit = "" if word is not None else "mm"
            rows.append((count, name, one.number, feature, dimension, str(said), unit, number, u, word, "calliper"))
            shown, readings = word or f"{number:.2f} mm", f'["{name}"]'
            told = dimension if dimension != "gauge-trial" else f"gauge-trial {one.cones[feature][0]}"
            adopted.append((one.number, feature, told, number, u, word, unit, shown, readings))
            total += term("reading", name)
            if feature in one.cones and dimension == "gauge-trial":
                cone, ratio = one.cones[feature]
                adopted.append((one.number, feature, "taper", ratio, 0.0005, None, "", cone, readings))
    connection.executemany(
        "INSERT INTO part (id, uid, shop, ref, kind, maker, number, name) VALUES (?, ?, 'OWN', ?, ?, ?, '', '')",
        [(one.number, uid(one.number), one.reference, one.kind.kind, one.maker) for one in parts],
    )
    fitted = [(one.number, one.vehicle) for one in parts]
    connection.executemany("INSERT INTO fitted_to (part_id, vehicle_id, position) VALUES (?, ?, '')", fitted)
    connection.executemany(READING, rows)
    connection.executemany(ADOPTED, adopted)
    connection.executemany(SUMMARY, [row for one in parts for row in summary_rows(one)])
    return count, total


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("parts", type=int, help="how many parts")
    parser.add_argument("--into", type=Path, required=True, help="folder for the sheets")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    print(" ".join(str(path) for path in write_sheets(asked.parts, asked.into, asked.seed)))


if __name__ == "__main__":
    main()
