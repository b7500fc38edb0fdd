"""Every fastener that the kit's parts name, from ``fasteners.csv``: thread, spanner, class, locking, and torque only
where it has a source. A torque of a taper, a jam nut, a pinch bolt or a seat is never worked out here."""

from __future__ import annotations

import csv
import re
from fnmatch import fnmatchcase
from functools import cache
from pathlib import Path

from fitment.errors import DataFault
from fitment.frozen import dataclass
from fitment.joints.registration import Feature
from fitment.quantity.show import show_quantity
from fitment.sheets.context import SheetContext
from fitment.standards.fasteners import across_flats
from fitment.standards.thread_names import parse_thread
from fitment.standards.threads import Thread
from fitment.standards.tightening import tightening

#: friction taken for the limit of a clamp bolt: lightly oiled, which gives the lowest torque of the usual range
_OILED = 0.10
#: newton metres of one pound-force foot
_POUND_FOOT = 1.3558179483314004


@dataclass(frozen=True)
class FastenerRow:
    """A row of the table; `on` are addresses of parts, the rest names of dimensions of `feature`, "" for none."""

    title: str
    on: tuple[str, ...]
    feature: str
    thread: str
    strength: str
    locking: str
    flats: str
    lubrication: str
    kind: str
    once: str
    torque_from: str


@dataclass(frozen=True)
class Fastener:
    """A fastener of the kit.

    Attributes:
        title: with the side where it has one.
        part: reference of the part that it belongs to.
        thread, spanner, strength, locking: as recorded; "" where they are not.
        lubrication: what is known of it.
        once: what of it is used once; "" for nothing.
        torque: a limit with its source, or that there is none and where to get one.
    """

    title: str
    part: str
    thread: str
    spanner: str
    strength: str
    locking: str
    lubrication: str
    once: str
    torque: str


@cache
def fastener_rows() -> tuple[FastenerRow, ...]:
    """Every row in the order of assembly."""
    with Path(__file__).with_name("fasteners.csv").open(encoding="utf-8", newline="") as table:
        return tuple(
            FastenerRow(
                title=row["title"],
                on=tuple(row["on"].split()),
                feature=row["feature"],
                thread=row["thread"],
                strength=row["class"],
                locking=row["locking"],
                flats=row["flats"],
                lubrication=row["lubrication"],
                kind=row["kind"],
                once=row["once"],
                torque_from=row["from"],
            )
            for row in csv.DictReader(table, strict=True)
        )


def fasteners(context: SheetContext) -> tuple[Fastener, ...]:
    """The fasteners of the kit's parts, in the order of assembly, left before right."""
    found = []
    for row in fastener_rows():
        for address, part in context.assembly.found.items():
            if not any(fnmatchcase(address, asked) for asked in row.on) or row.feature not in part.features:
                continue
            if (
                row.title.startswith("inner joint on the rod")
                and address.replace("tie_rod", "inner_joint") in context.parts
            ):
                continue
            side = address.partition(".")[0]
            title = f"{side} {row.title}" if side in ("left", "right") else row.title
            if address.startswith("mounting.mount_"):
                title = f"{address.removeprefix('mounting.mount_')} {row.title}"
            found.append(_fastener(context, row, title, part.name, part.features[row.feature]))
    return tuple(found)


def _fastener(context: SheetContext, row: FastenerRow, title: str, part: str, feature: Feature) -> Fastener:
    def said(dimension: str) -> str:
        use = feature.get(dimension) if dimension else None
        return "" if use is None else context.shown(use.shown or str(use.value))

    thread = _thread(said(row.thread))
    flats = re.sub(r"\.0+(?= mm)", "", said(row.flats))
    spanner = f"{flats} across flats" if flats else ""
    # flats of a shank are those of the rod end, not of the nut; a stud's nut is the maker's own
    if row.kind in ("jam", "taper", "seat"):
        spanner = f"{spanner} (of the part itself)" if spanner else ""
    elif thread is not None:
        spanner = _sizes(thread.nominal)
    strength = said(row.strength)
    torque = f"no sourced value: get one from the {row.torque_from}"
    if row.kind == "clamp" and (limit := _limit(context, thread, strength)):
        torque = f"{limit}; no sourced value for the joint: get one from the {row.torque_from}"
    return Fastener(
        title, part, said(row.thread), spanner, strength, said(row.locking), row.lubrication, row.once, torque
    )


def _sizes(nominal: float) -> str:
    """The spanners that its head or nut may want, ``13 mm or 12 mm``; "" where none is held."""
    sizes = [f"{one.flats_text} {'mm' if one.size.startswith('M') else 'in'}" for one in across_flats(nominal)]
    return " or ".join(dict.fromkeys(sizes))


def _thread(text: str) -> Thread | None:
    try:
        return parse_thread(text).thread if text else None
    except DataFault:
        return None


def _limit(context: SheetContext, thread: Thread | None, strength: str) -> str:
    """What a clamp bolt itself stands, with its source; "" where nothing sourced says so."""
    if thread is None or not strength or _in_soft_metal(context):
        return ""
    try:
        torque = tightening(thread, strength, _OILED).torque
    except DataFault:
        return ""
    newton, pound = show_quantity(torque, "torque"), f"{torque / _POUND_FOOT:.0f} lbf·ft"
    return (
        f"never above {newton} ({pound}), which is the bolt alone: VDI 2230, class {strength}, 90 % of yield, "
        f"friction {_OILED:.2f}, steel nut of its class"
    )


def _in_soft_metal(context: SheetContext) -> bool:
    """Whether the crossmember's own thread holds the bolts, or its metal is not told to be steel."""
    crossmember = context.assembly.found.get("mounting.crossmember")
    if crossmember is None:
        return True
    captive = any(feature.get("captive") is not None for feature in crossmember.features.values())
    metals = [str(use.value).lower() for one in crossmember.features.values() if (use := one.get("material"))]
    return captive or not metals or not all("steel" in metal for metal in metals)


def one_time(context: SheetContext) -> tuple[tuple[str, str, str], ...]:
    """What is used once: what, where, how many."""
    counted: dict[tuple[str, str], int] = {}
    for one in fasteners(context):
        if one.once:
            place = one.title.removeprefix("left ").removeprefix("right ")
            counted[one.once, place] = counted.get((one.once, place), 0) + 1
    return tuple((what, place, f"{count} place{'s' if count > 1 else ''}") for (what, place), count in counted.items())
