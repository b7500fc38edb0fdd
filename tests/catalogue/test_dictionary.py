"""The dictionary of kinds, features and dimensions: its tables hold together, and people's words find their rows."""

from __future__ import annotations

import csv
import random
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.catalogue import dictionary
from fitment.catalogue.dictionary import (
    Dimension,
    PartKind,
    dimensions_of,
    find_dimension,
    find_feature,
    find_kind,
    part_kinds,
)
from fitment.errors import DataFault
from fitment.quantity.units import KINDS, canonical_unit, system_unit

QUANTITIES = {"length", "angle", "mass", "force", "torque", "turns", "rate", "count", "fraction", "number"}
IN_LENGTHS = {"point", "distances"}
WITHOUT_UNIT = {"word", "thread", "taper", "trial"}

TOOLS = {
    "calliper",
    "calliper-inside",
    "calliper-tapered-eye",
    "depth-rod",
    "micrometer",
    "ball-gauge",
    "rule",
    "tape",
    "chalk",
    "plumb",
    "laser",
    "pitch-gauge",
    "go-gauge",
    "blueing",
    "count",
    "angle-finder",
    "phone",
    "protractor",
    "string",
    "toe-plates",
    "turns",
    "torque-wrench",
    "look",
    "paper",
    "dial-gauge",
    "scale",
    "feeler",
}

RANGE_SOURCES = {
    "common practice, no source",
    "from memory",
    "common practice or from memory, no source",
    "a size is above zero",
}

SECTIONS = [f"4.{number}" for number in range(2, 16)]

KEBAB = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")

FEATURES = {
    "rack": "body:rack-body bar-end.left:bar-end bar-end.right:bar-end pinion:spline-end mount:pattern",
    "inner-joint": "body:ball-body bar-side:thread-end rod-side:thread-end",
    "tie-rod": "body:rod-body inner:thread-end outer:thread-end",
    "rod-end": "body:ball-body shank:thread-end stud:stud",
    "spherical-rod-end": "body:spherical-body shank:thread-end",
    "knuckle": "body:knuckle-body eye:eye",
    "intermediate-shaft": "body:shaft-body upper:spline-end lower:spline-end",
    "universal-joint": "body:joint-body upper:spline-end lower:spline-end",
    "column": "body:column-body lower-end:spline-end wheel-end:spline-end",
    "boot": "body:boot-body",
    "mount": "body:mount-body",
    "crossmember": "body:crossmember-body mount:pattern",
    "adapter": "body:adapter-body a:thread-end b:thread-end bore:eye",
    "vehicle": "body:vehicle-body corner.left:corner corner.right:corner",
}

#: names that joints, kits and people's spreadsheets rely on: kind of feature -> name:kind of value
FIXED = {
    "bar-end": "thread:thread sex:word hand:word od:length pitch:length minor:length depth:length locking:word "
    "class:word thread-trial:trial assembled-with:trial as-left:word",
    "thread-end": "thread:thread sex:word hand:word od:length pitch:length minor:length depth:length locking:word "
    "class:word thread-trial:trial assembled-with:trial",
    "stud": "thread:thread hand:word od:length pitch:length locking:word class:word thread-length:length taper:taper "
    "large:length small:length length:length thread-start:length end:length pin-hole:length pin-dia:length "
    "flange:length height:length tilt:angle nut:word seat-trial:trial gauge-trial:trial thread-trial:trial "
    "assembled-with:trial",
    "eye": "taper:taper large:length small:length thick:length opens:word boss-large:length boss-small:length "
    "wall:length oval:length tilt:angle seat-trial:trial gauge-trial:trial reamed-to:trial assembled-with:trial",
    "spline-end": "spline:count od:length form:word sex:word name:word minor:length engagement:length groove:word "
    "groove-position:length groove-width:length groove-depth:length flat:length present:count over-pins:length "
    "pin:length spline-trial:trial assembled-with:trial",
    "pattern": "holes:distances hole-dia:length bolt:thread lateral-stop:word hole-1:point hole-8:point "
    "assembled-with:trial",
    "vehicle-body": "wheelbase:length track-front:length track-rear:length",
    "corner": "lower-front:point lower-rear:point lower-ball:point upper-front:point upper-rear:point upper-ball:point "
    "arm-eye:point strut-top:point inclination:angle castor:angle camber:angle toe:angle lock-inner:angle "
    "lock-outer:angle as-left:word",
}

