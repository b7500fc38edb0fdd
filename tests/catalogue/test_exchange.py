"""Records between shops: a union of sets, whatever the order; what is damaged or made up goes in nowhere."""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
import sqlalchemy as sa
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from sqlalchemy.engine import Engine

from fitment.catalogue.book import open_catalogue
from fitment.catalogue.database import create, open_engine
from fitment.catalogue.digest import stored
from fitment.catalogue.exchange.form import FIELDS, canonical
from fitment.catalogue.exchange.rows import content_digest
from fitment.catalogue.exchange.taking import take_files
from fitment.catalogue.schema import Adopted, Base, EndSummary, table_of
from fitment.catalogue.verifying import verify
from fitment.errors import DataFault
from tests.support.shop import Shop
from tests.support.shops import copied, three_shops, uid_of

NAMES = ("north-early", "north-kit", "south", "south-part", "east", "east-since", "north-late", "north-car")
Given = tuple[dict[str, Shop], dict[str, Path], Path]


@pytest.fixture(scope="module")
def shops(tmp_path_factory: pytest.TempPathFactory) -> Given:
    """Three shops, their files, and an empty catalogue of a fourth."""
    folder = tmp_path_factory.mktemp("shops")
    made, files = three_shops(folder)
    assert set(files) == set(NAMES)
    create(f"sqlite:///{folder / 'empty.sqlite'}", "WEST").dispose()
    return made, files, folder / "empty.sqlite"


def state(engine: Engine) -> dict[str, Any]:
    """All that must not depend on the order: what is held, and what is derived of it."""
    with engine.connect() as connection:
        derived: dict[str, Any] = {"digest": stored(connection)}
        # keys of rows go by the order of their taking in
        names = {
            sort: {row[0]: row[1] for row in connection.execute(sa.text(f"SELECT id, shop || '/' || ref FROM {sort}"))}
            for sort in ("part", "item", "vehicle")
        }
        models: tuple[type[Base], ...] = (Adopted, EndSummary)
        for table in models:
            columns = [column for column in table_of(table).columns if column.name != "id"]
            rows = [dict(row._mapping) for row in connection.execute(sa.select(*columns))]
            for row in rows:
                for sort in names:
                    if row.get(f"{sort}_id") is not None:
                        row[f"{sort}_id"] = names[sort][row[f"{sort}_id"]]
            derived[table.__tablename__] = sorted(json.dumps(row, sort_keys=True) for row in rows)
        of = "withdrawal JOIN reading ON reading.id = withdrawal.reading_id"
        named = connection.execute(sa.text(f"SELECT reading.uid, withdrawal.reason FROM {of}"))
        withdrawn = sorted(f"{row[0]} {row[1]}" for row in named)
        return {"content": content_digest(connection), "withdrawn": withdrawn, **derived}


def taken(empty: Path, files: Sequence[Sequence[Path]]) -> dict[str, Any]:
    """The state of a new catalogue after these imports, one after the other."""
    with TemporaryDirectory() as folder:
        shutil.copy(empty, Path(folder) / "x.sqlite")
        engine = open_engine(str(Path(folder) / "x.sqlite"))
        for some in files:
            take_files(engine, some)
        told = state(engine)
        engine.dispose()
    return told


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_any_files_in_any_order_any_number_of_times_give_the_same(shops: Given, data: st.DataObject) -> None:
    _, files, empty = shops
    some = data.draw(st.lists(st.sampled_from(NAMES), min_size=1, max_size=5, unique=True), label="files")
    orders = []
    for which in ("first", "second"):
        again = data.draw(st.lists(st.sampled_from(some), max_size=2), label=f"again, {which}")
        order = data.draw(st.permutations([*some, *again]), label=f"order, {which}")
        together = data.draw(st.booleans(), label=f"all at once, {which}")
        orders.append([[files[name] for name in order]] if together else [[files[name]] for name in order])
    assert taken(empty, orders[0]) == taken(empty, orders[1])


def test_all_shops_hold_the_same_once_each_has_had_the_files_of_the_others(shops: Given, tmp_path: Path) -> None:
    made, files, empty = shops
    told = [taken(empty, [list(files.values())])]
    for code, shop in made.items():
        engine = open_engine(copied(shop, tmp_path / code).url)
        take_files(engine, [files[name] for name in NAMES if not name.startswith(code.lower())])
        assert verify(engine) == []
        told.append(state(engine))
        engine.dispose()
    assert told[1:] == told[:1] * 3


