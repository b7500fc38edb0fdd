"""Keeping a report as it was given, with the readings that it rests on. A kept report never changes.

Its uid follows from all that it says, as a reading's does: `edited_reports` tells a row that was changed by hand, and
an id printed on paper names one text only.
"""

from __future__ import annotations

import datetime
import hashlib
import json
import os
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import field
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection
from sqlalchemy.orm import Session

from fitment.catalogue.database import WRITES, connected
from fitment.catalogue.schema import Adopted, Item, KeptReport, Part, Reading, ReportReading, Vehicle, table_of
from fitment.frozen import dataclass

_SPACE = uuid.UUID("6f1d0f0e-9a5c-5c1e-8a55-8f17f17e0002")
_SEALED = (
    *("kit", "kit_digest", "made", "revision", "digest", "verdict", "body"),
    *("program", "kit_text", "fitted", "shown"),
)
#: values in one statement; databases allow some tens of thousands
_AT_ONCE = 1000


@dataclass(frozen=True)
class Given:
    """A report as it was given.

    Attributes:
        body: the report object of a check, as its JSON says it.
        shown: the same as text.
        kit_text: the kit's file.
        program: name and version of the program that made it.
        fitted: items that took roles of the kit, by address (``left.rod_end``), where a build names them.
        made: when, as `made_now` gives it; "" for when it is kept.
    """

    body: Mapping[str, Any]
    shown: str
    kit_text: str
    program: str
    fitted: Mapping[str, str] = field(default_factory=dict)
    made: str = ""


def keep_report(place: str | None, given: Given, dry_run: bool = False) -> str:
    """Records a report; the catalogue's revision does not rise. Returns its uid."""
    with connected(place) as connection, Session(connection.execution_options(**{WRITES: True})) as session:
        uid = put_report(session, given).uid
        if not dry_run:
            session.commit()
    return uid


def put_report(session: Session, given: Given) -> KeptReport:
    """Adds a report to a transaction, or finds it there already (same words, same second)."""
    body = given.body
    fields: dict[str, Any] = {
        "kit": body["kit"],
        "kit_digest": body["kit_file"]["sha256"],
        "made": given.made or made_now(),
        "revision": body["catalogue"]["revision"],
        "digest": body["catalogue"]["digest"],
        "verdict": body["verdict"],
        "body": json.dumps(body, ensure_ascii=False),
        "program": given.program,
        "kit_text": given.kit_text,
        "fitted": json.dumps(given.fitted, ensure_ascii=False, sort_keys=True),
        "shown": given.shown,
    }
    used = _readings_behind(session.connection(), body)
    uid = _seal(fields, used)
    found = session.execute(sa.select(KeptReport).where(KeptReport.uid == uid)).scalar_one_or_none()
    if found is not None:
        return found
    kept = KeptReport(uid=uid, **fields)
    session.add(kept)
    session.flush()
    rows = [{"report_id": kept.id, "reading_id": number} for _, number in sorted(used.items())]
    if rows:
        session.execute(sa.insert(ReportReading), rows)
    return kept


def made_now() -> str:
    """The time to the second, UTC, ISO 8601; that of SOURCE_DATE_EPOCH where it is set."""
    fixed = os.environ.get("SOURCE_DATE_EPOCH")
    now = datetime.datetime.fromtimestamp(int(fixed), datetime.UTC) if fixed else datetime.datetime.now(datetime.UTC)
    return now.strftime("%Y-%m-%dT%H:%M:%SZ")


def _seal(row: Mapping[str, Any], readings: Iterable[str]) -> str:
    """The uid that the words of a kept report and the uids of its readings give."""
    words = json.dumps([*(row[name] for name in _SEALED), sorted(readings)], ensure_ascii=False)
    return str(uuid.uuid5(_SPACE, hashlib.sha256(words.encode()).hexdigest()))


def _readings_behind(connection: Connection, body: Mapping[str, Any]) -> dict[str, int]:
    """Uid and key of each reading behind a value of the report's parts and target, and of each that a finding names.

    A value that was missing or in conflict decides too, though no finding uses it.
    """
    uids = {uid for text in _adopted_readings(connection, body) for uid in json.loads(text)}
    named = {uid for finding in body["findings"] for use in finding["uses"] for uid in use["readings"]}
    for uid in sorted(named - {uid[:8] for uid in uids}):  # of a thing that the kit does not name, such as a mate
        query = sa.select(Reading.uid).where(Reading.uid.startswith(uid, autoescape=True))
        uids |= set(connection.execute(query).scalars())
    found: dict[str, int] = {}
    for wanted in _batches(sorted(uids)):
        rows = connection.execute(sa.select(Reading.uid, Reading.id).where(Reading.uid.in_(wanted)))
        found |= {row.uid: row.id for row in rows}
    return found


def _adopted_readings(connection: Connection, body: Mapping[str, Any]) -> list[str]:
    names = sorted({part["reference"] for part in body["parts"]})
    subjects = (
        (Adopted.vehicle_id, sa.select(Vehicle.id).where(_named(Vehicle, [body["target"]["reference"]]))),
        (Adopted.part_id, sa.select(Part.id).where(_named(Part, names))),
        (Adopted.part_id, sa.select(Item.part_id).where(_named(Item, names))),
        (Adopted.item_id, sa.select(Item.id).where(_named(Item, names))),
    )
    query = sa.select(Adopted.readings).where(sa.or_(*(column.in_(ids) for column, ids in subjects)))
    return list(connection.execute(query).scalars())


def _named(table: Any, references: list[str]) -> Any:
    return (table.shop + "/" + table.ref).in_(references)


def _batches(values: list[str]) -> Iterable[list[str]]:
    return (values[start : start + _AT_ONCE] for start in range(0, len(values), _AT_ONCE))


def edited_reports(connection: Connection) -> list[str]:
    """A line for each kept report whose row no longer says what its uid was made of."""
    used: dict[int, list[str]] = {}
    query = sa.select(ReportReading.report_id, Reading.uid).join(Reading, ReportReading.reading_id == Reading.id)
    for row in connection.execute(query):
        used.setdefault(row.report_id, []).append(row.uid)
    told = []
    for row in connection.execute(sa.select(table_of(KeptReport)).order_by(KeptReport.id)):
        # schema 0001 gave kept reports a random uid, of version 4: there is nothing to compare them with
        if uuid.UUID(row.uid).version == 5 and row.uid != _seal(dict(row._mapping), used.get(row.id, ())):
            told.append(f"kept report {row.uid[:8]} of {row.made} was changed after it was kept")
    return told
