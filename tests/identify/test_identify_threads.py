"""Standard threads from readings: the borderline cases of the bench, and honest odds."""

from __future__ import annotations

import math
import random
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.errors import DataFault
from fitment.identify.likelihood import ADOPTION_THRESHOLD, Identification
from fitment.identify.threads import (
    NEITHER,
    OTHER_PITCH,
    OTHER_SIZE,
    STANDARD,
    UNLISTED,
    ThreadReadings,
    identify_threads,
)
from fitment.standards.thread_limits import external_limits, internal_limits
from fitment.standards.threads import Thread, all_threads, same_thread
from tests.identify.calibration import worst_gap

CALLIPER = 0.05 / math.sqrt(3)
INSIDE = 0.08 / math.sqrt(3)
MICROMETER = 0.01 / math.sqrt(3)
GAUGE = 0.02 / math.sqrt(3)


def male(
    od: float | None = None, pitch: float | None = None, worn: bool = False, prior: str = "flat"
) -> Identification[Thread]:
    return identify_threads(
        ThreadReadings(
            "male",
            od=None if od is None else (od, CALLIPER),
            pitch=None if pitch is None else (pitch, GAUGE),
            worn=worn,
        ),
        prior,
    )


def odds(found: Identification[Thread]) -> dict[str, float]:
    return {candidate.designation: candidate.odds for candidate in found.candidates}


def family(found: Identification[Thread], nominal: float) -> float:
    """Odds of all threads of a nominal diameter."""
    return math.fsum(c.odds for c in found.candidates if c.what.nominal == pytest.approx(nominal))


def identified(found: Identification[Thread]) -> str | None:
    return None if found.identified is None else found.identified.designation


# -- the borderline cases: 14.00 lies between the largest new M14 (13.974) and the smallest new 9/16-18 (14.031) --


def test_14_00_may_be_an_m14_or_a_9_16() -> None:
    found = male(14.00)
    assert family(found, 14.0) > 0.2
    assert family(found, 14.2875) > 0.2
    assert found.identified is None
    assert found.next is not None
    assert (found.next.measure, found.next.tool) == ("pitch over six threads", "thread pitch gauge")


def test_14_26_excludes_m14() -> None:
    assert family(male(14.26), 14.0) < 1e-6
    assert family(male(14.26), 14.2875) > 0.8


def test_13_90_is_an_m14_or_a_worn_9_16() -> None:
    assert family(male(13.90), 14.0) > 0.8
    assert family(male(13.90), 14.2875) < 0.01
    worn = male(13.90, worn=True)
    assert family(worn, 14.0) > 0.3
    assert family(worn, 14.2875) > 0.3
    # the pitch decides, worn or not
    assert identified(male(13.90, 1.5, worn=True)) == "M14x1.5"
    assert identified(male(13.90, 25.4 / 18, worn=True)) == "9/16-18 UNF"


def test_diameter_and_pitch_together_identify() -> None:
    found = male(13.90, 1.5)
    assert found.identified is not None
    assert found.identified.odds > 0.95
    assert (found.identified.designation, found.identified.standard) == ("M14x1.5", "ISO 261")
    assert found.next is None
    found = male(14.1, 1.411)
    assert (identified(found), found.candidates[0].standard) == ("9/16-18 UNF", "ASME B1.1")


def test_pitches_of_1_25_and_20_to_the_inch_are_parted_by_the_diameter() -> None:
    # a gauge that reads 1.26 stands halfway between 1.25 and 1.27
    found = male(12.0, 1.26)
    assert found.candidates[0].designation == "M12x1.25"
    assert odds(found).get("1/2-20 UNF", 0.0) < 1e-6
    assert identified(male(11.9, 1.26)) == "M12x1.25"
    assert identified(male(12.6, 1.26)) == "1/2-20 UNF"
    pitch_alone = odds(male(pitch=1.26))
    assert pitch_alone["M12x1.25"] == pytest.approx(pitch_alone["1/2-20 UNF"], rel=0.1)