WORDS = {
    ("bar-end", "hand"): ("RH", "LH"),
    ("bar-end", "sex"): ("male", "female"),
    ("stud", "hand"): ("RH", "LH"),
    ("eye", "opens"): ("up", "down"),
    ("spline-end", "groove"): ("annular", "notch", "flat", "none"),
    ("pattern", "lateral-stop"): ("yes", "no"),
    ("corner", "as-left"): ("yes",),
    ("spline-end", "form"): (
        "involute-30",
        "involute-37.5",
        "involute-45",
        "serration",
        "DD",
        "triangular",
        "plain",
        "unknown",
    ),
}

FEATURE_KINDS = sorted({of for features in FEATURES.values() for _, of in (f.split(":") for f in features.split())})


def rows() -> list[dict[str, str]]:
    with (Path(dictionary.__file__).parent / "dimensions.csv").open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table, strict=True))


EVERY = [(of, dimension) for of in FEATURE_KINDS for dimension in dimensions_of(of).values()]


def plain(word: str) -> str:
    """A word without case, spaces and signs; written apart from the loader's own rule."""
    return "".join(sign for sign in word.casefold() if sign.isalnum())


def test_the_kinds_and_their_features() -> None:
    found = {
        name: " ".join(f"{feature}:{of}" for feature, of in kind.features.items())
        for name, kind in part_kinds().items()
    }
    assert found == FEATURES
    assert list(found) == list(FEATURES)
    assert all(kind.kind == name for name, kind in part_kinds().items())


def test_the_kinds_are_titled_and_their_sections_known() -> None:
    for kind in part_kinds().values():
        assert kind.title == kind.title.strip() != ""
        assert kind.section in SECTIONS
        assert all(synonym == synonym.strip() != "" for synonym in kind.synonyms)
    assert part_kinds()["mount"].title == "mounting bush and clamp"
    assert part_kinds()["tie-rod"].note == (
        "where the inner joint is made in one with the rod, its inner end screws to the bar"
    )
    assert part_kinds()["column"].note == ""


def test_no_word_means_two_kinds() -> None:
    owners: dict[str, set[str]] = {}
    for kind in part_kinds().values():
        for word in (kind.kind, kind.title, *kind.synonyms):
            owners.setdefault(plain(word), set()).add(kind.kind)
    assert {word: kinds for word, kinds in owners.items() if len(kinds) > 1} == {}


def test_every_kind_of_feature_has_dimensions_and_no_row_is_for_another() -> None:
    assert sorted({of for row in rows() for of in row["feature_kinds"].split()}) == FEATURE_KINDS


@pytest.mark.parametrize("feature_kind", FEATURE_KINDS)
def test_no_name_and_no_title_means_two_dimensions_of_a_feature(feature_kind: str) -> None:
    names = [
        plain(word)
        for row in rows()
        if feature_kind in row["feature_kinds"].split()
        for word in (row["dimension"], *filter(None, row["synonyms"].split("|")))
    ]
    assert sorted(name for name in set(names) if names.count(name) > 1) == []
    titles = [dimension.title for dimension in dimensions_of(feature_kind).values()]
    assert len(set(titles)) == len(titles)


@pytest.mark.parametrize("feature_kind", FIXED)
def test_the_names_that_others_rely_on(feature_kind: str) -> None:
    wanted = dict(pair.split(":") for pair in FIXED[feature_kind].split())
    known = dimensions_of(feature_kind)
    assert {name: known[name].value_kind if name in known else "absent" for name in wanted} == wanted


def test_the_words_that_others_rely_on() -> None:
    assert {place: dimensions_of(place[0])[place[1]].words for place in WORDS} == WORDS


def test_a_stud_has_no_sex_and_its_length_is_the_cone_s() -> None:
    assert "sex" not in dimensions_of("stud")
    assert dimensions_of("stud")["length"].title == "length of the cone"
    assert "length" not in dimensions_of("bar-end")


def test_every_right_side_can_be_taken_to_be_as_the_left() -> None:
    rights = {of for kind in part_kinds().values() for name, of in kind.features.items() if name.endswith(".right")}
    assert rights == {"bar-end", "corner"}
    assert {of for of, dimension in EVERY if dimension.dimension == "as-left"} == rights


