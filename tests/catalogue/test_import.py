"""Sheets in: everything or nothing, every fault at once, twice is once; and out again without loss."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest
import sqlalchemy as sa
from sqlalchemy.engine import Engine

from fitment.catalogue.book import Book
from fitment.catalogue.database import create
from fitment.catalogue.dictionary import find_dimension, part_kinds
from fitment.catalogue.exporting import export_folder, template
from fitment.catalogue.importing import import_files
from fitment.catalogue.schema import Part, Reading
from fitment.catalogue.sheet_text import parse_sheet
from fitment.catalogue.values import read_values
from fitment.catalogue.verifying import derived_rows
from fitment.errors import DataFault, Faults, FitmentError, NotFoundFault
from tests.catalogue.conftest import HEAD, Fill


def faults_of(fill: Fill, *texts: str) -> list[str]:
    with pytest.raises(FitmentError) as caught:
        fill(*texts)
    fault = caught.value
    return [
        f"{one.place}: {one.message} | {one.mending}"
        for one in (fault.faults if isinstance(fault, Faults) else [fault])
    ]


def test_the_same_file_twice_changes_nothing(engine: Engine, fill: Fill) -> None:
    sheet = HEAD + "stud.large\nRE-1,one,,T1,mm,,15.00; 15.00; 15.02\nRE-1,,,T2,inch,,9/16\n"
    assert fill(sheet)["reading"] == 4
    with engine.connect() as connection:
        before = Book(connection).stamp()
    assert fill(sheet) == {}
    with engine.connect() as connection:
        assert Book(connection).stamp() == before
    assert before.revision == 1


def test_dry_run_counts_and_keeps_nothing(engine: Engine, fill: Fill) -> None:
    sheet = HEAD + "stud.large\nRE-1,one,,T1,mm,,15.00\n"
    assert fill(sheet, dry_run=True) == {"source": 6, "sitting": 6, "part": 1, "reading": 1}
    with engine.connect() as connection:
        assert connection.execute(sa.select(sa.func.count(Part.id))).scalar_one() == 0


def test_every_fault_is_told_at_once_and_nothing_is_kept(engine: Engine, fill: Fill) -> None:
    sheet = HEAD + "stud.large,stud.thread,stud.opens\nRE-1,one,,T1,mm,,15.00 kg,M14x1.7,up\nRE-2,two,,T9,mm,odd,15,,\n"
    told = faults_of(fill, sheet)
    assert [line.split(":")[0] for line in told] == [
        "sheet3.csv, row 1, column stud.opens",
        "sheet3.csv, row 2, column stud.large",
        "sheet3.csv, row 2, column stud.thread",
        "sheet3.csv, row 3, column rod-end",
    ]
    assert "no sitting T9" in told[3]
    with engine.connect() as connection:
        assert connection.execute(sa.select(sa.func.count(Part.id))).scalar_one() == 0


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        (
            "stud.large\nRE-1,,,,mm,,15\n",
            "sheet3.csv, row 2, column rod-end: the row has readings but no sitting"
            " | name who measured, when and with what",
        ),
        (
            "stud.large\nRE-1,,,T1,cm,,15\n",
            'sheet3.csv, row 2, column rod-end: units are "cm" | allowed: mm, inch',
        ),
        (
            "stud.large\nRE-1,,,T1,mm,rusty,15\n",
            'sheet3.csv, row 2, column rod-end: condition is "rusty" | allowed: new, used, worn, unknown',
        ),
        (
            "stud.large\nRE-1,,,T1,,,0.5625 in ; 150 mm\n",
            "sheet3.csv, row 2, column stud.large: diameter at the large end of the cone 150 mm is outside the usual"
            ' 12 to 20 mm | check the unit and the decimal; if it is right, write "!" after it',
        ),
        (
            "stud.large [kg]\nRE-1,,,T1,mm,,15\n",
            'sheet3.csv, row 1, column stud.large: column stud.large cannot be headed in "kg" | allowed: in, mm',
        ),
        (
            "stud.seat-trial\nRE-1,,,T1,mm,,good\n",
            'sheet3.csv, row 2, column stud.seat-trial: "good" is not a trial | write pass or fail, then "with SHOP/REF'
            ' feature" or "gauge 1:10", "contact 85 %", "standoff 2 mm"',
        ),
        (
            "stud.large\nRE-1,,,T1,mm,,15 @blueing\n",
            "sheet3.csv, row 2, column stud.large: taper gauge or known-good stud with blueing gives pass or fail,"
            " not a number | name the tool that gave the number",
        ),
        (
            "stud.seat-trial\nRE-1,,,T1,mm,,pass with KN-9 eye\n",
            "sheet3.csv, row 2, column stud.seat-trial: no part KN-9 | allowed: OWN/RE-1",
        ),
        (
            "stud.seat-trial\nRE-1,,,T1,mm,,pass with RE-1 shank contact 900 %\n",
            "sheet3.csv, row 2, column stud.seat-trial: contact 900% is not between 0 and 100 % | check the number",
        ),
        (
            "shank.hand\nRE-1,,,T1,mm,,left-ish\n",
            'sheet3.csv, row 2, column shank.hand: hand cannot be "left-ish" | allowed: LH, RH',
        ),
        (
            "stud.large\nRE 1,,,T1,mm,,15\n",
            'sheet3.csv, row 2, column rod-end: "RE 1" is not a reference'
            " | write SHOP/REF with letters, digits, - _ . only",
        ),
    ],
)
def test_messages(fill: Fill, rows: str, told: str) -> None:
    assert told in faults_of(fill, HEAD + rows)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "x.csv: the file is empty"),
        ("rod-end,stud.large,stud.large\n", 'x.csv, row 1: heading "stud.large" stands twice'),
        ("rod-end,name\nRE-1,a,b\n", "x.csv, row 2: the row has 3 cells where there are 2 headings"),
        (
            "rod-end,stud.large [mm]\n#units,in\n",
            'x.csv: column stud.large is in "mm" by its heading and in "in" by the units row',
        ),
        ('rod-end\n"a"b\n', "x.csv, row 2: not readable as CSV: ',' expected after '\"'"),
    ],
)
def test_messages_of_a_sheet_that_cannot_be_read(text: str, told: str) -> None:
    with pytest.raises(DataFault) as caught:
        parse_sheet(text, "x.csv")
    assert f"{caught.value.place}: {caught.value.message}" == told


def test_a_decimal_comma_survives_commas_and_semicolons() -> None:
    assert parse_sheet('rod-end,stud.large\nRE-1,"12,9"\n', "x").rows[0].cells["stud.large"] == "12,9"
    assert parse_sheet("rod-end;stud.large\nRE-1;12,9\n", "x").rows[0].cells["stud.large"] == "12,9"


def test_another_description_under_one_reference_is_refused(fill: Fill) -> None:
    told = faults_of(fill, "rod-end,name\nRE-1,one\nRE-1,two\n")
    assert told == [
        'sheet3.csv, row 3, column rod-end: OWN/RE-1 is there already with name "one", not "two"'
        " | use another reference, or leave the cell empty"
    ]


def test_a_reference_names_one_thing_only(fill: Fill) -> None:
    told = faults_of(fill, "rod-end\nX-1\n", "vehicle\nX-1\n")
    assert told == ["sheet3.csv, row 2, column rod-end: OWN/X-1 is the reference of a vehicle already | use another"]


def test_the_text_as_entered_is_kept(engine: Engine, fill: Fill) -> None:
    fill(HEAD + 'stud.large,stud.thread,stud.end\nRE-1,,,T1,inch,,9/16 ±1/64,1/2-20 LH,"1,5"\n')
    with engine.connect() as connection:
        rows = {r.dimension: r for r in connection.execute(sa.select(*Reading.__table__.columns))}
    assert (rows["large"].entered, rows["large"].bare_unit) == ("9/16 ±1/64", "in")
    assert rows["large"].number == pytest.approx(14.2875)
    assert rows["large"].u == pytest.approx(25.4 / 64 / 3**0.5)
    assert (rows["thread"].entered, rows["thread"].word) == ("1/2-20 LH", "1/2-20 UNF-LH")
    assert rows["end"].number == pytest.approx(38.1)


def test_export_and_import_give_the_same_readings_and_derived_rows(engine: Engine, fill: Fill, tmp_path: Path) -> None:
    fill(
        HEAD
        + "stud.large,stud.small,stud.length,shank.thread,stud.seat-trial\n"
        + 'RE-1,one,RE-1a,T1,mm,used,15.00 @micrometer; 15.01 @micrometer,"13,25","17.5 ±0.1 mm",M14x1.5-LH,\n'
        + "RE-1,,,T4,inch,,9/16,,,9/16-18,\n"
        + "RE-2,=two,,T2,mm,worn,15.4,,,,pass with OWN/KN-1 eye contact 85 % standoff 1.5 mm\n",
        "vehicle,maker,model,sitting,body.wheelbase [mm]\nV-1,Invented,One,T1,2110\n",
        "item,part,condition,welds\nRE-1a,RE-1,used,none\n",
        "knuckle\nKN-1\n",
    )
    with engine.connect() as connection:
        written = export_folder(connection, tmp_path / "out")
        stamp = Book(connection).stamp()
        derived = {name: len(rows) for name, rows in derived_rows(connection).items()}
    other = create(f"sqlite:///{tmp_path / 'other.sqlite'}")
    import_files(other, written)
    with other.connect() as connection:
        assert Book(connection).stamp().digest == stamp.digest
        assert {name: len(rows) for name, rows in derived_rows(connection).items()} == derived
        export_folder(connection, tmp_path / "again")
    other.dispose()
    for path in written:
        assert (tmp_path / "again" / path.name).read_text() == path.read_text()


def test_export_refuses_a_folder_that_holds_something(engine: Engine, tmp_path: Path) -> None:
    (tmp_path / "x").touch()
    with engine.connect() as connection, pytest.raises(DataFault, match="the folder is not empty"):
        export_folder(connection, tmp_path)


@pytest.mark.parametrize("kind", ["rod-end", "rack", "vehicle", "knuckle", "source", "sitting", "item"])
def test_a_template_is_itself_a_sheet(engine: Engine, tmp_path: Path, kind: str) -> None:
    path = tmp_path / "empty.csv"
    path.write_text(template(kind), encoding="utf-8")
    assert import_files(engine, [path]).added == {}


def test_a_missing_file_is_not_found(engine: Engine, tmp_path: Path) -> None:
    with pytest.raises(NotFoundFault, match="no such file"):
        import_files(engine, [tmp_path / "nothing.csv"])


def test_a_calliper_in_a_hole_means_its_inside_jaws(engine: Engine, fill: Fill) -> None:
    fill("knuckle,sitting,units,eye.large,eye.small,eye.thick\nKN-1,T1,mm,15.3 @calliper,13.05,18 @calliper\n")
    with engine.connect() as connection:
        tools = {r.dimension: r.tool for r in connection.execute(sa.select(*Reading.__table__.columns))}
    assert tools == {"large": "calliper-tapered-eye", "small": "calliper-tapered-eye", "thick": "calliper"}


def test_a_micrometer_does_not_reach_into_a_hole(fill: Fill) -> None:
    assert faults_of(fill, "knuckle,sitting,units,eye.large\nKN-1,T1,mm,15.3 @micrometer\n") == [
        "sheet3.csv, row 2, column eye.large: diameter at the large face is an inside, which a micrometer for outsides"
        " does not reach | name what it was read with: ball-gauge, calliper-inside, calliper-tapered-eye"
    ]


@pytest.mark.parametrize(
    ("tool", "dimension", "value", "used"),
    [
        ("calliper", "body.inner-spacing", "612", "tape"),
        ("calliper", "bar-end.left.depth", "25", "depth-rod"),
        ("calliper", "body.bar-dia", "24.1", "calliper"),
        ("micrometer", "body.bar-dia", "24.1", "micrometer"),
        ("micrometer", "body.tube-left", "42.1", "calliper"),
        ("rule", "body.bar-dia", "24", "rule"),
    ],
)
def test_the_tool_of_a_sitting_measures_only_what_it_reaches(tool: str, dimension: str, value: str, used: str) -> None:
    part, feature = part_kinds()["rack"], dimension.rpartition(".")[0]
    found = find_dimension(part, feature, dimension.rpartition(".")[2])
    assert [one.tool for one in read_values(found, value, "mm", tool, measured=True)] == [used]


@pytest.mark.parametrize(("above", "said", "value"), [("mm", "inch", "9/16"), ("in", "mm", "15.02")])
def test_a_row_in_other_units_than_the_units_row_is_refused(fill: Fill, above: str, said: str, value: str) -> None:
    sheet = HEAD + f"stud.large,stud.thread\n#units,,,,,,{above},\nRE-1,one,,T1,{said},,{value},M12x1.25\n"
    assert faults_of(fill, sheet) == [
        f'sheet3.csv, row 3, column units: the row says its units are "{said}", and the units row says "{above}" of'
        " stud.large | make the two agree, or write each value with its unit: 9/16 in"
    ]


@pytest.mark.parametrize(
    ("heading", "above", "said", "value", "number"),
    [
        ("stud.large", "mm", "inch", "9/16 in", 14.2875),
        ("stud.large", "mm", "inch", "9/16 in @calliper !; 0.5625 in", 14.2875),
        ("stud.large", "in", "mm", "15 mm", 15.0),
        ("stud.large", "mm", "mm", "15", 15.0),
        ("stud.large", "mm", "", "15", 15.0),
        ("stud.large", "", "inch", "9/16", 14.2875),
        ("stud.large [mm]", "", "inch", "15", 15.0),
        ("stud.tilt", "deg", "inch", "25", 25.0),
    ],
)
def test_a_units_row_and_the_units_of_a_row_that_agree(
    engine: Engine, fill: Fill, heading: str, above: str, said: str, value: str, number: float
) -> None:
    fill(HEAD + f"{heading}\n#units,,,,,,{above}\nRE-1,one,,T1,{said},,{value}\n")
    with engine.connect() as connection:
        numbers = connection.execute(sa.select(Reading.number)).scalars().all()
    assert numbers == pytest.approx([number] * (1 + value.count(";")))


@pytest.mark.parametrize(
    ("column", "value", "told"),
    [
        ("stud.large", "-15 mm", "diameter at the large end of the cone -15 mm cannot be zero or less"),
        ("stud.large", "-15 mm !", "diameter at the large end of the cone -15 mm cannot be zero or less"),
        ("stud.large", "0 mm !", "diameter at the large end of the cone 0 mm cannot be zero or less"),
        ("stud.end", "-40 mm !", "large end of the cone to the end of the stud -40 mm cannot be zero or less"),
        ("body.mass", "0 kg !", "mass 0 kg cannot be zero or less"),
    ],
)
def test_no_sign_makes_a_size_of_zero_or_less(fill: Fill, column: str, value: str, told: str) -> None:
    assert faults_of(fill, HEAD + f"{column}\nRE-1,one,,T1,,,{value}\n") == [
        f"sheet3.csv, row 2, column {column}: {told}"
        " | write what the tool reads; leave the cell empty if it was not measured"
    ]


def test_what_has_a_sign_keeps_it_and_an_unusual_size_can_be_meant(engine: Engine, fill: Fill) -> None:
    knuckle = "knuckle,sitting,body.arm-forward,body.arm-height\nKN-1,T1,-80 mm,-12 mm\n"
    car = "vehicle,sitting,corner.left.camber,corner.left.castor,corner.left.scrub\nV-1,T1,-3 deg !,-1 deg !,-25 mm !\n"
    assert fill(knuckle, car, HEAD + "stud.large\nRE-1,one,,T1,,,150 mm !\n")["reading"] == 6


def test_a_sitting_yet_to_come_is_refused_unless_the_date_is_fixed(fill: Fill, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    sheet = "sitting,who,date,source\nT9,AB,2926-01-02,S-own\n"
    (told,) = faults_of(fill, sheet)
    assert told.startswith(
        "sheet3.csv, row 2, column sitting: the sitting is dated 2926-01-02, which is yet to come: today"
    )
    assert told.endswith("| write the day on which it was measured, year-month-day; or set this computer's clock")
    now = datetime.datetime.now(datetime.UTC).date()
    assert "sitting" in fill(f"sitting,who,date,source\nT8,AB,{now + datetime.timedelta(days=1)},S-own\n")
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780000000")
    assert fill(sheet)["sitting"] == 1


def test_an_item_of_another_part_is_told_by_references(fill: Fill) -> None:
    parts = "rod-end,name\nRE-1,one\nRE-2,two\n"
    assert faults_of(fill, parts, "item,part\nRE-1a,RE-1\n", "item,part\nRE-1a,RE-2\n") == [
        'sheet5.csv, row 2, column item: OWN/RE-1a is there already with part "OWN/RE-1", not "OWN/RE-2"'
        " | use another reference, or leave the cell empty"
    ]


def test_a_vehicle_that_says_two_things_in_one_sheet_is_refused(engine: Engine, fill: Fill) -> None:
    fill("rod-end,name,note\nP-1,x,seen in the yard\n")
    with pytest.raises(DataFault, match='"red", not "seen in the yard"'):
        fill("vehicle,maker,note\nV-1,Fadrell,red\nV-1,Fadrell,seen in the yard\n")
    assert fill("vehicle,maker,note\nV-1,Fadrell,red\nV-1,Fadrell,red\n") == {"vehicle": 1}
