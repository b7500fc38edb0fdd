"""Builds: a kit as really fitted to a car, with the items that took its roles, its reports, readings and papers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from pathlib import Path

import sqlalchemy as sa

from fitment.catalogue.database import open_engine
from fitment.catalogue.dates import today
from fitment.catalogue.entering import Entered, checked_date, checked_who
from fitment.catalogue.keeping import Given, put_report
from fitment.catalogue.papers import put_paper
from fitment.catalogue.records import Pen, writing
from fitment.catalogue.schema import (
    Build,
    BuildItem,
    BuildReport,
    BuildSitting,
    Item,
    Vehicle,
)
from fitment.catalogue.typed import keep_typed, typed_sitting
from fitment.errors import DataFault, NotFoundFault, nearest
from fitment.frozen import dataclass


@dataclass(frozen=True)
class BuildWords:
    """What is said of a build; `items` by the place in the kit that each took (``left.rod_end``)."""

    reference: str
    vehicle: str
    kit: str
    kit_file: str
    kit_digest: str
    kit_text: str
    dated: str = ""
    who: str = ""
    note: str = ""
    items: Mapping[str, str] = field(default_factory=dict)
    papers: tuple[Path, ...] = ()


def put_build(pen: Pen, said: BuildWords) -> Build:
    """Adds a build, or finds it there and fills in what was left open (items, note, who, papers).

    Raises:
        DataFault: it is there and says something else.
        NotFoundFault: the vehicle, an item or a paper is not there.
    """
    found = pen.find(Build, said.reference)
    if found is not None and found.kit_digest != said.kit_digest:
        raise DataFault(
            f"{found.reference} is there already with another kit file (SHA-256 {found.kit_digest[:12]})",
            mending="a build keeps its kit as it was: use another reference",
            code="build-01",
        )
    dated = checked_date(said.dated) if said.dated else "" if found is not None else today()
    fields = {"vehicle_id": pen.need(Vehicle, said.vehicle).id, "dated": dated}
    fields |= {"who": checked_who(said.who), "note": said.note}
    if found is None:
        fields |= {"kit": said.kit, "kit_file": said.kit_file, "kit_digest": said.kit_digest, "kit_text": said.kit_text}
    build: Build = pen.put(Build, said.reference, **fields)
    for role, reference in said.items.items():
        _put_item(pen, build, role, pen.need(Item, reference))
    for paper in said.papers:
        put_paper(pen, paper, build)
    return build


def _put_item(pen: Pen, build: Build, role: str, item: Item) -> None:
    there = pen.session.execute(
        sa.select(BuildItem.item_id).where(BuildItem.build_id == build.id, BuildItem.role == role)
    ).scalar_one_or_none()
    if there is None:
        pen.session.add(BuildItem(build_id=build.id, item_id=item.id, role=role))
        pen.session.flush()
        pen.added["build item"] += 1
    elif there != item.id:
        other = pen.session.get_one(Item, there).reference
        raise DataFault(
            f"{build.reference} has {other} as {role} already, not {item.reference}",
            mending="a build says what was fitted: use another reference for what was fitted later",
            code="build-02",
        )


def _item_in(pen: Pen, build: Build, role: str) -> Item:
    """The item that took a role in a build.

    Raises:
        NotFoundFault: none is named, with the roles that have one.
    """
    query = sa.select(BuildItem.role, BuildItem.item_id).where(BuildItem.build_id == build.id)
    items = {row.role: row.item_id for row in pen.session.execute(query)}
    if role not in items:
        how = f"fitment build add {build.reference} --kit FILE --item {role}=ITEM names it"
        raise NotFoundFault(
            f"{build.reference} names no item as {role}",
            mending=f"{nearest(role, items)}; {how}" if items else how,
            code="build-03",
        )
    return pen.session.get_one(Item, items[role])


def _link(pen: Pen, table: type[BuildReport] | type[BuildSitting], **key: int) -> None:
    """Ties a report or a sitting to a build, once."""
    if pen.session.get(table, key) is None:
        pen.session.add(table(**key))
        pen.session.flush()


def add_build(place: str | None, said: BuildWords, given: Given, dry_run: bool) -> tuple[str, str]:
    """Adds a build and keeps its report; returns the build's reference and the report's uid.

    Raises:
        DataFault, NotFoundFault: as `put_build`; nothing was kept.
    """
    engine = open_engine(place)
    try:
        with writing(engine, dry_run) as pen:
            build = put_build(pen, said)
            report = put_report(pen.session, given)
            _link(pen, BuildReport, build_id=build.id, report_id=report.id)
            told = build.reference, report.uid
    finally:
        engine.dispose()
    return told


def keep_build_report(place: str | None, reference: str, given: Given, dry_run: bool) -> str:
    """Keeps another report of a build; the catalogue's revision does not rise. Returns the report's uid.

    Raises:
        NotFoundFault: there is no such build.
    """
    engine = open_engine(place)
    try:
        with writing(engine, dry_run) as pen:
            build, report = pen.need(Build, reference), put_report(pen.session, given)
            _link(pen, BuildReport, build_id=build.id, report_id=report.id)
            uid = report.uid
    finally:
        engine.dispose()
    return uid


def add_as_built(
    place: str | None,
    reference: str,
    role: str,
    feature: str,
    pairs: list[str],
    sitting: str,
    who: str | None,
    tool: str | None,
    condition: str,
    system: str | None,
    papers: tuple[Path, ...],
    dry_run: bool,
) -> tuple[list[Entered], str | None]:
    """Adds readings taken on the item that took a role in a build; returns what `add_typed` returns.

    Raises:
        NotFoundFault: no such build, or no item in that role.
        Faults: every fault of every pair; nothing was kept.
    """
    engine = open_engine(place)
    try:
        with writing(engine, dry_run) as pen:
            build = pen.need(Build, reference)
            item = _item_in(pen, build, role)
            where, made = typed_sitting(pen, sitting, who, "own-measurement", tool)
            kept = keep_typed(pen, item, feature, pairs, where, condition, system)
            _link(pen, BuildSitting, build_id=build.id, sitting_id=where.id)
            for paper in papers:
                put_paper(pen, paper, where)
    finally:
        engine.dispose()
    return kept, made