def test_the_same_on_both_databases(shops: Given, database_url: str) -> None:
    _, files, empty = shops
    engine = create(database_url, "WEST")
    for name in NAMES:
        take_files(engine, [files[name]])
    assert state(engine) == taken(empty, [list(files.values())])
    assert verify(engine) == []
    engine.dispose()


@pytest.fixture
def west(shops: Given, tmp_path: Path) -> Shop:
    """A fourth shop that took everything in."""
    shutil.copy(shops[2], tmp_path / "west.sqlite")
    shop = Shop(f"sqlite:///{tmp_path / 'west.sqlite'}", tmp_path)
    shop.done("import", *shops[1].values())
    return shop


def test_of_two_who_stated_at_once_the_more_cautious_is_in_force(west: Shop) -> None:
    with open_catalogue(west.url) as book:
        stated = book.find("NORTH/RE-1a").stated
    assert (stated["welds"], stated["condition"]) == ("repaired", "worn")


def test_two_who_decided_otherwise_at_once_are_in_conflict_until_somebody_decides_again(west: Shop) -> None:
    def large() -> Any:
        values = west.done("part", "show", "NORTH/RE-1", "--json").told["values"]
        return next(one for one in values if one["dimension"] == "large")

    assert large()["gap"].startswith("in conflict")
    take = ",".join(uid_of(west, one) for one in ("15.00", "15.01"))
    west.done("reading", "decide", "NORTH/RE-1", "stud", "large", "--take", take, "--reason", "gauged by a third")
    assert (large()["gap"], round(large()["value"], 1)) == ("", 15.0)


def test_what_was_decided_last_on_a_day_holds_elsewhere_too(west: Shop) -> None:
    values = west.done("part", "show", "NORTH/RE-2", "--json").told["values"]
    (large,) = [one for one in values if one["dimension"] == "large"]
    assert (large["gap"], large["value"]) == ("", 13.7)
    assert "gauged 5 times" in large["source"]


def test_whoever_withdrew_first_is_named_and_the_other_is_kept(west: Shop) -> None:
    engine = open_engine(west.url)
    with engine.connect() as connection:
        main = connection.execute(sa.text("SELECT reason FROM withdrawal")).scalars().all()
        further = connection.execute(sa.text("SELECT reason FROM further_withdrawal")).scalars().all()
    engine.dispose()
    assert {*main, *further} == {"wrong end, gauged", "wrong end, paint taken off"}
    assert (len(main), len(further)) == (1, 1)


def test_two_descriptions_stand_side_by_side(west: Shop) -> None:
    engine = open_engine(west.url)
    with engine.connect() as connection:
        years = connection.execute(sa.text("SELECT years FROM vehicle WHERE ref = 'V-1'")).scalar_one()
        other = connection.execute(sa.text("SELECT text FROM statement WHERE field = 'years'")).scalar_one()
    engine.dispose()
    assert (years, other) == ("1961-66", "61 to 66")
    # and whoever wrote the one that stands aside may take the same sheet in again
    west.done("vehicle", "add", "NORTH/V-1", "--years", "61 to 66")
    assert west("vehicle", "add", "NORTH/V-1", "--years", "1970").code == 65


def test_a_kept_reading_stays_that_of_the_shop_that_took_it(west: Shop) -> None:
    found = west.done("reading", "list", "NORTH/RE-1", "--json").told["readings"]
    assert {one["sitting"] for one in found} == {"NORTH/T-1", "NORTH/T-2", "SOUTH/T-9", "EAST/T-9"}


def test_a_chosen_part_brings_what_was_withdrawn_and_decided_of_it(shops: Given) -> None:
    sorts = [json.loads(line)["sort"] for line in shops[1]["south-part"].read_text("utf-8").splitlines()[1:]]
    told = {sort: sorts.count(sort) for sort in sorts}
    assert told["decision"] == 1
    assert told["part"] == 1
    assert told["item"] == 1
    assert "withdrawal" not in told  # that reading is of another part
    since = [json.loads(line) for line in shops[1]["east-since"].read_text("utf-8").splitlines()[1:]]
    assert {one["sort"] for one in since} >= {"reading", "withdrawal", "decision"}
    read = {one["sitting"] for one in since if one["sort"] == "reading"}
    assert read == {"EAST/T-9", "NORTH/T-1", "NORTH/T-2"}  # what the decision is over, and what was withdrawn