def test_whitworth_and_unified_of_one_size_and_pitch_are_parted_by_the_thread_angle() -> None:
    found = male(9.45, 25.4 / 16)
    assert {c.designation for c in found.candidates[:2]} == {"3/8-16 BSW", "3/8-16 UNC"}
    assert found.candidates[0].standard == "BS 84"
    assert found.identified is None
    assert found.next is not None
    assert found.next.measure == "thread angle, 60 or 55 degrees, against the light"
    angle = {60.0: "3/8-16 UNC", 55.0: "3/8-16 BSW"}
    for degrees, designation in angle.items():
        readings = ThreadReadings("male", od=(9.45, CALLIPER), pitch=(25.4 / 16, GAUGE), angle=(degrees, 0.58))
        assert identified(identify_threads(readings)) == designation


def test_an_11_mm_rod_at_1_25_is_a_7_16() -> None:
    # M11x1.25 is in no plan of ISO 261: whoever reads it holds a 7/16-20 (from memory)
    assert identified(male(11.05, 1.26)) == "7/16-20 UNF"


def test_female_threads_are_known_by_their_minor_diameter() -> None:
    found = identify_threads(ThreadReadings("female", minor=(12.5, INSIDE), pitch=(1.5, GAUGE)))
    assert identified(found) == "M14x1.5"
    alone = identify_threads(ThreadReadings("female", minor=(12.5, INSIDE)))
    assert alone.identified is None
    assert alone.next is not None
    assert alone.next.separates == "M14x1.5 from 9/16-16 BSF"
    # worn crests of a nut stand further apart, never closer
    limits = internal_limits(next(thread for thread in all_threads() if thread.designation == "M14x1.5"))
    wide = ThreadReadings("female", minor=(limits.D1_max + 0.1, MICROMETER), pitch=(1.5, GAUGE))
    assert identified(identify_threads(wide)) is None
    worn = ThreadReadings("female", minor=(limits.D1_max + 0.1, MICROMETER), pitch=(1.5, GAUGE), worn=True)
    assert identified(identify_threads(worn)) == "M14x1.5"
    close = ThreadReadings("female", minor=(limits.D1_min - 0.1, MICROMETER), pitch=(1.5, GAUGE), worn=True)
    assert identified(identify_threads(close)) is None


def test_wear_has_an_end() -> None:
    # 0.15 mm beyond the limits (common practice, no source)
    limits = external_limits(next(thread for thread in all_threads() if thread.designation == "M14x1.5"))
    for below, name in ((0.14, "M14x1.5"), (0.19, None)):
        readings = ThreadReadings("male", od=(limits.d_min - below, MICROMETER), pitch=(1.5, GAUGE), worn=True)
        assert identified(identify_threads(readings)) == name


def test_what_fits_no_listed_thread_is_none_of_these() -> None:
    assert male(13.3, 1.5).none_of_these > 0.99
    assert male(13.9, 1.7).none_of_these > 0.99
    assert male(200.0).none_of_these == 1.0
    assert male(200.0).candidates == ()


@pytest.mark.parametrize("prior", ["flat", "common"])
@given(st.floats(2.5, 40), st.booleans())
def test_a_diameter_alone_never_identifies(prior: str, od: float, worn: bool) -> None:
    found = male(od, worn=worn, prior=prior)
    assert found.identified is None
    # nor with a micrometer
    assert identify_threads(ThreadReadings("male", od=(od, MICROMETER), worn=worn), prior).identified is None


@pytest.mark.parametrize("prior", ["flat", "common"])
@given(st.floats(0.3, 4.5))
def test_a_pitch_alone_never_identifies(prior: str, pitch: float) -> None:
    # not even exactly: M36x4 is the only listed thread of its pitch
    for reading in ((pitch, GAUGE), (4.0, 1e-4)):
        assert identify_threads(ThreadReadings("male", pitch=reading), prior).identified is None


def test_prior_shares_leave_a_single_measure_below_the_threshold() -> None:
    assert math.fsum((STANDARD, OTHER_PITCH, OTHER_SIZE, NEITHER)) == pytest.approx(1.0)
    assert STANDARD / (STANDARD + OTHER_PITCH) < ADOPTION_THRESHOLD
    assert STANDARD / (STANDARD + OTHER_SIZE) < ADOPTION_THRESHOLD


