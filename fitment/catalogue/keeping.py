"""Keeping a report as it was given, with the readings that it rests on. A kept report never changes."""

from __future__ import annotations

import datetime
import json
import os
import uuid
from typing import Any

import sqlalchemy as sa
from sqlalchemy.orm import Session

from fitment.catalogue.database import open_engine, storage_faults
from fitment.catalogue.schema import KeptReport, Reading, ReportReading


def keep_report(place: str | None, report: dict[str, Any]) -> str:
    """Records a check's report object; the catalogue's revision does not rise.

    Returns:
        The uid of the kept report.
    """
    engine = open_engine(place)
    uid = str(uuid.uuid4())
    fixed = os.environ.get("SOURCE_DATE_EPOCH")
    now = datetime.datetime.fromtimestamp(int(fixed), datetime.UTC) if fixed else datetime.datetime.now(datetime.UTC)
    used = {uid for finding in report["findings"] for use in finding["uses"] for uid in use["readings"]}
    with storage_faults(engine.url.render_as_string(hide_password=False)), Session(engine) as session, session.begin():
        kept = KeptReport(
            uid=uid,
            kit=report["kit"]["name"] if isinstance(report["kit"], dict) else report["kit"],
            kit_digest=report["kit"]["digest"] if isinstance(report["kit"], dict) else "",
            made=now.strftime("%Y-%m-%dT%H:%M:%SZ"),
            revision=report["catalogue"]["revision"],
            digest=report["catalogue"]["digest"],
            verdict=report["verdict"],
            body=json.dumps(report, ensure_ascii=False),
        )
        session.add(kept)
        session.flush()
        for row in session.execute(sa.select(Reading.id, Reading.uid)):
            if row.uid[:8] in used:
                session.add(ReportReading(report_id=kept.id, reading_id=row.id))
    engine.dispose()
    return uid