def relined(path: Path, number: int, /, **changes: Any) -> list[str]:
    """The lines of a file, one of them changed; digests as they should be, uids as they were."""
    lines = path.read_text("utf-8").splitlines()
    said = json.loads(lines[number]) | changes
    said.pop("digest")
    said = {name: value for name, value in said.items() if value != "left out"}
    digest = hashlib.sha256(canonical(said).encode()).hexdigest()
    lines[number] = canonical(said | {"digest": digest})
    return lines


def sealed(lines: list[str]) -> str:
    """A file of lines, its first line as it should be."""
    header = json.loads(lines[0])
    digests = [json.loads(line)["digest"] for line in lines[1:]]
    header |= {"records": len(digests), "content": hashlib.sha256("".join(digests).encode()).hexdigest()}
    return "\n".join([canonical(header), *lines[1:], ""])


def at(path: Path, sort: str, **said: Any) -> int:
    """The place of the first line of a sort that says this."""
    for number, text in enumerate(path.read_text("utf-8").splitlines()):
        line = json.loads(text)
        if line.get("sort") == sort and all(line[name] == value for name, value in said.items()):
            return number
    raise AssertionError(sort)


def refused(shops: Given, tmp_path: Path, text: str | bytes) -> Any:
    """The fault of a file, of which nothing went in."""
    path = tmp_path / "forged.jsonl"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    shutil.copy(shops[2], tmp_path / "x.sqlite")
    shop = Shop(f"sqlite:///{tmp_path / 'x.sqlite'}", tmp_path)
    said = shop("import", path, "--json")
    assert said.code in (65, 66), said
    for sort in ("vehicles", "parts", "readings", "sources"):
        assert shop.done("catalogue", "status", "--json").told[sort] == 0
    return json.loads(said.err)["errors"][0]


def test_a_byte_that_changed_on_the_way_is_named_by_its_line(shops: Given, tmp_path: Path) -> None:
    path = shops[1]["north-early"]
    number = at(path, "reading", entered="15.60")
    lines = path.read_text("utf-8").splitlines()
    lines[number] = lines[number].replace('"number":15.6', '"number":15.5')
    fault = refused(shops, tmp_path, "\n".join([*lines, ""]))
    assert (fault["code"], fault["place"]) == ("exchange-06", f"{tmp_path / 'forged.jsonl'}:{number + 1}")


@pytest.mark.parametrize(
    ("sort", "said", "changes", "code"),
    [
        ("reading", {"entered": "15.60"}, {"number": 15.5}, "exchange-14"),  # the text says 15.60
        ("reading", {"entered": "15.60"}, {"entered": "15.50", "number": 15.5}, "exchange-06"),  # another reading's uid
        ("reading", {"entered": "15.60"}, {"u": 1e-6}, "exchange-14"),
        ("reading", {"entered": "15.60"}, {"of": "NORTH/RE-2"}, "exchange-06"),
        ("reading", {"entered": "15.60"}, {"colour": "red"}, "exchange-08"),
        ("reading", {"entered": "15.60"}, {"tool": "left out"}, "exchange-08"),
        ("reading", {"entered": "15.60"}, {"occurrence": -1}, "exchange-09"),
        ("reading", {"entered": "15.60"}, {"u": True}, "exchange-09"),
        ("part", {"ref": "NORTH/RE-2"}, {"kind": "flying-carpet"}, "exchange-13"),
        ("part", {"ref": "NORTH/RE-2"}, {"sort": "carpet"}, "exchange-05"),
        ("sitting", {"ref": "NORTH/T-1"}, {"who": "Anna Bloggs of Somewhere"}, "exchange-09"),
        ("sitting", {"ref": "NORTH/T-1"}, {"source": "NORTH/S-none"}, "exchange-10"),
        ("sitting", {"ref": "NORTH/T-1"}, {"dated": "2999-01-01"}, "sitting-04"),
        ("sitting", {"ref": "NORTH/T-1"}, {"note": "a\0b"}, "exchange-09"),
        ("item", {"ref": "NORTH/RE-1a"}, {"part": "NORTH/RE-99"}, "exchange-10"),
        ("source", {"ref": "NORTH/S-own"}, {"kind": "gospel"}, "source-01"),
    ],
)
def test_what_is_made_up_is_refused_though_its_digest_is_right(
    shops: Given, tmp_path: Path, sort: str, said: dict[str, Any], changes: dict[str, Any], code: str
) -> None:
    path = shops[1]["north-early"]
    number = at(path, sort, **said)
    fault = refused(shops, tmp_path, sealed(relined(path, number, **changes)))
    assert (fault["code"], fault["place"]) == (code, f"{tmp_path / 'forged.jsonl'}:{number + 1}")


