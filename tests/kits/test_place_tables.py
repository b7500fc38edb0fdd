"""The tables and small parts of interchange: sizes by the dictionary, what tells variants apart."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest

import fitment.kits
from fitment.catalogue.dictionary import dimensions_of, leading_sizes, part_kinds
from fitment.catalogue.found import FoundPart
from fitment.doubt import Draws
from fitment.finding import Basis, Use, Verdict
from fitment.joints.registration import Feature
from fitment.kits.place_sizes import size_findings
from fitment.kits.variants import telling_dimensions
from fitment.quantity.units import canonical_unit

TABLE = Path(fitment.kits.__file__).with_name("place_sizes.csv")


def _rows() -> list[dict[str, str]]:
    with TABLE.open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table, strict=True))


@pytest.mark.parametrize("row", _rows(), ids=lambda row: f"{row['kind']} {row['dimension']}")
def test_every_row_is_of_the_dictionary_in_its_unit_and_says_where_it_comes_from(row: dict[str, str]) -> None:
    dimension = dimensions_of(part_kinds()[row["kind"]].features[row["feature"]])[row["dimension"]]
    assert row["where"] in ("always", "if either")
    assert row["how"] in ("same", "within", "not less", "not more", "taken up")
    assert (row["how"] == "same") == (dimension.value_kind == "word")
    if row["how"] != "same":
        assert row["unit"] == canonical_unit(dimension.value_kind).symbol
    own = float(row["tolerance"] or 0) > 0
    assert row["source"] == ("own choice, no source" if own else "common practice, no source")


def test_leading_sizes_are_lengths_of_the_dictionary() -> None:
    for kind, dimension in leading_sizes().items():
        assert dimensions_of(kind)[dimension].value_kind == "length"


def _use(name: str, value: float | str, u: float | None) -> Use:
    unit = None if isinstance(value, str) else "mm"
    return Use(name, "", value, u, unit, Basis.MEASURED, ("r",), "bench", shape="normal")


def _part(name: str, **values: float | str) -> FoundPart:
    """A rod end of which these are known, ``stud_height=17.5``; every number to 0.02 mm."""
    known: dict[str, dict[str, Use]] = {"body": {}, "shank": {}, "stud": {}}
    for key, value in values.items():
        feature, _, dimension = key.partition("_")
        use = _use(f"{name} {feature}", value, None if isinstance(value, str) else 0.02)
        known[feature][dimension] = replace(use, dimension=dimension)
    features = {
        feature: Feature(f"{name} {feature}", kind, known[feature])
        for feature, kind in part_kinds()["rod-end"].features.items()
    }
    return FoundPart(name, "rod-end", False, name, features)


WHOLE: dict[str, float | str] = {"body_centre": 54.0, "stud_height": 17.5, "stud_tilt": 28.0, "shank_wall": 4.4}


@pytest.mark.parametrize(
    ("change", "verdict"),
    [
        ({}, Verdict.FITS),
        ({"stud_height": 17.0}, Verdict.FITS),
        ({"stud_height": 18.5}, Verdict.NOT_KNOWN),  # on the limit itself
        ({"stud_height": 20.5}, Verdict.NOT_KNOWN),  # what it does to the car is not known: no misfit
        ({"body_centre": 50.0}, Verdict.FITS),  # the adjuster takes it up
        ({"body_centre": 40.0}, Verdict.NOT_KNOWN),
        ({"stud_tilt": 27.0}, Verdict.NOT_KNOWN),
        ({"stud_tilt": 30.0}, Verdict.FITS),
        ({"shank_wall": 2.0}, Verdict.NOT_KNOWN),
    ],
)
def test_sizes_on_which_the_car_depends(change: dict[str, float | str], verdict: Verdict) -> None:
    findings, _ = size_findings(_part("A", **WHOLE), _part("B", **(WHOLE | change)), Draws())
    assert len(findings) == 4
    assert min(findings, key=lambda one: one.verdict.rank).verdict is verdict


@pytest.mark.parametrize("name", sorted(WHOLE))
def test_a_size_that_either_lacks_is_not_known_and_named(name: str) -> None:
    less = {key: value for key, value in WHOLE.items() if key != name}
    for old, new in ((WHOLE, less), (less, WHOLE)):
        findings, _ = size_findings(_part("A", **old), _part("B", **new), Draws())
        open_ = [one for one in findings if one.verdict is Verdict.NOT_KNOWN]
        assert [gap.dimension for one in open_ for gap in one.gaps] == [name.partition("_")[2]]


def test_hearsay_of_a_size_never_passes() -> None:
    new = _part("B", **WHOLE)
    stud = new.features["stud"]
    heard = replace(stud, values={**stud.values, "height": replace(stud.values["height"], hearsay=True)})
    findings, _ = size_findings(_part("A", **WHOLE), replace(new, features={**new.features, "stud": heard}), Draws())
    assert [one.verdict for one in findings].count(Verdict.NOT_KNOWN) == 1


def test_variants_are_told_apart_by_the_dimension_that_differs_most_beside_its_doubt() -> None:
    parts = [
        _part("A", stud_height=17.50, body_centre=54.00, stud_large=15.50),
        _part("B", stud_height=17.52, body_centre=54.30, stud_large=15.52),
        _part("C", stud_height=20.50, body_centre=54.60, stud_large=15.48),
    ]
    (told,) = telling_dimensions(parts)
    # the centre tells all three pairs apart; the height differs more, but leaves A and B alike
    assert (told.feature, told.dimension.dimension, told.pairs, told.of_pairs) == ("body", "centre", 3, 3)
    assert told.apart == pytest.approx(0.6 / (0.02 * 2**0.5))
    assert telling_dimensions([parts[0], _part("D", stud_height=17.51)]) == ()


def test_what_one_dimension_leaves_alike_the_next_tells() -> None:
    left, right, high = (
        _part(name, stud_height=height, shank_hand=hand)
        for name, height, hand in (("A", 17.5, "LH"), ("B", 17.5, "RH"), ("C", 20.5, "LH"))
    )
    told = telling_dimensions([left, right, high])
    assert [(one.dimension.dimension, one.pairs, one.of_pairs) for one in told] == [("hand", 2, 3), ("height", 1, 1)]
    assert [one.dimension.dimension for one in telling_dimensions([left, high])] == ["height"]
