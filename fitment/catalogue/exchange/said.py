"""What was said of things: readings, withdrawals, decisions, statements, joins. Added, never changed."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Sequence
from typing import Any

import sqlalchemy as sa

from fitment.catalogue.cells import uid_of
from fitment.catalogue.dictionary import find_dimension, find_feature
from fitment.catalogue.entering import kind_of
from fitment.catalogue.exchange.form import SUBJECTS, Line
from fitment.catalogue.exchange.union import Union
from fitment.catalogue.register import subject_column
from fitment.catalogue.schema import DecisionRow, FurtherWithdrawal, Part, PartJoin, Reading, Statement, Withdrawal
from fitment.catalogue.taking_things import CONDITIONS
from fitment.catalogue.values import StoredValue, read_values
from fitment.errors import DataFault, FitmentError


def take_said(union: Union, sort: str, lines: Sequence[Line]) -> None:
    """All records of a sort that say something.

    Raises:
        DataFault: one names what there is not, or does not say what it rests on.
    """
    for of in SUBJECTS:
        union.look_ahead(of, {line.said["of"] for line in lines if line.said.get("of_sort") == of})
    if sort == "reading":
        union.look_ahead("sitting", {line.said["sitting"] for line in lines})
    try:
        _TAKE[sort](union, lines)
    except FitmentError as fault:
        raise fault if fault.place else fault.at(lines[0].place) from None
    union.pen.settle()


def _readings(union: Union, lines: Sequence[Line]) -> None:
    known = union.on_record("reading", "uid", {line.uid for line in lines})
    for line in lines:
        uid = line.uid
        if uid in known:
            if known[uid].digest != line.digest:
                raise union.otherwise(line, f"reading {uid[:8]} is on record here with another value")
            continue
        thing, sitting = union.need(line, "of", line.said["of_sort"]), union.need(line, "sitting", "sitting")
        try:
            _as_entered(union, line, thing)
        except FitmentError as fault:
            raise fault if fault.place else fault.at(line.place) from None
        known[uid] = line
        row = {name: value for name, value in line.said.items() if name not in ("of_sort", "of", "sitting")}
        union.pen.keep_reading(thing, sitting, {"uid": uid, **row})
        union.strange += sitting.shop == union.pen.shop


def _as_entered(union: Union, line: Line, thing: Any) -> None:
    """Refuses a value that is not what its own text says: a number changed by hand, or by another dictionary.

    Raises:
        DataFault: it is not; or feature, dimension or condition are not known.
    """
    said = line.said
    kind = kind_of(union.pen, thing)
    feature, dimension = said["feature"], find_dimension(kind, find_feature(kind, said["feature"]), said["dimension"])
    if feature not in kind.features or dimension.dimension != said["dimension"] or said["condition"] not in CONDITIONS:
        raise DataFault(f"{feature} {said['dimension']} or its condition is not known", code="exchange-13")
    sitting = union.need(line, "sitting", "sitting")
    tools = dict.fromkeys((said["tool"], sitting.tool, ""))
    for tool, measured in ((tool, measured) for tool in tools for measured in (True, False)):
        for value in read_values(dimension, said["entered"], said["bare_unit"], tool, measured):
            if _same(union, value, line):
                return
    raise DataFault(
        f'the value of this reading is not what its text "{said["entered"][:60]}" says',
        mending="it was changed by hand, or made by a program with another dictionary; ask for the file again",
        code="exchange-14",
    )


def _same(union: Union, value: StoredValue, line: Line) -> bool:
    said = line.said
    if value.tool != said["tool"]:
        return False
    if value.number is None:
        if not union.pen.known_mate(said["word"] or ""):
            raise union.dangling(line, "a mate of a trial")
        return without_mate(value.word) == without_mate(said["word"]) and said["number"] is None
    close = [
        (a is None) == (b is None) and (a is None or b is None or math.isclose(a, b, rel_tol=1e-12))
        for a, b in ((value.number, said["number"]), (value.u, said["u"]))
    ]
    return all(close) and (value.word or "") == (said["word"] or "")


def without_mate(word: str | None) -> str:
    """A trial without the reference of its mate, whose shop may have been left out when it was written."""
    before, found, after = (word or "").partition("with ")
    return before + found + after.partition(" ")[2] if found else before


def _withdrawals(union: Union, lines: Sequence[Line]) -> None:
    readings = union.keys_of_readings({line.said["reading"] for line in lines} | _instead(lines))
    known = set(union.on_record("withdrawal", "reading_id", {one.id for one in readings.values()}))
    for line in lines:
        if line.uid in known:
            continue
        known.add(line.uid)
        reading = readings.get(line.said["reading"])
        instead = line.said["instead"]
        if reading is None or (instead is not None and instead not in readings):
            raise union.dangling(line, f"reading {(line.said['reading'] if reading is None else instead)[:8]}")
        _withdraw(union, reading, line)


def _instead(lines: Sequence[Line]) -> set[str]:
    return {line.said["instead"] for line in lines if line.said["instead"] is not None}


def _withdraw(union: Union, reading: Reading, line: Line) -> None:
    """The first withdrawal by date is the reading's, whichever came first; the others are further ones."""
    session, said = union.pen.session, line.said
    query = sa.select(Withdrawal).where(Withdrawal.reading_id == reading.id)
    there = session.execute(query).scalar_one_or_none()
    if there is None:
        union.pen.withdraw(reading, said["reason"], said["who"], said["instead"], said["dated"])
        session.flush()
        return
    columns = ("reason", "who", "dated", "instead_uid")
    old = {name: getattr(there, name) for name in columns}
    new = {"reason": said["reason"], "who": said["who"], "dated": said["dated"], "instead_uid": said["instead"]}
    old_uid = uid_of("withdrawal", reading.uid, *old.values())
    (_, first, _), (_, later, uid) = sorted(
        ((old["dated"], old_uid), old, old_uid) if which else ((new["dated"], line.uid), new, line.uid)
        for which in (True, False)
    )
    for name, value in first.items():
        setattr(there, name, value)
    session.add(FurtherWithdrawal(uid=uid, reading_id=reading.id, **later))
    session.flush()
    union.pen.added["withdrawal"] += 1


