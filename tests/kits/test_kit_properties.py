"""What must leave the answer to a kit as it is: another datum, the mirror image, inches, another order of everything.

Kits are the good ones with some of their values changed, taken away or made coarser. Car coordinates have their axes by
convention (x forward, y left, z up), so that a rigid motion of the car is a shift of its datum, and the mirror image.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from fitment.doubt import Draws
from fitment.finding import Finding, Verdict
from fitment.kits.report import Report
from fitment.quantity.points import point_of
from tests.support.good_kit import BASES
from tests.support.kit_views import across, in_inches, mirror_report, mirrored, moved, shuffled, tightened
from tests.support.mix import Key, Mix, answers

COUNT = 100

#: how far a value of a kind may be changed
_REACH = {"length": 3.0, "angle": 6.0, "taper": 0.02, "turns": 0.4, "count": 2.0, "point": 6.0}
#: other words that a value may have
_WORDS = {
    "hand": ("RH", "LH"),
    "sex": ("male", "female"),
    "thread": ("M14x1.5", "M14x2", "9/16-18 UNF", "M12x1.25"),
    "opens": ("up", "down"),
    "groove": ("annular", "notch", "none"),
    "clamp": ("pinch bolt through groove", "pinch on slit", "set screw"),
    "locking": ("tab washer", "jam nut", "none"),
    "lateral-stop": ("yes", "no"),
    "stop-ways": ("both", "left only", "right only"),
    "joints": ("single", "double"),
    "arm-position": ("front-steer", "rear-steer"),
    "drive-side": ("LH", "RH"),
    "stop": ("teeth", "external", "inner-joint shoulder"),
    "captive-washer": ("yes", "no"),
}


@dataclass(frozen=True)
class Edit:
    """One change of a generated kit: a value by its place in the list of all, and what becomes of it."""

    place: int
    share: float
    doubt: float
    gone: bool


EDITS: st.SearchStrategy[tuple[Edit, ...]] = st.lists(
    st.builds(
        Edit,
        place=st.integers(0, 10_000),
        share=st.floats(-1.0, 1.0),
        doubt=st.sampled_from([0.0, 0.3, 1.0, 1.0, 1.0, 5.0, 40.0]),
        gone=st.sampled_from([False] * 9 + [True]),
    ),
    max_size=8,
).map(tuple)


@cache
def base(name: str) -> Mix:
    return BASES[name]()


@dataclass(frozen=True)
class Made:
    """A generated kit: a good one with up to eight of its values changed."""

    base: str
    edits: tuple[Edit, ...]

    @property
    def mix(self) -> Mix:
        made = base(self.base).copy()
        for edit in self.edits:
            held = [(name, dimension) for name, uses in made.uses.items() for dimension in uses]
            name, dimension = held[edit.place % len(held)]
            _edit(made, name, dimension, edit)
        return made


#: the mirror image swaps the corners of a clearance box, whose doubts are one each: not among the generated kits
SEEN = sorted(BASES.keys() - {"box"})
KITS = st.builds(Made, st.sampled_from(SEEN), EDITS)
#: what is left of every doubt; less than a hundredth vanishes beside the values
SHARES = st.just(0.0) | st.floats(0.01, 0.9)
#: a kit is as small as it gets, and its answer too slow to be asked a thousand times more
UNSHRUNK = (Phase.explicit, Phase.reuse, Phase.generate)


def _edit(mix: Mix, name: str, dimension: str, edit: Edit) -> None:
    use, kind = mix.uses[name][dimension], mix.value_kind(name, dimension)
    if edit.gone:
        mix.take(name, dimension)
    elif kind == "point":
        reach = edit.share * _REACH[kind]
        x, y, z = point_of(use)
        place = f"{x + reach:.9f}, {y - reach / 2:.9f}, {z + reach / 3:.9f}"
        mix.uses[name][dimension] = replace(use, value=place, u=(use.u or 0.0) * edit.doubt)
    elif isinstance(use.value, str):
        words = _WORDS.get(dimension, ())
        if use.value in words:
            mix.uses[name][dimension] = replace(use, value=words[int((edit.share + 1) * 49.9) % len(words)])
    elif kind == "count":
        mix.uses[name][dimension] = replace(use, value=use.number + round(edit.share * _REACH[kind]))
    else:
        value = max(use.number + edit.share * _REACH.get(kind, 0.0), 0.001)
        mix.uses[name][dimension] = replace(use, value=value, u=(use.u or 0.0) * edit.doubt)


@dataclass(frozen=True)
class View:
    """How a kit is seen otherwise; each may be left out, so that a failure is told by the one that makes it."""

    shift: tuple[float, float, float] | None
    mirror: bool
    inches: bool
    order: int | None

    def of(self, mix: Mix) -> Mix:
        seen = moved(mix, self.shift) if self.shift else mix
        seen = mirrored(seen) if self.mirror else seen
        seen = in_inches(seen) if self.inches else seen
        return shuffled(seen, self.order) if self.order is not None else seen

    def report(self, mix: Mix) -> Report:
        seen = self.of(mix)
        return mirror_report(seen, COUNT) if self.mirror else seen.report(Draws(COUNT))


_SHIFT = st.floats(-900.0, 900.0).map(lambda at: round(at, 3))
#: each corner stays on its own side of where y is nought, or its axes would be doubted
_ASIDE = st.floats(-450.0, 450.0).map(lambda at: round(at, 3))
VIEWS = st.builds(
    View,
    shift=st.none() | st.tuples(_SHIFT, _ASIDE, _SHIFT),
    mirror=st.booleans(),
    inches=st.booleans(),
    order=st.none() | st.integers(0, 1000),
)


def same(one: Finding, other: Finding) -> bool:
    """Whether two findings say the same: the verdict, and its margin to what is stored of a point."""
    if one.verdict is not other.verdict or (one.margin is None) != (other.margin is None):
        return False
    if one.margin is None or other.margin is None:
        return True
    return (one.margin.value, one.margin.low, one.margin.u) == pytest.approx(
        (other.margin.value, other.margin.low, other.margin.u), rel=1e-5, abs=2e-5, nan_ok=True
    )


def settled(report: Report) -> bool:
    """Whether no verdict hangs on the last digits: a quantile or value that is nought to within what is compared."""
    # one thread on both sides of a net section is nought whatever is measured
    margins = [one.margin for one in report.findings if one.margin is not None and not one.rule.startswith("net-")]
    return all(min(abs(margin.low), abs(margin.high), abs(margin.value)) > 1e-6 for margin in margins)


def _across(key: Key) -> Key:
    joint, rule, names, place = key
    return across(joint), rule, frozenset(map(across, names)), place


def unlike(first: Report, second: Report, swapped: bool) -> list[str]:
    """What the second answers otherwise than the first."""
    asked, found = answers(first), answers(second)
    renamed = {_across(key): one for key, one in asked.items()} if swapped else asked
    told = [f"{key[:2]} {sorted(key[2])} is told once only" for key in renamed.keys() ^ found.keys()]
    for key in renamed.keys() & found.keys():
        if not same(renamed[key], found[key]):
            one, other = renamed[key], found[key]
            told.append(f"{key}: {one.verdict} {one.margin} {one.because} / {other.verdict} {other.margin}")
    return sorted(told)


def check_view(mix: Mix, view: View) -> None:
    first = mix.report(Draws(COUNT))
    if settled(first):
        second = view.report(mix)
        assert unlike(first, second, view.mirror) == []
        assert second.verdict is first.verdict


@given(KITS, VIEWS)
@settings(max_examples=200, phases=UNSHRUNK)
def test_the_answer_stays_however_the_kit_is_seen(made: Made, view: View) -> None:
    check_view(made.mix, view)


@given(KITS, SHARES)
@settings(max_examples=30, phases=UNSHRUNK)
def test_more_exact_readings_never_turn_a_misfit_into_a_fit(made: Made, share: float) -> None:
    check_tightened(made.mix, share)


def check_tightened(mix: Mix, share: float) -> None:
    coarse, exact = mix.report(Draws(COUNT)), tightened(mix, share).report(Draws(COUNT))
    # where exact readings let work be proposed, what is told of the joint holds after that work
    worked = {joint.id for joint in exact.joints if any(one.work for one in joint.findings)}
    found = {key: one for key, one in answers(exact).items() if key[0] not in worked}
    turned = [
        f"{key}: {one.because} {one.margin} / {found[key].margin}"
        for key, one in answers(coarse).items()
        if one.verdict is Verdict.DOES_NOT_FIT and key in found and found[key].verdict is Verdict.FITS
    ]
    assert turned == []


@pytest.mark.night
@given(KITS, VIEWS)
@settings(phases=UNSHRUNK)
def test_the_answer_stays_however_the_kit_is_seen_at_night(made: Made, view: View) -> None:
    check_view(made.mix, view)


@pytest.mark.night
@given(KITS, SHARES)
@settings(phases=UNSHRUNK)
def test_more_exact_readings_never_turn_a_misfit_into_a_fit_at_night(made: Made, share: float) -> None:
    check_tightened(made.mix, share)


@pytest.mark.parametrize("name", ["good", "three joints"])
@pytest.mark.parametrize(
    "view",
    [
        View((310.0, -480.0, 120.0), False, False, None),
        View(None, True, False, None),
        View(None, False, True, None),
        View(None, False, False, 7),
        View((310.0, -480.0, 120.0), True, True, 7),
    ],
    ids=["datum", "mirror", "inches", "order", "all"],
)
def test_the_good_kits_are_answered_alike(name: str, view: View) -> None:
    check_view(base(name), view)