def test_odds_by_hand() -> None:
    # the prior shares and ranges as they are documented, for the only listed thread of 4 mm pitch
    u = 0.01
    found = identify_threads(ThreadReadings("male", od=(35.85, 0.001), pitch=(4.0, u)))
    limits = external_limits(next(thread for thread in all_threads() if thread.designation == "M36x4"))
    size, pitch = 1 / (limits.d_max - limits.d_min), 1 / (u * math.sqrt(2 * math.pi))
    # of 221 listed threads two have no limits in the tables; M36 has four pitches, and 1-7/16 begins at 36.3
    each = 1 / 219
    sizes = math.fsum(
        1 / (external_limits(thread).d_max - external_limits(thread).d_min)
        for thread in all_threads()
        if thread.nominal == 36
    )
    weights = {
        "M36x4": 0.80 * each * size * pitch,
        "other pitch": 0.10 * each * sizes / (5 - 0.25),
        "other size": 0.05 * each * pitch / (45 - 1),
        "neither": 0.05 / (5 - 0.25) / (45 - 1),
    }
    assert odds(found)["M36x4"] == pytest.approx(weights["M36x4"] / math.fsum(weights.values()), rel=1e-4)


@pytest.mark.parametrize(
    ("readings", "measure", "tool", "separates"),
    [
        (
            ThreadReadings("male", od=(12.25, 0.3), pitch=(1.26, GAUGE)),
            "major diameter over the crests",
            "calliper",
            "1/2-20 UNF from M12x1.25",
        ),
        (
            ThreadReadings("male", od=(12.0, CALLIPER), pitch=(1.26, GAUGE)),
            "major diameter over the crests",
            "micrometer 0-25 mm",
            "M12x1.25 from none of these",
        ),
        (
            ThreadReadings("female", minor=(11.0, 0.3), pitch=(1.26, GAUGE)),
            "minor diameter in the bore",
            "calliper inside jaws",
            "M12x1.25 from 1/2-20 UNF",
        ),
        (
            ThreadReadings("female", minor=(10.95, INSIDE), pitch=(1.26, GAUGE)),
            "minor diameter in the bore",
            "ball or pin gauges with depth micrometer",
            "M12x1.25 from none of these",
        ),
        (
            ThreadReadings("male", od=(9.45, CALLIPER), pitch=(25.4 / 16, GAUGE), angle=(57.5, 0.58)),
            "fit by hand over the full depth",
            "go and no-go gauge or a known mating part",
            "3/8-16 BSW from 3/8-16 UNC",
        ),
        (
            ThreadReadings("male", od=(13.9, CALLIPER), pitch=(1.4, 0.1)),
            "pitch over six threads",
            "thread pitch gauge",
            "M14x1.5 from M14x1.25",
        ),
    ],
)
def test_the_next_measurement(readings: ThreadReadings, measure: str, tool: str, separates: str) -> None:
    found = identify_threads(readings).next
    assert found is not None
    assert (found.measure, found.tool, found.separates) == (measure, tool, separates)


def test_common_prior_favours_preferred_threads_tenfold() -> None:
    flat, common = odds(male(13.90)), odds(male(13.90, prior="common"))
    assert flat["M14x1.5"] / flat["M14x1"] == pytest.approx(common["M14x1.5"] / common["M14x1"] / 10)
    assert common["M14x2"] / common["M14x1.5"] == pytest.approx(flat["M14x2"] / flat["M14x1.5"])
    flat, common = odds(male(14.1)), odds(male(14.1, prior="common"))
    assert common["9/16-18 UNF"] / common["9/16-12 UNC"] == pytest.approx(
        10 * flat["9/16-18 UNF"] / flat["9/16-12 UNC"]
    )


def test_each_thread_is_one_candidate() -> None:
    # two names of one thread (form, nominal and pitch) would share its odds and never be parted
    assert not any(same_thread(one, other) for one, other in combinations(all_threads(), 2))


@given(
    st.sampled_from(["male", "female"]),
    st.floats(2, 40),
    st.none() | st.floats(0.3, 4.5),
    st.floats(0.001, 1.0),
    st.booleans(),
    st.sampled_from(["flat", "common"]),
)
def test_odds_sum_to_one(sex: str, size: float, pitch: float | None, u: float, worn: bool, prior: str) -> None:
    readings = ThreadReadings(
        sex,
        od=(size, u) if sex == "male" else None,
        minor=(size, u) if sex == "female" else None,
        pitch=None if pitch is None else (pitch, GAUGE),
        worn=worn,
    )
    found = identify_threads(readings, prior)
    listed = [candidate.odds for candidate in found.candidates]
    assert math.fsum(listed) + found.none_of_these == pytest.approx(1.0, abs=1e-6)
    assert listed == sorted(listed, reverse=True)
    assert 0 <= found.none_of_these <= 1