def test_every_body_has_a_mass_but_the_vehicle_s() -> None:
    bodies = {kind.features["body"] for kind in part_kinds().values()}
    assert {of for of, dimension in EVERY if dimension.dimension == "mass"} == bodies - {"vehicle-body"}
    with_welds = {of for of, dimension in EVERY if dimension.dimension == "welds"}
    assert with_welds == bodies - {"vehicle-body", "boot-body"} | {"eye"}
    assert {"none", "maker's", "unknown"} <= set(dimensions_of("shaft-body")["welds"].words)


@pytest.mark.parametrize("section", SECTIONS)
def test_every_section_is_covered(section: str) -> None:
    assert [row for row in rows() if row["section"] == section]


def test_no_section_is_unknown() -> None:
    assert {row["section"] for row in rows()} == set(SECTIONS)


def test_names_are_short_and_hyphenated() -> None:
    for row in rows():
        for name in (row["dimension"], *filter(None, row["synonyms"].split("|"))):
            assert KEBAB.fullmatch(name), name
        assert len(row["dimension"]) <= 20, row["dimension"]
    for kind in part_kinds().values():
        assert KEBAB.fullmatch(kind.kind)
        for feature in kind.features:
            assert all(KEBAB.fullmatch(piece) for piece in feature.split(".")), feature


def test_values_have_known_kinds_and_the_units_of_their_kind() -> None:
    assert set(KINDS) - {"taper"} == QUANTITIES
    for row in rows():
        kind = row["value_kind"]
        assert kind in QUANTITIES | IN_LENGTHS | WITHOUT_UNIT, row["dimension"]
        units = ("", "")
        if kind not in WITHOUT_UNIT:
            measured = "length" if kind in IN_LENGTHS else kind
            units = (canonical_unit(measured).symbol, system_unit(measured, "inch").symbol)
        assert (row["unit"], row["inch_unit"]) == units, row["dimension"]


def test_ranges_are_in_order_and_say_where_they_come_from() -> None:
    ranged = 0
    for of, dimension in EVERY:
        limits = [limit for limit in (dimension.low, dimension.high) if limit is not None]
        ranged += len(limits) > 0
        assert limits == sorted(set(limits)), (of, dimension.dimension)
        if limits:
            assert dimension.range_source in RANGE_SOURCES, (of, dimension.dimension)
            assert dimension.value_kind in QUANTITIES | {"taper"}, (of, dimension.dimension)
        else:
            assert dimension.range_source == "", (of, dimension.dimension)
    assert ranged > 100


@pytest.mark.parametrize(
    ("feature_kind", "name", "low", "high", "source"),
    [
        # usual ranges of the trade, common practice or from memory, no source
        ("rack-body", "inner-spacing", 500.0, 750.0, "common practice or from memory, no source"),
        ("rack-body", "travel", 120.0, 180.0, "common practice or from memory, no source"),
        ("rack-body", "turns", 2.3, 4.5, "common practice or from memory, no source"),
        ("rack-body", "speed", 28.0, 60.0, "common practice or from memory, no source"),
        ("stud", "large", 12.0, 20.0, "common practice or from memory, no source"),
        ("stud", "tilt", 20.0, 30.0, "common practice or from memory, no source"),
        ("eye", "thick", 12.0, 25.0, "common practice or from memory, no source"),
        ("spline-end", "spline", 24.0, 48.0, "common practice or from memory, no source"),
        ("boot-body", "free", 120.0, 220.0, "common practice or from memory, no source"),
        ("corner", "camber", -2.0, 1.0, "common practice or from memory, no source"),
        # marked as from memory in the trade's table
        ("joint-body", "angle-limit", 30.0, 35.0, "from memory"),
        ("adapter-body", "hardness", 25.0, 35.0, "from memory"),
        # no usual range: wear must be recordable
        ("eye", "oval", None, None, ""),
    ],
)
def test_usual_ranges(feature_kind: str, name: str, low: float | None, high: float | None, source: str) -> None:
    dimension = dimensions_of(feature_kind)[name]
    assert (dimension.low, dimension.high, dimension.range_source) == (low, high, source)


def test_usual_tapers_take_in_the_ones_in_use_and_not_a_half_angle_for_a_full_one() -> None:
    taper = dimensions_of("stud")["taper"]
    assert taper.low is not None
    assert taper.high is not None
    # 1:10, 1:8, 1:6: tapers named for steering studs (trade boards); 7 deg taken as half angle is about 1:4.07
    assert all(taper.low < ratio < taper.high for ratio in (1 / 10, 1 / 8, 1 / 6))
    assert taper.high < 1 / 4.07


