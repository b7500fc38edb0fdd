"""The story of every dimension of a thing, in order: readings, withdrawals, decisions, and what was adopted after each.

Each state is made again from what was on record by then, by the rule that holds now. Reads only.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue.adopt import HEARSAY, AdoptedValue, Evidence
from fitment.catalogue.adopt_features import adopted_values
from fitment.catalogue.decisions import Decision
from fitment.catalogue.derive import READINGS, decisions_of, evidence_from
from fitment.catalogue.designs import Designs
from fitment.catalogue.dictionary import PartKind, dimensions_of, part_kinds
from fitment.catalogue.listing import find_any
from fitment.catalogue.schema import Part, Reading, Sitting, Withdrawal
from fitment.catalogue.values import shown
from fitment.errors import NotFoundFault, nearest
from fitment.frozen import dataclass

_TAKEN_IN = READINGS.add_columns(
    Reading.id,
    Reading.entered,
    Reading.bare_unit,
    Sitting.who,
    Sitting.dated,
    Withdrawal.id.label("withdrawal"),
    Withdrawal.reason,
    Withdrawal.who.label("withdrawn_by"),
    Withdrawal.dated.label("withdrawn_on"),
    Withdrawal.instead_uid,
).order_by(Reading.id)


@dataclass(frozen=True)
class Step:
    """One thing that happened to a dimension.

    Attributes:
        event: "read", "withdrawn" or "decided".
        dated: when, ISO 8601; "" where it was not said.
        who: initials.
        readings: uids: of the reading itself, or of those taken in a decision.
        set_aside: uids of the readings that a decision set aside.
        said: the value as read, or the reason.
        entered: the reading as it was written, with its unit; "" for what is no reading.
        tool, condition, sitting, source: of the reading; "" for what is no reading.
        hearsay: whether the reading is only somebody's word.
        adopted: what is adopted after it; None where nothing is.
    """

    event: str
    dated: str
    who: str
    readings: tuple[str, ...]
    set_aside: tuple[str, ...]
    said: str
    entered: str
    tool: str
    condition: str
    sitting: str
    source: str
    hearsay: bool
    adopted: AdoptedValue | None


@dataclass(frozen=True)
class Story:
    """Everything that happened to one dimension, in order."""

    feature: str
    dimension: str
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class _Event:
    """A reading, a withdrawal or a decision, with the place that it has in time."""

    when: tuple[str, int, int]
    feature: str
    dimension: str
    row: Any
    decision: Decision | None
    withdrawal: bool = False


def history(connection: Connection, reference: str, wanted: str = "") -> tuple[str, list[Story]]:
    """The full reference of a part, item or vehicle, and the stories of its dimensions.

    Args:
        wanted: ``stud``, ``stud.large`` or ``large``; "" for all.

    Raises:
        NotFoundFault: no such thing, or nothing is on record of such a dimension.
    """
    sort, row = find_any(connection, reference)
    kind = _kind(connection, sort, row)
    stories: list[Story] = []
    members = Designs(connection if sort == "part" else None).members(row.id)
    events = _events(connection, f"{sort}_id", row.id, members)
    for feature, feature_kind in kind.features.items():
        stories += _told(feature, feature_kind, [one for one in events if one.feature == feature])
    names = [(story.feature, story.dimension) for story in stories]
    if wanted:
        stories = [one for one in stories if wanted in (one.feature, one.dimension, f"{one.feature}.{one.dimension}")]
        if not stories:
            raise NotFoundFault(
                f'nothing is on record of "{wanted}" of {row.shop}/{row.ref}',
                mending=nearest(wanted, {".".join(name) for name in names}) if names else "it has no readings yet",
                code="history-01",
            )
    return f"{row.shop}/{row.ref}", stories


def _kind(connection: Connection, sort: str, row: Any) -> PartKind:
    if sort == "item":
        kind = connection.execute(sa.select(Part.kind).where(Part.id == row.part_id)).scalar_one()
        return part_kinds()[kind]
    return part_kinds()["vehicle" if sort == "vehicle" else row.kind]


def _events(connection: Connection, column: str, subject: int, members: Sequence[int]) -> list[_Event]:
    """All that happened to a thing, in order: by date, and so that nothing stands before what it is about.

    Of one day: readings, withdrawals, decisions, withdrawals of readings that a decision of that day still knew.
    """
    rows = connection.execute(_TAKEN_IN.where(getattr(Reading, column).in_(members))).all()
    decisions = decisions_of(connection, column, subject)
    dated = {row.uid: row.dated for row in rows}
    events = [_Event((row.dated, 0, row.id), row.feature, row.dimension, row, None) for row in rows]
    for row in rows:
        if row.withdrawal is not None:
            day = max(row.withdrawn_on, row.dated)
            known = any(row.uid in one.over and one.dated == day for one in decisions)
            event = _Event((day, 3 if known else 1, row.withdrawal), row.feature, row.dimension, row, None, True)
            events.append(event)
    for number, one in enumerate(decisions):
        day = max([one.dated, *(dated.get(uid, "") for uid in one.over)])
        events.append(_Event((day, 2, number), one.feature, one.dimension, None, one))
    return sorted(events, key=lambda event: event.when)


def _told(feature: str, kind: str, events: list[_Event]) -> Iterator[Story]:
    """The stories of one feature: a dimension's own events, and those of others that changed what is adopted of it."""
    steps: dict[str, list[Step]] = {}
    evidence: dict[str, Evidence] = {}
    decisions: list[Decision] = []
    before: dict[str, AdoptedValue] = {}
    for event in events:
        if event.decision is not None:
            decisions.append(event.decision)
        elif event.withdrawal:
            evidence.pop(event.row.uid)
        else:
            evidence[event.row.uid] = evidence_from(event.row)
        adopted = {value.dimension: value for value in adopted_values({feature: kind}, evidence.values(), decisions)}
        touched = {event.dimension} | {
            name for name in adopted.keys() | before.keys() if adopted.get(name) != before.get(name)
        }
        for name in sorted(touched):
            steps.setdefault(name, []).append(_step(kind, event, name, adopted.get(name)))
        before = adopted
    for name in sorted(steps):
        yield Story(feature, name, tuple(steps[name]))


def _step(kind: str, event: _Event, told_of: str, adopted: AdoptedValue | None) -> Step:
    """What happened, for the story of `told_of`, which may be another dimension than it happened to."""
    of = "" if event.dimension == told_of else f"{event.dimension}: "
    if event.decision is not None:
        one = event.decision
        aside = tuple(sorted(one.aside))
        return Step(
            "decided", one.dated, one.who, one.taken, aside, of + one.reason, "", "", "", "", "", False, adopted
        )
    row = event.row
    if event.withdrawal:
        said = of + row.reason + (f" (instead: {row.instead_uid[:8]})" if row.instead_uid else "")
        by, on = row.withdrawn_by, row.withdrawn_on
        return Step("withdrawn", on, by, (row.uid,), (), said, "", "", "", "", "", False, adopted)
    read = evidence_from(row)
    value = shown(dimensions_of(kind)[row.dimension], row.number, row.u, row.word)
    return Step(
        event="read",
        dated=row.dated,
        who=row.who,
        readings=(row.uid,),
        set_aside=(),
        said=of + value,
        entered=" ".join(filter(None, (row.entered, row.bare_unit))),
        tool=row.tool,
        condition=row.condition,
        sitting=read.sitting,
        source=read.source,
        hearsay=read.trust == HEARSAY,
        adopted=adopted,
    )