@pytest.mark.parametrize("sort", ["withdrawal", "decision", "statement", "join", "fitted-to", "build-item", "paper"])
def test_what_comes_later_of_a_sort_changes_what_follows_from_it(shops: Given, tmp_path: Path, sort: str) -> None:
    _, files, empty = shops
    whole = [path for path in files.values() if f'"sort":"{sort}"' in path.read_text("utf-8")]
    assert whole
    without = []
    for path in whole:
        lines = path.read_text("utf-8").splitlines()
        without.append(tmp_path / path.name)
        without[-1].write_text(sealed([line for line in lines if json.loads(line).get("sort") != sort]), "utf-8")
    told = taken(empty, [without])
    later = taken(empty, [without, whole])
    assert told != later == taken(empty, [whole])


def test_a_withdrawal_without_its_reading_is_refused(shops: Given, tmp_path: Path) -> None:
    path = shops[1]["south"]
    lines = path.read_text("utf-8").splitlines()
    (withdrawn,) = [json.loads(line)["reading"] for line in lines[1:] if json.loads(line)["sort"] == "withdrawal"]
    kept = [line for line in lines if json.loads(line).get("uid") != withdrawn]
    fault = refused(shops, tmp_path, sealed(kept))
    assert fault["code"] == "exchange-10"
    assert withdrawn[:8] in fault["message"]