def test_words_are_well_formed_and_only_for_words() -> None:
    for of, dimension in EVERY:
        place = (of, dimension.dimension)
        if dimension.words:
            assert dimension.value_kind == "word", place
        assert all(word == word.strip() != "" for word in dimension.words), place
        assert len({plain(word) for word in dimension.words}) == len(dimension.words), place


def test_everything_has_a_title_a_tool_and_one_line_of_how() -> None:
    for row in rows():
        assert row["tool"] in TOOLS, row["dimension"]
        for cell in ("title", "how"):
            assert row[cell] == " ".join(row[cell].split()) != "", row["dimension"]
            assert not row[cell].endswith("."), row["dimension"]
        assert len(row["how"]) <= 140, row["dimension"]


def test_trials_name_a_tool_that_passes_or_fails() -> None:
    tools = {dimension.tool for _, dimension in EVERY if dimension.value_kind == "trial"}
    assert tools == {"blueing", "go-gauge", "look"}


def test_no_sheet_promises_or_tells_to_weld() -> None:
    for row in rows():
        text = f"{row['title']} {row['how']}".casefold()
        assert not re.search(r"\b(safe|legal|will pass|strong enough|weld it|heat it|splice)\b", text), row["dimension"]


@pytest.mark.parametrize(
    ("word", "kind"),
    [
        ("rack", "rack"),
        ("Steering Rack", "rack"),
        ("rack end", "inner-joint"),
        ("axial joint", "inner-joint"),
        ("track rod", "tie-rod"),
        ("tie_rod", "tie-rod"),
        ("tierod", "tie-rod"),
        ("outer joint", "rod-end"),
        ("track-rod end", "rod-end"),
        ("rose joint", "spherical-rod-end"),
        ("spherical", "spherical-rod-end"),
        ("steering arm", "knuckle"),
        ("upright", "knuckle"),
        ("spindle", "knuckle"),
        ("UJ", "universal-joint"),
        ("u-joint", "universal-joint"),
        ("U joint", "universal-joint"),
        ("steering column", "column"),
        ("gaiter", "boot"),
        ("bellows", "boot"),
        ("mounting bush and clamp", "mount"),
        ("saddle clamp", "mount"),
        ("subframe", "crossmember"),
        ("cross-member", "crossmember"),
        ("taper sleeve", "adapter"),
        ("car", "vehicle"),
    ],
)
def test_trade_words(word: str, kind: str) -> None:
    assert find_kind(word).kind == kind


def test_every_word_of_every_kind_finds_it() -> None:
    for kind in part_kinds().values():
        for word in (kind.kind, kind.title, *kind.synonyms):
            for spelling in (word, word.upper(), word.replace("-", " "), word.replace(" ", "-"), f" {word} "):
                assert find_kind(spelling) is kind


@pytest.mark.parametrize(
    ("word", "mending"),
    [
        ("rod ned", "nearest: rod end, tie rod end, track rod end"),
        ("gearbox", "none of the {count} known names is near"),
        ("", "none of the {count} known names is near"),
    ],
)
def test_an_unknown_kind(word: str, mending: str) -> None:
    words = {word for kind in part_kinds().values() for word in (kind.title, *kind.synonyms)}
    with pytest.raises(DataFault) as raised:
        find_kind(word)
    assert raised.value.message == f'there is no kind of part "{word}"'
    assert raised.value.mending == mending.format(count=len(words))
    assert raised.value.code == "dictionary-01"


@pytest.mark.parametrize(
    ("kind", "name", "feature"),
    [
        ("rack", "bar-end.left", "bar-end.left"),
        ("rack", "bar end left", "bar-end.left"),
        ("rack", "left bar end", "bar-end.left"),
        ("rack", "bar end, left", "bar-end.left"),
        ("rack", "Bar End, RIGHT", "bar-end.right"),
        ("rack", "pinion", "pinion"),
        ("column", "wheel end", "wheel-end"),
        ("inner-joint", "rod side", "rod-side"),
        ("vehicle", "right corner", "corner.right"),
        ("adapter", "A", "a"),
    ],
)
def test_features_as_people_say_them(kind: str, name: str, feature: str) -> None:
    assert find_feature(part_kinds()[kind], name) == feature


PLACES = [(kind, feature) for kind in part_kinds().values() for feature in kind.features]


