"""The dates of sittings and of what is written down: today's, and none that is yet to come."""

from __future__ import annotations

import datetime
import os

from fitment.errors import DataFault


def today() -> str:
    """The date, ISO 8601; SOURCE_DATE_EPOCH fixes it."""
    fixed = os.environ.get("SOURCE_DATE_EPOCH")
    now = datetime.datetime.fromtimestamp(int(fixed), datetime.UTC) if fixed else datetime.datetime.now(datetime.UTC)
    return now.date().isoformat()


def not_to_come(dated: str) -> str:
    """The date of a sitting, which is over: at most tomorrow's, since it is later elsewhere; other texts as they are.

    Where SOURCE_DATE_EPOCH fixes the date it need not be the true one, so any date will do.

    Raises:
        DataFault: it is yet to come.
    """
    now = datetime.datetime.now(datetime.UTC).date()
    try:
        to_come = datetime.date.fromisoformat(dated) > now + datetime.timedelta(days=1)
    except ValueError:
        return dated
    if to_come and not os.environ.get("SOURCE_DATE_EPOCH"):
        raise DataFault(
            f"the sitting is dated {dated}, which is yet to come: today is {now.isoformat()}",
            mending="write the day on which it was measured, year-month-day; or set this computer's clock",
            code="sitting-04",
        )
    return dated
