"""The story of a dimension: what happened in order, and what was adopted after each."""

from __future__ import annotations

import pytest
import sqlalchemy as sa
from sqlalchemy.engine import Engine

from fitment.catalogue.adopt_features import adopted_values
from fitment.catalogue.deciding import decide
from fitment.catalogue.derive import decisions_of, evidence_of
from fitment.catalogue.history import Step, Story, history
from fitment.catalogue.records import writing
from fitment.errors import NotFoundFault
from fitment.sheets.history_text import history_text
from tests.catalogue.conftest import HEAD, Fill


def told(engine: Engine, wanted: str = "", reference: str = "RE-1") -> list[Story]:
    with engine.connect() as connection:
        return history(connection, reference, wanted)[1]


def outcomes(story: Story) -> list[tuple[str, str]]:
    """Of each step its event, and the value after it, or how its gap begins."""
    return [(step.event, _after(step)) for step in story.steps]


def _after(step: Step) -> str:
    if step.adopted is None:
        return "nothing"
    return step.adopted.gap[:11] if step.adopted.gap else step.adopted.shown


def uid(engine: Engine, entered: str) -> str:
    with engine.connect() as connection:
        query = sa.text("SELECT uid FROM reading WHERE entered = :entered")
        return str(connection.execute(query, {"entered": entered}).scalars().one())


@pytest.fixture
def story(engine: Engine, fill: Fill, monkeypatch: pytest.MonkeyPatch) -> Story:
    """RE-1's stud: read three times, in conflict, decided, and a reading withdrawn the next day."""
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780000000")
    fill(HEAD + "stud.large\nRE-1,,,T3,mm,,15.60\nRE-1,,,T1,mm,,15.00\nRE-1,,,T2,mm,,15.02\n")
    with writing(engine) as pen:
        decide(pen, "RE-1", "stud", "large", [uid(engine, "15.00")], "the manual is of a later stud", "AB")
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780086400")
    with writing(engine) as pen:
        pen.withdraw(pen.reading(uid(engine, "15.00")), "another part", "CD")
    (found,) = told(engine, "stud.large")
    return found


def test_everything_in_order_of_time_whatever_the_order_of_taking_in(story: Story) -> None:
    assert [(step.dated, step.event, step.who) for step in story.steps] == [
        ("2026-01-02", "read", "AB"),
        ("2026-02-03", "read", "CD"),
        ("2026-02-04", "read", "AB"),
        ("2026-05-28", "decided", "AB"),
        ("2026-05-29", "withdrawn", "CD"),
    ]
    assert [said for step in story.steps if (said := step.said)] == [
        "15.000 mm",
        "15.020 mm",
        "15.6000 mm",
        "the manual is of a later stud",
        "another part",
    ]


def test_what_was_adopted_after_each(story: Story) -> None:
    assert outcomes(story) == [
        ("read", "15.000 mm"),
        ("read", "15.006 mm"),
        ("read", "in conflict"),
        ("decided", "15.000 mm"),
        # all that the decision took is withdrawn, so that it holds no longer
        ("withdrawn", "in conflict"),
    ]


def test_the_last_state_is_the_one_in_force(engine: Engine, story: Story) -> None:
    with engine.connect() as connection:
        key = connection.execute(sa.text("SELECT id FROM part WHERE ref = 'RE-1'")).scalar_one()
        of = "part_id", key
        values = adopted_values({"stud": "stud"}, evidence_of(connection, *of), decisions_of(connection, *of))
    assert story.steps[-1].adopted == next(value for value in values if value.dimension == "large")


def test_who_when_with_what_and_from_where(story: Story) -> None:
    first, decided = story.steps[0], story.steps[3]
    assert (first.tool, first.sitting, first.source, first.hearsay) == ("calliper", "OWN/T1", "bench", False)
    assert first.entered == "15.00 mm"
    assert decided.readings == first.readings
    assert len(decided.set_aside) == 2