# -- honest odds ------------------------------------------------------------------------------------------------------


def drawn_thread(draw: random.Random, threads: list[Thread]) -> tuple[Thread | None, float, float]:
    """A thread that a shop meets, by the stated prior shares: which one, its true major diameter, its true pitch."""
    thread = draw.choice(threads)
    limits = external_limits(thread)
    size, pitch = draw.uniform(limits.d_min, limits.d_max), thread.pitch
    (kind,) = draw.choices(("listed", "pitch", "size", "neither"), (STANDARD, OTHER_PITCH, OTHER_SIZE, NEITHER))
    if kind in ("pitch", "neither"):
        pitch = draw.uniform(UNLISTED["pitch"].low, UNLISTED["pitch"].high)
    if kind in ("size", "neither"):
        size = draw.uniform(UNLISTED["diameter"].low, UNLISTED["diameter"].high)
    return (thread if kind == "listed" else None), size, pitch


def simulated(count: int, wilder: float) -> list[tuple[float, bool]]:
    """Odds given to every candidate, and whether it was so; half of the threads without a pitch reading."""
    draw = random.Random(20_260)
    # M3x0.35 and M3.5x0.35 have no limits in the tables, and are never candidates
    threads = [thread for thread in all_threads() if not (thread.form == "M" and thread.pitch < 0.4)]
    pairs = []
    for number in range(count):
        thread, size, pitch = drawn_thread(draw, threads)
        od = (abs(draw.gauss(size, CALLIPER * wilder)), CALLIPER)
        gauge = (abs(draw.gauss(pitch, GAUGE * wilder)), GAUGE)
        found = identify_threads(ThreadReadings("male", od=od, pitch=gauge if number % 2 else None))
        pairs.append((found.none_of_these, thread is None))
        pairs += [(candidate.odds, candidate.what is thread) for candidate in found.candidates]
    return pairs


def test_odds_are_calibrated() -> None:
    assert worst_gap(simulated(5000, 1.0)) < 0.04


def test_readings_twice_as_wild_as_they_say_are_found_out() -> None:
    assert worst_gap(simulated(3000, 2.0)) > 0.08


@pytest.mark.parametrize(
    ("readings", "message", "mending", "code"),
    [
        (
            ThreadReadings("stud", od=(14.0, 0.03)),
            "a thread is male or female, not 'stud'",
            "say male for a stud or bar end, female for a nut or sleeve",
            "identify-03",
        ),
        (
            ThreadReadings("male", minor=(12.5, 0.03)),
            "the minor diameter of a male thread tells nothing here",
            "give its major diameter over the crests",
            "identify-04",
        ),
        (
            ThreadReadings("female", od=(14.0, 0.03), minor=(12.5, 0.03)),
            "the major diameter of a female thread tells nothing here",
            "give its minor diameter in the bore",
            "identify-04",
        ),
        (
            ThreadReadings("male", worn=True),
            "there is no reading to go by",
            "give a diameter, a pitch or both",
            "identify-05",
        ),
        (
            ThreadReadings("male", od=(14.0, 0.03), pitch=(1.5, 0.0)),
            "a reading of a pitch needs a value and a standard uncertainty above zero, not 1.5 and 0",
            "give the value with its ± or its tool",
            "identify-01",
        ),
    ],
)
def test_refusals(readings: ThreadReadings, message: str, mending: str, code: str) -> None:
    with pytest.raises(DataFault) as caught:
        identify_threads(readings)
    assert (caught.value.message, caught.value.mending, caught.value.code) == (message, mending, code)


def test_an_unknown_prior_is_refused() -> None:
    with pytest.raises(DataFault) as caught:
        male(14.0, prior="comon")
    assert (caught.value.message, caught.value.mending) == ("there is no prior 'comon'", "nearest: common")
    assert caught.value.code == "identify-02"
