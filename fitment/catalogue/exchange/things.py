"""Things, what ties them, and whose they are: taken in, filled in, never changed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import PurePath
from typing import Any

import sqlalchemy as sa

from fitment.catalogue.adopt import TRUST
from fitment.catalogue.cells import uid_of
from fitment.catalogue.dates import not_to_come
from fitment.catalogue.dictionary import part_kinds
from fitment.catalogue.exchange.files import Header
from fitment.catalogue.exchange.form import FIELDS, THINGS, Line
from fitment.catalogue.exchange.rows import NAMED, file_name
from fitment.catalogue.exchange.said import put_statement
from fitment.catalogue.exchange.union import NO_CODE, Union
from fitment.catalogue.schema import BuildItem, BuildSitting, Item, Paper, Permission, Shop
from fitment.errors import DataFault, FitmentError, nearest
from fitment.quantity.axes import parse_axes
from fitment.quantity.tools import find_tool

#: descriptions of which two may stand side by side: nothing is decided by them
_WORDS = {"vehicle": ("maker", "model", "years", "note"), "part": ("maker", "number", "name")}


def take_header(union: Union, header: Header, place: str) -> None:
    """Whose records come, and on what terms.

    Raises:
        DataFault: the shop has no code of its own, or one that another shop has.
    """
    line = Line("shop", {"code": header.shop, "catalogue": header.catalogue}, place)
    _shop(union, line)
    if header.catalogue != union.own_uid:
        terms = {"shop": header.shop, "text": header.permission, "dated": header.made}
        _permission(union, Line("permission", terms, place))


def _shop(union: Union, line: Line) -> None:
    code, uid = line.said["code"], line.said["catalogue"]
    if code == NO_CODE or not code.isalnum():
        raise DataFault(
            f'"{code}" is no code of a shop: others could not tell its records from their own',
            place=line.place,
            mending="the shop makes a catalogue with a code: fitment catalogue create --shop CODE",
            code="exchange-12",
        )
    query = sa.select(Shop.catalogue_uid).where(Shop.code == code)
    known = union.own_uid if code == union.pen.shop else union.pen.session.execute(query).scalar_one_or_none()
    if known is None:
        union.pen.session.add(Shop(code=code, catalogue_uid=uid))
        union.pen.added["shop"] += 1
    elif known != uid:
        whose = "of this catalogue" if code == union.pen.shop else "of a shop on record with another catalogue"
        raise union.otherwise(line, f"the code {code} is that {whose}")


def _permission(union: Union, line: Line) -> None:
    if line.said["shop"] == union.pen.shop:
        return
    uid = uid_of("permission", line.said["shop"], line.said["text"])
    if union.pen.session.execute(sa.select(Permission.id).where(Permission.uid == uid)).first() is None:
        union.pen.session.add(Permission(uid=uid, **line.said))
        union.pen.added["permission"] += 1


def take_things(union: Union, sort: str, lines: Sequence[Line]) -> None:
    """All records of a sort that have a reference.

    Raises:
        DataFault: one names what there is not, or is something else here.
    """
    for name, kind in FIELDS[sort].items():
        if kind.startswith("reference"):
            of = sort if name == "ref" else name
            union.look_ahead(of, {line.said[name] for line in lines if line.said[name]})
    for line in lines:
        try:
            _thing(union, sort, line)
        except FitmentError as fault:
            raise fault if fault.place else fault.at(line.place) from None
    union.pen.settle()


def _thing(union: Union, sort: str, line: Line) -> None:
    said = line.said
    if said["ref"].startswith(f"{NO_CODE}/"):
        raise DataFault(
            f"{said['ref']} is of no shop in particular: others could not tell it from their own",
            mending="the shop makes a catalogue with a code: fitment catalogue create --shop CODE",
            code="exchange-12",
        )
    _known_words(sort, said)
    fields: dict[str, Any] = {}
    for name, kind in FIELDS[sort].items():
        if name != "ref" and kind.startswith("reference"):
            fields[f"{name}_id"] = None if said[name] is None else union.need(line, name, name).id
        elif name != "ref":
            fields[name] = said[name]
    found = union.pen.find(NAMED[sort], said["ref"])
    if found is None:
        union.pen.put_later(NAMED[sort], said["ref"], **fields)
        return
    if found.id is None:
        union.pen.settle()
    for name, value in fields.items():
        if value not in ("", None, getattr(found, name)):
            _fill_in(union, line, found, name, value)


def _known_words(sort: str, said: Any) -> None:
    """Refuses words that this program's dictionary has not.

    Raises:
        DataFault: kind, axes or tool not known, or the day is yet to come.
    """
    if sort == "part" and (said["kind"] not in part_kinds() or said["kind"] == "vehicle"):
        mending = f"{nearest(said['kind'], part_kinds())}; or a newer program knows it"
        raise DataFault(f'kind of part "{said["kind"]}" is not known', mending=mending, code="exchange-13")
    if sort == "source" and said["kind"] not in TRUST:
        mending = nearest(said["kind"], TRUST)
        raise DataFault(f'kind of source "{said["kind"]}" is not known', mending=mending, code="source-01")
    if sort == "sitting":
        not_to_come(said["dated"])
        if said["axes"]:
            parse_axes(said["axes"])
        if said["tool"]:
            find_tool(said["tool"])


def _fill_in(union: Union, line: Line, found: Any, name: str, value: Any) -> None:
    old = getattr(found, name)
    if old in ("", None):
        setattr(found, name, value)
        union.pen.filled_in(found)
    elif name in _WORDS.get(line.sort, ()):
        first, other = sorted((old, value))
        if first != old:
            setattr(found, name, first)
            union.pen.filled_in(found)
        said = {"of_sort": line.sort, "of": line.said["ref"], "field": name, "text": other, "dated": "", "turn": 1}
        if put_statement(union, Line("statement", said, line.place), found):
            union.notes.append(f'{line.said["ref"]}: {name} is "{first}" and "{other}"; both are kept')
    elif name != "kit_file" or PurePath(old).name != value:
        told = name.removesuffix("_id").replace("_", " ")
        raise union.otherwise(line, f"{line.said['ref']} is on record here with another {told}")


def _fitted(union: Union, line: Line) -> None:
    part, vehicle = union.need(line, "part", "part"), union.need(line, "vehicle", "vehicle")
    union.pen.fitted(part, vehicle, line.said["position"])


def _build_item(union: Union, line: Line) -> None:
    build, item, role = union.need(line, "build", "build"), union.need(line, "item", "item"), line.said["role"]
    query = sa.select(BuildItem.item_id).where(BuildItem.build_id == build.id, BuildItem.role == role)
    there = union.pen.session.execute(query).scalar_one_or_none()
    if there is None:
        union.pen.session.add(BuildItem(build_id=build.id, item_id=item.id, role=role))
        union.pen.added["build item"] += 1
    elif there != item.id:
        other = union.pen.session.get_one(Item, there).reference
        raise union.otherwise(line, f"{build.reference} is on record here with {other} as {role}")


def _build_sitting(union: Union, line: Line) -> None:
    build, sitting = union.need(line, "build", "build"), union.need(line, "sitting", "sitting")
    key = {"build_id": build.id, "sitting_id": sitting.id}
    if union.pen.session.get(BuildSitting, key) is None:
        union.pen.session.add(BuildSitting(**key))
        union.pen.added["build sitting"] += 1


def _paper(union: Union, line: Line) -> None:
    owner = union.need(line, "of", line.said["of_sort"])
    of = {f"{line.said['of_sort']}_id": owner.id, "digest": line.said["content"]}
    paths = union.pen.session.execute(sa.select(Paper.path).filter_by(**of)).scalars()
    if line.said["path"] not in {file_name(path) for path in paths}:
        union.pen.session.add(Paper(path=line.said["path"], **of))
        union.pen.session.flush()
        union.pen.added["paper"] += 1


_LINKS: dict[str, Callable[[Union, Line], None]] = {
    **{"shop": _shop, "permission": _permission, "fitted-to": _fitted},
    **{"build-item": _build_item, "build-sitting": _build_sitting, "paper": _paper},
}


def take_links(union: Union, sort: str, lines: Sequence[Line]) -> None:
    """All records of a sort that tie things, or say whose they are.

    Raises:
        DataFault: one names what there is not, or is something else here.
    """
    for name, kind in FIELDS[sort].items():
        if kind == "reference" and name in THINGS:
            union.look_ahead(name, {line.said[name] for line in lines})
    for line in lines:
        _LINKS[sort](union, line)
    union.pen.settle()