def _decisions(union: Union, lines: Sequence[Line]) -> None:
    known = union.on_record("decision", "uid", {line.uid for line in lines})
    uids = {uid for line in lines for uid in line.said["over"]}
    readings = union.keys_of_readings(uids)
    for line in lines:
        said, thing = line.said, union.need(line, "of", line.said["of_sort"])
        for uid in said["over"]:
            if uid not in readings:
                raise union.dangling(line, f"reading {uid[:8]}")
        if not said["taken"] or not set(said["taken"]) <= set(said["over"]):
            raise DataFault("a decision takes some of the readings it is over", place=line.place, code="exchange-09")
        if line.uid in known:
            _later_turn(union, DecisionRow, line, known[line.uid], thing)
            continue
        known[line.uid] = line
        row = {name: value for name, value in said.items() if name not in ("of_sort", "of")}
        row |= {name: json.dumps(said[name]) for name in ("taken", "over")}
        union.pen.session.add(DecisionRow(uid=line.uid, **{subject_column(thing): thing.id}, **row))
        union.pen.decided(line.uid)
        union.pen.touch(thing)


def _later_turn(union: Union, table: Any, line: Line, known: Line, thing: Any) -> None:
    """Of one word that two shops keep the later turn holds."""
    if known.said["turn"] < line.said["turn"]:
        query = sa.update(table).where(table.uid == line.uid, table.turn < line.said["turn"])
        union.pen.session.flush()
        union.pen.session.execute(query.values(turn=line.said["turn"]).execution_options(synchronize_session="fetch"))
        union.pen.filled_in(thing)
        union.pen.touch(thing)


def _statements(union: Union, lines: Sequence[Line]) -> None:
    for line in lines:
        put_statement(union, line, union.need(line, "of", line.said["of_sort"]))


def put_statement(union: Union, line: Line, thing: Any) -> bool:
    """Adds a statement, or keeps the later turn of one that is there; whether it was added."""
    known = union.on_record("statement", "uid", [line.uid])
    if line.uid in known:
        _later_turn(union, Statement, line, known[line.uid], thing)
        return False
    row = {name: value for name, value in line.said.items() if name not in ("of_sort", "of")}
    union.pen.session.add(Statement(uid=line.uid, **{subject_column(thing): thing.id}, **row))
    union.pen.session.flush()
    union.pen.added["statement"] += 1
    return True


def _joins(union: Union, lines: Sequence[Line]) -> None:
    known = union.on_record("join", "uid", {line.uid for line in lines})
    for line in lines:
        if line.uid not in known:
            known[line.uid] = line
            put_join(union, line)


def put_join(union: Union, line: Line) -> None:
    """Adds somebody's word that two parts are one design, or are not.

    Raises:
        DataFault: they are of two kinds, or one.
    """
    part: Part = union.need(line, "part", "part")
    other: Part = union.need(line, "other", "part")
    if part.id == other.id or part.kind != other.kind:
        told = f"{part.reference} ({part.kind}) and {other.reference} ({other.kind})"
        raise DataFault(
            f"{told} cannot be one design", place=line.place or None, mending="name two of one kind", code="join-01"
        )
    words = {name: line.said[name] for name in ("undone", "reason", "who", "dated", "turn")}
    union.pen.session.add(PartJoin(uid=line.uid, part_id=part.id, other_id=other.id, **words))
    union.pen.joined(line.uid)
    union.pen.touch(part)
    union.pen.touch(other)


_TAKE: dict[str, Callable[[Union, Sequence[Line]], None]] = {
    **{"reading": _readings, "withdrawal": _withdrawals, "decision": _decisions},
    **{"statement": _statements, "join": _joins},
}