def test_a_withdrawal_of_the_same_day_that_a_decision_still_knew_comes_after_it(
    engine: Engine, fill: Fill, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780000000")
    fill(HEAD + "stud.large\nRE-1,,,T1,mm,,15.00\nRE-1,,,T3,mm,,15.60\nRE-1,,,T2,mm,,15.90\n")
    with writing(engine) as pen:
        pen.withdraw(pen.reading(uid(engine, "15.90")), "slipped", "AB")
    with writing(engine) as pen:
        decide(pen, "RE-1", "stud", "large", [uid(engine, "15.00")], "measured", "AB")
    with writing(engine) as pen:
        pen.withdraw(pen.reading(uid(engine, "15.60")), "misprint", "AB")
    (found,) = told(engine, "large")
    assert [step.said for step in found.steps[3:]] == ["slipped", "measured", "misprint"]


def test_what_one_reading_tells_of_another_dimension_is_in_its_story(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.thread,stud.od\nRE-1,,,T1,mm,,M12x1.25-LH,\nRE-1,,,T2,mm,,,14.26\n")
    stories = {story.dimension: story for story in told(engine)}
    assert [(step.said, _after(step)) for step in stories["hand"].steps] == [("thread: M12x1.25-LH", "LH")]
    assert [step.said for step in stories["thread"].steps] == ["M12x1.25-LH", "od: 14.260 mm"]
    assert _after(stories["thread"].steps[-1]) == "in conflict"


def test_a_reading_that_changes_nothing_is_told_all_the_same(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.large\nRE-1,,,T1,mm,,15.00\nRE-1,,,T4,mm,,19\n")
    (found,) = told(engine, "stud")
    assert outcomes(found) == [("read", "15.000 mm"), ("read", "15.000 mm")]
    assert found.steps[1].hearsay


def test_items_and_vehicles_have_their_own(engine: Engine, fill: Fill) -> None:
    fill(
        HEAD + "stud.large\nRE-1,,RE-1a,T1,mm,used,15.00\nRE-1,,,T3,mm,,15.00\n",
        "vehicle,sitting,body.wheelbase [mm]\nV-1,T1,2110\n",
    )
    assert [(step.source, step.condition) for step in told(engine, reference="RE-1a")[0].steps] == [("bench", "used")]
    assert [story.dimension for story in told(engine, reference="V-1")] == ["wheelbase"]


def test_what_is_not_there_is_said(engine: Engine, fill: Fill) -> None:
    fill(HEAD + "stud.large\nRE-1,,,T1,mm,,15.00\nRE-2,,,,,,\n")
    with pytest.raises(NotFoundFault, match=r'nothing is on record of "stud\.larg" of OWN/RE-1') as caught:
        told(engine, "stud.larg")
    assert caught.value.mending == "nearest: stud.large"
    with pytest.raises(NotFoundFault, match="no part, item or vehicle RE-9"):
        told(engine, reference="RE-9")
    assert history_text("OWN/RE-2", told(engine, reference="RE-2")) == "OWN/RE-2: no readings yet"


def test_as_text(engine: Engine, story: Story) -> None:
    ids = [uid(engine, entered)[:8] for entered in ("15.00", "15.02", "15.60")]
    aside = ", ".join(sorted(ids[1:]))
    conflict = "in conflict: "
    lines = history_text("OWN/RE-1", [story]).splitlines()
    assert lines[0] == "OWN/RE-1 stud large"
    assert lines[1] == f"  2026-01-02  read by AB: 15.000 mm (calliper); bench, sitting OWN/T1 [{ids[0]}]"
    assert lines[2] == "                -> 15.000 mm, measured (bench, calliper)"
    assert lines[6].startswith(f"                -> not known: {conflict}")
    assert lines[7] == f"  2026-05-28  decided by AB: the manual is of a later stud; taken {ids[0]}; set aside {aside}"
    assert lines[9] == f"  2026-05-29  withdrawn by CD: {ids[0]}: another part"