@pytest.mark.parametrize(
    ("change", "code", "line"),
    [
        (lambda text: text[: len(text) // 2], "exchange-02", None),
        (lambda text: b"\n".join([*text.split(b"\n")[:5], *text.split(b"\n")[6:]]), "exchange-03", 1),
        (lambda text: b"\n".join([text.split(b"\n")[0], *text.split(b"\n")[2:1:-1], b""]), "exchange-03", 1),
        (
            lambda text: text.replace(b'"format":"fitment.exchange/1"', b'"format":"fitment.exchange/2"'),
            "exchange-04",
            1,
        ),
        (lambda text: b"{\n", "exchange-07", 1),
        (lambda text: b'{"format":' + b"[" * 100_000 + b"\n", "exchange-07", 1),
        (lambda text: text.replace(b"\n", b"\n\xff\xfe\n", 1), "exchange-07", 2),
        (lambda text: text.replace(b"\n", b'\n{"sort":NaN}\n', 1), "exchange-07", 2),
        (lambda text: text.replace(b"\n", b'\n{"sort":"part","sort":"item"}\n', 1), "exchange-07", 2),
        (lambda text: text.replace(b"\n", b'\n{"sort":' + b"9" * 5000 + b"}\n", 1), "exchange-07", 2),
        (lambda text: text.replace(b'"shop":"NORTH"', b'"shop":"OWN"', 1), "exchange-12", 1),
    ],
)
def test_a_damaged_file_is_refused_with_the_line(
    shops: Given, tmp_path: Path, change: Any, code: str, line: int | None
) -> None:
    fault = refused(shops, tmp_path, change(shops[1]["north-early"].read_bytes()))
    assert fault["code"] == code
    assert line is None or fault["place"] == f"{tmp_path / 'forged.jsonl'}:{line}"


def test_two_shops_of_one_code_are_told_apart_and_refused(shops: Given, tmp_path: Path, west: Shop) -> None:
    other = Shop(f"sqlite:///{tmp_path / 'other.sqlite'}", tmp_path)
    other.done("catalogue", "create", "--shop", "NORTH")
    other.done("part", "add", "RE-1", "--kind", "rod-end")
    file = tmp_path / "other.jsonl"
    other.done("export", "--exchange", file, "--permission", "x")
    before = west.done("catalogue", "status", "--json").told
    said = west("import", file)
    assert said.code == 65
    assert "the code NORTH is that of a shop on record with another catalogue" in said.err
    assert west.done("catalogue", "status", "--json").told == before
    own = shops[0]["NORTH"]
    assert "the code NORTH is that of this catalogue" in own("import", file).err


def test_a_thing_that_is_another_here_refuses_the_file(shops: Given, tmp_path: Path) -> None:
    shutil.copy(shops[2], tmp_path / "x.sqlite")
    shop = Shop(f"sqlite:///{tmp_path / 'x.sqlite'}", tmp_path)
    shop.done("part", "add", "NORTH/RE-1", "--kind", "tie-rod")
    said = shop("import", shops[1]["north-early"])
    assert said.code == 65
    assert "NORTH/RE-1 is on record here with another kind" in said.err
    assert shop.done("catalogue", "status", "--json").told["readings"] == 0


def test_a_catalogue_without_a_code_gives_nothing(tmp_path: Path) -> None:
    shop = Shop(f"sqlite:///{tmp_path / 'x.sqlite'}", tmp_path)
    shop.done("catalogue", "create")
    shop.done("part", "add", "RE-1", "--kind", "rod-end")
    said = shop("export", "--exchange", tmp_path / "x.jsonl", "--permission", "x")
    assert (said.code, (tmp_path / "x.jsonl").exists()) == (65, False)
    assert "every catalogue without a code of its own is OWN" in said.err


def test_the_folders_of_papers_stay_at_home(shops: Given) -> None:
    text = shops[1]["north-late"].read_text("utf-8")
    assert '"path":"two.toml"' in text
    assert str(shops[0]["NORTH"].folder) not in text


def test_every_line_is_as_the_schema_says_and_the_schema_says_it_all(shops: Given, capsys: Any) -> None:
    from fitment.cli.main import answer

    assert answer(["schema", "exchange"]) == 0
    schema = json.loads(capsys.readouterr().out)
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    seen = set()
    for path in shops[1].values():
        for text in path.read_text("utf-8").splitlines():
            line = json.loads(text)
            validator.validate(line)
            assert not validator.is_valid(line | {"another": "key"})
            if line.get("sort") not in seen:
                assert not any(validator.is_valid({k: line[k] for k in line if k != key}) for key in line)
            seen.add(line.get("sort"))
    assert seen - {None} == set(FIELDS)
    by_sort = {one["properties"]["sort"]["const"]: one for one in schema["oneOf"][1:]}
    assert {sort: set(one["required"]) - {"sort", "uid", "digest"} for sort, one in by_sort.items()} == {
        sort: set(fields) for sort, fields in FIELDS.items()
    }


def test_a_file_and_a_sheet_do_not_go_together(shops: Given, west: Shop) -> None:
    (west.folder / "v.csv").write_text("vehicle\nV-1\n", "utf-8")
    assert west("import", shops[1]["south"], west.folder / "v.csv").code == 2


def test_dry_runs_keep_nothing(shops: Given, tmp_path: Path) -> None:
    shutil.copy(shops[2], tmp_path / "x.sqlite")
    shop = Shop(f"sqlite:///{tmp_path / 'x.sqlite'}", tmp_path)
    assert "would add: " in shop.done("import", shops[1]["south"], "--dry-run").out
    assert shop.done("catalogue", "status", "--json").told["parts"] == 0
    north, file = shops[0]["NORTH"], tmp_path / "n.jsonl"
    assert "would hold" in north.done("export", "--exchange", file, "--permission", "x", "--dry-run").out
    assert not file.exists()


def test_a_reading_of_our_own_sitting_that_we_never_had_is_told(shops: Given, tmp_path: Path) -> None:
    north = copied(shops[0]["NORTH"], tmp_path / "n")
    said = north.done("import", shops[1]["south"])
    assert "of your own shop" not in said.err
    shop = Shop(f"sqlite:///{tmp_path / 'lost.sqlite'}", tmp_path)
    shop.done("catalogue", "create", "--shop", "SOUTH")
    fault = shop("import", shops[1]["south"])
    assert fault.code == 65  # another catalogue of that code
    assert uid_of(north, "15.01")


def test_faults_of_a_file_are_faults_of_the_library_too(shops: Given, tmp_path: Path) -> None:
    engine = create(f"sqlite:///{tmp_path / 'x.sqlite'}", "WEST")
    (tmp_path / "bad.jsonl").write_text("{}\n")
    with pytest.raises(DataFault, match="the first line is not that of an exchange file"):
        take_files(engine, [tmp_path / "bad.jsonl"])
    engine.dispose()
