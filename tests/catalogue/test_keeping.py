"""A kept report never changes, whatever becomes of its readings; a row changed by hand is noticed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import sqlalchemy as sa

from fitment.catalogue.database import make_engine
from fitment.catalogue.keeping import edited_reports
from fitment.catalogue.schema import KeptReport, table_of
from tests.support.shop import Shop, open_shop


@pytest.fixture
def shop(database_url: str, tmp_path: Path) -> Shop:
    return open_shop(database_url, tmp_path)


def rows(shop: Shop, statement: str) -> list[tuple[object, ...]]:
    engine = make_engine(shop.url)
    with engine.begin() as connection:
        result = connection.execute(sa.text(statement))
        found = [tuple(row) for row in result] if result.returns_rows else []
    engine.dispose()
    return found


def kept_rows(shop: Shop) -> list[tuple[object, ...]]:
    """Everything that is kept of every report, and which readings it rests on."""
    return rows(shop, "SELECT * FROM report ORDER BY id") + rows(
        shop, "SELECT * FROM report_reading ORDER BY report_id, reading_id"
    )


def test_what_is_kept(shop: Shop) -> None:
    checked = shop("check", shop.kit, "--json").told
    kept = shop.keep()
    assert (kept["verdict"], kept["revision"], kept["builds"], kept["withdrawn"]) == ("not known", 1, [], [])
    assert kept["program"].startswith("fitment ")
    assert shop("report", "show", kept["uid"][:8], "--json").told == checked
    ((text, shown),) = rows(shop, "SELECT kit_text, shown FROM report")
    assert text == shop.kit.read_text(encoding="utf-8")
    said = shop("report", "show", kept["uid"])
    assert (said.code, said.out, said.err) == (4, shown, "")
    assert shop("check", shop.kit, "-v").out == shown
    assert shop.done("catalogue", "status", "--json").told["revision"] == 1


def test_it_rests_on_all_readings_of_its_parts_those_that_no_rule_uses_too(shop: Shop) -> None:
    shop.done("reading", "add", "RE-1", "body", "mass=0.4 kg", "--sitting", "T-1")
    shop.done("reading", "add", "V-1", "body", "wheelbase=2400 mm", "--sitting", "T-1")
    shop.done("reading", "add", "RE-1a", "body", "mass=0.5 kg", "--sitting", "T-1")
    kept = shop.keep()
    body = shop("report", "show", kept["uid"], "--json").told
    behind = {uid for (uid,) in rows(shop, "SELECT uid FROM reading JOIN report_reading ON reading_id = reading.id")}
    wanted = {uid for ref in ("RE-1", "TR-1", "V-1") for uid in shop.readings(ref).values()}
    assert behind == wanted
    used = {uid for finding in body["findings"] for use in finding["uses"] for uid in use["readings"]}
    assert used < {str(uid)[:8] for uid in behind}


def test_readings_added_and_withdrawn_leave_the_kept_report_as_it_was(shop: Shop) -> None:
    kept = shop.keep()
    before, shown = kept_rows(shop), shop("report", "show", kept["uid"]).out
    shop.done("reading", "add", "RE-1", "shank", "depth=20 mm", "--sitting", "T-2", "--who", "CD")
    uid = shop.readings("RE-1")["shank thread"]
    shop.done("reading", "withdraw", uid, "--reason", "another rod end", "--value", "M16x1.5")
    shop.done("catalogue", "verify", "--mend")
    assert shop("check", shop.kit).out != shown
    assert kept_rows(shop) == before
    again = shop("report", "show", kept["uid"])
    assert again.out == shown
    assert again.err == (
        f"fitment: reading {uid[:8]} behind this report was withdrawn since: fitment reading affected {uid[:8]}\n"
    )
    assert shop.done("report", "list", "--json").told["reports"][0]["withdrawn"] == [uid]
    assert "1 withdrawn" in shop.done("report", "list").out


def test_a_dry_run_keeps_nothing(shop: Shop) -> None:
    said = shop("check", shop.kit, "--keep", "--dry-run")
    assert said.err.startswith("fitment: would be kept as report ")
    assert kept_rows(shop) == []
    assert shop.done("report", "list").out == "no kept reports: fitment check KIT.toml --keep keeps one\n"


def test_the_same_words_in_the_same_second_are_one_report(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780000000")
    first = shop.keep()
    assert first["made"] == "2026-05-28T20:26:40Z"
    assert shop.keep() == first
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780000001")
    assert shop.keep()["uid"] != first["uid"]


COLUMNS = [column.name for column in table_of(KeptReport).columns if column.name not in ("id", "uid")]


def test_a_kept_row_that_was_edited_is_noticed_whatever_column_it_was(shop: Shop) -> None:
    kept = shop.keep()
    assert shop.done("catalogue", "verify").out.startswith("whole: ")
    for column in COLUMNS:
        ((old,),) = rows(shop, f"SELECT {column} FROM report")
        write(shop, column, old + 1 if isinstance(old, int) else f"Z{str(old)[1:]}")
        (line,) = edited(shop)
        assert line.startswith(f"kept report {kept['uid'][:8]} of "), column
        assert line.endswith(" was changed after it was kept")
        write(shop, column, old)
        assert edited(shop) == []
    rows(shop, "UPDATE report SET verdict = 'fits'")
    for more in ([], ["--mend"]):
        said = shop("catalogue", "verify", "--json", *more)
        assert (said.code, said.told["whole"], len(said.told["wrong"])) == (1, False, 1)


def write(shop: Shop, column: str, value: object) -> None:
    engine = make_engine(shop.url)
    with engine.begin() as connection:
        connection.execute(sa.update(table_of(KeptReport)).values({column: value}))
    engine.dispose()


def edited(shop: Shop) -> list[str]:
    engine = make_engine(shop.url)
    with engine.connect() as connection:
        found = edited_reports(connection)
    engine.dispose()
    return found


def test_a_reading_taken_from_a_kept_report_is_noticed(shop: Shop) -> None:
    shop.keep()
    rows(shop, "DELETE FROM report_reading WHERE reading_id = (SELECT min(reading_id) FROM report_reading)")
    assert shop("catalogue", "verify").code == 1


def test_a_report_of_schema_0001_has_nothing_to_compare_and_prints_as_json(shop: Shop) -> None:
    kept = shop.keep()
    body = shop("report", "show", kept["uid"], "--json").told
    old = "0d0f0a52-6a5e-4d0b-9d3f-3f4f3b1a2c1d"
    rows(shop, f"UPDATE report SET uid = '{old}', shown = '', kit_text = '', program = '', fitted = '{{}}'")
    assert shop.done("catalogue", "verify").out.startswith("whole: ")
    assert json.loads(shop("report", "show", "0d0f0a52").out) == body


@pytest.mark.parametrize(("uid", "told"), [("abcd1234", "no kept report abcd1234"), ("", "no kept report ")])
def test_no_such_report(tmp_path: Path, uid: str, told: str) -> None:
    shop = open_shop(f"sqlite:///{tmp_path / 'shop.sqlite'}", tmp_path)
    said = shop("report", "show", uid)
    assert (said.code, said.err.splitlines()[0]) == (66, f"fitment: {told} [report-01]")


def test_an_older_catalogue_is_brought_up_with_its_reports(database_url: str) -> None:
    from fitment.catalogue import database

    engine = make_engine(database_url)
    with engine.begin() as connection:
        from alembic import command
        from alembic.config import Config

        config = Config()
        config.set_main_option("script_location", str(database.shipped("migrations")))
        config.attributes["connection"] = connection
        command.upgrade(config, "0002")
        connection.execute(
            sa.text(
                "INSERT INTO report (uid, kit, kit_digest, made, revision, digest, verdict, body)"
                " VALUES ('u', 'k', '', 'm', 1, 'd', 'fits', '{}')"
            )
        )
    engine.dispose()
    database.open_engine(database_url).dispose()
    engine = make_engine(database_url)
    with engine.connect() as connection:
        row = connection.execute(sa.text("SELECT kit_text, fitted, shown, program FROM report")).one()
        assert tuple(row) == ("", "{}", "", "")
    engine.dispose()