@given(
    place=st.sampled_from(PLACES),
    order=st.randoms(use_true_random=False),
    between=st.sampled_from([" ", "-", ".", ", ", "_", "  "]),
)
def test_a_feature_is_found_whatever_the_order_and_the_signs_between(
    place: tuple[PartKind, str], order: random.Random, between: str
) -> None:
    kind, feature = place
    words = re.split(r"[.-]", feature)
    order.shuffle(words)
    assert find_feature(kind, between.join(words).title()) == feature


@pytest.mark.parametrize(
    ("kind", "name", "message", "mending"),
    [
        ("rack", "bar end", 'rack has no feature "bar end"', "nearest: bar-end.left, bar-end.right"),
        ("knuckle", "stud", 'knuckle has no feature "stud"', "allowed: body, eye"),
        ("mount", "", 'mounting bush and clamp has no feature ""', "allowed: body"),
    ],
)
def test_an_unknown_feature(kind: str, name: str, message: str, mending: str) -> None:
    with pytest.raises(DataFault) as raised:
        find_feature(part_kinds()[kind], name)
    assert (raised.value.message, raised.value.mending) == (message, mending)
    assert raised.value.code == "dictionary-02"


@pytest.mark.parametrize(
    ("kind", "feature", "name", "dimension"),
    [
        ("rack", "left bar end", "depth", "depth"),
        ("rack", "bar-end.left", "thread length", "depth"),
        ("rack", "bar-end.right", "Length", "depth"),
        ("rack", "body", "stroke", "travel"),
        ("rack", "body", "C-factor", "speed"),
        ("rod-end", "stud", "thread-length", "thread-length"),
        ("rod-end", "stud", "length", "length"),
        ("rod-end", "stud", "large end", "large"),
        ("knuckle", "eye", "roundness", "oval"),
        ("column", "lower end", "teeth", "spline"),
        ("vehicle", "corner.left", "caster", "castor"),
        ("vehicle", "left corner", "KPI", "inclination"),
        ("boot", "body", "closed length", "solid"),
    ],
)
def test_dimensions_as_people_say_them(kind: str, feature: str, name: str, dimension: str) -> None:
    assert find_dimension(part_kinds()[kind], feature, name).dimension == dimension


def test_every_name_of_every_dimension_finds_it() -> None:
    for kind in part_kinds().values():
        for feature, of in kind.features.items():
            for dimension in dimensions_of(of).values():
                for word in (dimension.dimension, *dimension.synonyms):
                    for spelling in (word, word.upper(), word.replace("-", " "), word.replace("-", "_")):
                        assert find_dimension(kind, feature, spelling) is dimension


@pytest.mark.parametrize(
    ("kind", "feature", "name", "message", "mending"),
    [
        (
            "rod-end",
            "stud",
            "larg",
            'rod end, stud has no dimension "larg"',
            "nearest: large, large-end, flange",
        ),
        ("rod-end", "stud", "mass", 'rod end, stud has no dimension "mass"', "write it under body"),
        (
            "rack",
            "body",
            "pitch",
            'rack, body has no dimension "pitch"',
            "write it under bar-end.left or bar-end.right",
        ),
        (
            "boot",
            "body",
            "zzz\n",
            'boot, body has no dimension "zzz?"',
            f"none of the {sum(1 + len(d.synonyms) for d in dimensions_of('boot-body').values())} known names is near",
        ),
    ],
)
def test_an_unknown_dimension(kind: str, feature: str, name: str, message: str, mending: str) -> None:
    with pytest.raises(DataFault) as raised:
        find_dimension(part_kinds()[kind], feature, name)
    assert (raised.value.message, raised.value.mending) == (message, mending)
    assert raised.value.code == "dictionary-03"


def test_a_dimension_of_an_unknown_feature_names_the_feature() -> None:
    with pytest.raises(DataFault) as raised:
        find_dimension(part_kinds()["knuckle"], "stud", "large")
    assert raised.value.message == 'knuckle has no feature "stud"'


def test_tables_are_read_once_and_kinds_can_be_keys() -> None:
    assert part_kinds() is part_kinds()
    assert dimensions_of("eye") is dimensions_of("eye")
    assert len({*part_kinds().values()}) == len(part_kinds())


def test_one_row_in_full() -> None:
    assert dimensions_of("eye")["opens"] == Dimension(
        dimension="opens",
        title="which way the large end faces",
        value_kind="word",
        unit="",
        inch_unit="",
        low=None,
        high=None,
        words=("up", "down"),
        synonyms=("cone-direction", "big-end", "direction"),
        tool="look",
        how="as it sits on the car",
        range_source="",
        section="4.6",
    )
