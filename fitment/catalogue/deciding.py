"""Keeping a person's decision on a conflict: which readings hold, with the reason; never changed, only followed."""

from __future__ import annotations

import json

from fitment.catalogue.adopt import CONFLICT, AdoptedValue, Evidence
from fitment.catalogue.adopt_features import adopted_values
from fitment.catalogue.cells import uid_of
from fitment.catalogue.corrected import affected_by
from fitment.catalogue.dates import today
from fitment.catalogue.decisions import Decision, bearing, standing
from fitment.catalogue.derive import decisions_of, evidence_of
from fitment.catalogue.dictionary import find_dimension, find_feature
from fitment.catalogue.entering import Measured, checked_who, kind_of, measured_thing
from fitment.catalogue.records import Pen
from fitment.catalogue.register import subject_column
from fitment.catalogue.schema import DecisionRow
from fitment.catalogue.turns import next_turn
from fitment.errors import DataFault, NotFoundFault
from fitment.frozen import dataclass


@dataclass(frozen=True)
class Settled:
    """A decision as it was kept.

    Attributes:
        of: which thing.
        value: what is in force by it.
        affected: (uid, kept reports that used it, builds that it is of) of each reading set aside.
    """

    of: str
    decision: Decision
    value: AdoptedValue
    affected: tuple[tuple[str, int, int], ...]


def decide(pen: Pen, reference: str, feature: str, dimension: str, taken: list[str], reason: str, who: str) -> Settled:
    """Takes some of the readings in conflict and sets the others aside.

    Args:
        taken: the first letters of the ids of the readings that hold.
        reason: why; it stays on record.
        who: initials.

    Raises:
        NotFoundFault: no such thing or reading.
        DataFault: nothing is in conflict there, a reading is of something else, those taken settle nothing, or it was
            decided in the same words before and otherwise since.
    """
    thing = measured_thing(pen, reference)
    kind = kind_of(pen, thing)
    feature = find_feature(kind, feature)
    dimension = find_dimension(kind, feature, dimension).dimension
    column, connection = subject_column(thing), pen.session.connection()
    place = f"{thing.reference} {feature} {dimension}"
    evidence = [one for one in evidence_of(connection, column, thing.id) if one.feature == feature]
    earlier = decisions_of(connection, column, thing.id)
    features = {feature: kind.features[feature]}
    _in_conflict(place, _value(features, evidence, earlier, dimension), evidence, earlier, dimension)
    over = sorted(one.uid for one in evidence if one.dimension in bearing(dimension))
    turn = 1 + max((one.turn for one in earlier if (one.feature, one.dimension) == (feature, dimension)), default=0)
    decision = Decision(
        feature, dimension, _known(pen, place, taken, over), tuple(over), reason, checked_who(who), today(), turn
    )
    if decision in earlier and decision != [one for one in earlier if one.dimension == dimension][-1]:
        raise DataFault(
            f"{place} was decided just so before, and otherwise since",
            mending="say in --reason why it is decided back",
            code="decide-05",
        )
    value = _value(features, evidence, [*earlier, decision], dimension)
    if value is None or value.gap:
        raise DataFault(
            f"{place} is not settled by those readings: {value.gap if value else 'they say nothing of it'}",
            mending="take readings that agree; fitment reading list shows them",
            code="decide-03",
        )
    record(pen, thing, decision)
    aside = ((uid, *affected_by(connection, pen.reading(uid))) for uid in sorted(decision.aside))
    return Settled(thing.reference, decision, value, tuple(aside))


def _value(
    features: dict[str, str], evidence: list[Evidence], decisions: list[Decision], dimension: str
) -> AdoptedValue | None:
    values = adopted_values(features, evidence, decisions)
    return next((value for value in values if value.dimension == dimension), None)


def _in_conflict(
    place: str, value: AdoptedValue | None, evidence: list[Evidence], earlier: list[Decision], dimension: str
) -> None:
    """Only a conflict is decided, or decided again: otherwise what is measured best could be argued away.

    Raises:
        NotFoundFault: nothing is known there.
        DataFault: it is not in conflict.
    """
    if value is None:
        raise NotFoundFault(f"{place} has no readings", mending="fitment reading add takes them", code="decide-04")
    decided = dimension in standing(earlier, value.feature, {one.uid for one in evidence})
    if not decided and not value.gap.startswith(CONFLICT):
        raise DataFault(
            f"{place} is not in conflict: {value.gap or f'{value.shown} ({value.source})'}",
            mending="a wrong reading is withdrawn: fitment reading withdraw",
            code="decide-01",
        )


def _known(pen: Pen, place: str, taken: list[str], over: list[str]) -> tuple[str, ...]:
    """The uids of the readings taken.

    Raises:
        NotFoundFault: there is none that begins so.
        DataFault: it is withdrawn, or of something else.
    """
    uids = sorted({pen.reading(one).uid for one in taken})
    for uid in uids:
        if uid not in over:
            raise DataFault(
                f"reading {uid[:8]} does not bear on {place}, or is withdrawn",
                mending="readings that do: " + ", ".join(one[:8] for one in over),
                code="decide-02",
            )
    return tuple(uids)


def record(pen: Pen, thing: Measured, decision: Decision) -> None:
    """Adds a decision, unless just that is on record already."""
    said = (decision.taken, decision.over, decision.reason, decision.who, decision.dated)
    uid = uid_of("decision", thing.uid, decision.feature, decision.dimension, *said)
    if pen.session.query(DecisionRow.id).filter_by(uid=uid).first() is not None:
        return
    of = {"feature": decision.feature, "dimension": decision.dimension, subject_column(thing): thing.id}
    pen.session.add(
        DecisionRow(
            uid=uid,
            feature=decision.feature,
            dimension=decision.dimension,
            taken=json.dumps(decision.taken),
            over=json.dumps(decision.over),
            reason=decision.reason,
            who=decision.who,
            dated=decision.dated,
            turn=max(decision.turn, next_turn(pen.session, DecisionRow, **of)),
            **{subject_column(thing): thing.id},
        )
    )
    pen.decided(uid)
    pen.line(f"+ decision {thing.reference} {decision.feature} {decision.dimension}: {decision.reason}")
    pen.touch(thing)


def take_row(pen: Pen, reference: str, cells: dict[str, str]) -> None:
    """A row of a decision sheet.

    Raises:
        NotFoundFault, DataFault: the thing, its feature, dimension or a reading is not known.
    """
    thing = measured_thing(pen, reference)
    kind = kind_of(pen, thing)
    feature = find_feature(kind, cells.get("feature", ""))
    dimension = find_dimension(kind, feature, cells.get("dimension", "")).dimension
    taken, over = (tuple(pen.reading(uid).uid for uid in cells.get(name, "").split()) for name in ("taken", "over"))
    said = (cells.get("reason", ""), checked_who(cells.get("who", "")), cells.get("date") or today())
    record(pen, thing, Decision(feature, dimension, tuple(sorted(taken)), tuple(sorted(over)), *said))
