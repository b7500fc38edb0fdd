"""Which splined end a count, an outside diameter and a chord are of, with odds; a miscount by one is always considered.

Trade names say less than they seem to: the name is 0.1 to 0.8 mm larger than the reading (common practice). Where a
standard has the very count and diameter of a trade name, it is that name's other name and no rival of it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from functools import cache

from fitment.errors import DataFault, nearest
from fitment.frozen import dataclass
from fitment.identify.likelihood import (
    ADOPTION_THRESHOLD,
    FORGOTTEN,
    Band,
    Candidate,
    Identification,
    Reading,
    Separating,
    checked,
    density,
    normal_density,
    odds_of,
    shares,
)
from fitment.quantity.tools import find_tool
from fitment.standards.serrations import din5481_table, j500_table
from fitment.standards.spline_forms import b92_1, iso4156
from fitment.standards.splines import TradeSpline, calliper_largest, chord, trade_splines
from fitment.standards.threads import MM_PER_INCH

#: prior share of splines that nothing here names. Own choice, no source.
NONE_SHARE = 0.20

#: where the diameter and the count of such a one may lie, evenly. Own choice, no source.
NONE_OD, NONE_TEETH = Band(10.0, 30.0), range(6, 101)

#: prior weight of a trade name beside 1 for a size that a standard merely allows. Own choice, no source.
_WEIGHTS = {"flat": 1.0, "common": 10.0}

#: likelihood of a count by how far the true count lies above it: ticked, by eye, half counted and doubled, and of the
#: teeth beside a bolt flat, which hides 4 to 6 of them (common practice). The figures are our own choice, no source.
TICKED = {-1: 0.01, 0: 0.98, 1: 0.01}
BY_EYE = {-1: 0.15, 0: 0.70, 1: 0.15}
DOUBLED = {-2: 0.05, -1: 0.15, 0: 0.60, 1: 0.15, 2: 0.05}
BESIDE_FLAT = {3: 0.05, 4: 0.25, 5: 0.30, 6: 0.25, 7: 0.10, 8: 0.05}

#: how far measured diameters lie below the name where nobody measured; above and below what owners measured; below
#: the largest of an involute, and of a serration with flattened crests; mm. Common practice and own choice, no source.
_NAME_ABOVE, _OWNERS, _INVOLUTE, _SERRATION = 0.8, 0.05, 0.25, 0.40

#: a trade name and a standard of one count and of diameters closer than this are two names of one thing, mm
_SAME = 0.1

#: sizes that are compared: outside diameters of steering shafts, mm; diametral pitches, 1/in; modules, mm
_SHAFTS, _TEETH = Band(9.0, 30.0), range(20, 61)
_PITCHES = (16, 20, 24, 32, 40, 48, 64, 80)
_MODULES = (0.25, 0.5, 0.75, 1.0, 1.25, 1.5)

#: form as asked -> forms of candidates that remain; a trade name says no form
FORMS: dict[str, frozenset[str]] = {
    "": frozenset({"", "involute", "serration"}),
    "spline": frozenset({"", "involute", "serration"}),
    "involute": frozenset({"", "involute"}),
    "serration": frozenset({"", "serration"}),
    "double-D": frozenset({"double-D"}),
}

#: two candidates of one count whose bands overlap more than this share are not told by their diameter
_APART = 0.15


@dataclass(frozen=True)
class SplineEnd:
    """A splined end that has a name.

    Attributes:
        name: ``3/4-36``, ``28 teeth 40/80``.
        standard: its standard; "" for a trade name.
        form: "involute", "serration", "double-D"; "" where the name does not say.
        teeth: over the full circle; None for a double-D.
        od: where its outside diameter lies, mm.
        nominal: the outside diameter that its name or formula says, mm.
        also: what else it is, in a standard.
    """

    name: str
    standard: str
    form: str
    teeth: int | None
    od: Band
    nominal: float
    also: str = ""


@dataclass(frozen=True)
class SplineReadings:
    """What was read on one splined end.

    Attributes:
        count: teeth counted over the full circle.
        ticked: whether every fifth was ticked with a pen.
        half: teeth counted over half the circle.
        present: teeth beside a flat.
        od: outside diameter over the crests, its largest reading, mm.
        chord: distance of two crests, mm, `pitches` apart.
        form: a key of `FORMS`.
    """

    count: int | None = None
    ticked: bool = False
    half: int | None = None
    present: int | None = None
    od: Reading | None = None
    chord: Reading | None = None
    pitches: int | None = None
    form: str = ""

    def checked(self) -> SplineReadings:
        """These readings.

        Raises:
            DataFault: they make no sense together, or there are none.
        """
        if self.form not in FORMS:
            raise DataFault(
                f"there is no form '{self.form}'",
                mending=nearest(self.form, [form for form in FORMS if form]),
                code="spline-11",
            )
        counts = [one for one in (self.count, self.half and 2 * self.half, self.present) if one is not None]
        if any(count < NONE_TEETH.start for count in counts):
            raise DataFault(
                f"{min(counts)} teeth are too few for a steering shaft",
                mending="count again, marking every fifth tooth with a pen",
                code="spline-12",
            )
        if self.count is not None and self.present is not None and self.present > self.count:
            raise DataFault(
                f"{self.present} teeth present are more than the {self.count} of the full circle",
                mending="the count is of the full circle, as if there were no flat",
                code="spline-13",
            )
        if self.chord is not None and (self.pitches is None or self.od is None):
            raise DataFault(
                "a chord tells nothing without its pitches and the outside diameter",
                mending="give the chord, over how many pitches, and the outside diameter",
                code="spline-14",
            )
        if self.chord is not None and self.od is not None and self.chord[0] >= self.od[0]:
            raise DataFault(
                f"a chord of {self.chord[0]:g} mm is longer than the diameter of {self.od[0]:g} mm",
                mending="measure the chord from crest to crest, over a quarter of the circle",
                code="spline-15",
            )
        if not counts and self.od is None:
            raise DataFault("there is no reading to go by", mending="give a count and a diameter", code="identify-05")
        for reading in (self.od, self.chord):
            if reading is not None:
                checked(reading, "a spline")
        return self

    def of_count(self, teeth: int) -> float:
        """Likelihood of what was counted, and of the chord, given the true count."""
        likelihood = 1.0
        tables: tuple[tuple[int | None, Mapping[int, float]], ...] = (
            (self.count, TICKED if self.ticked else BY_EYE),
            (None if self.half is None else 2 * self.half, DOUBLED),
            # a count of the full circle has the flat's share in it already
            (self.present if self.count is None and self.half is None else None, BESIDE_FLAT),
        )
        for counted, table in tables:
            if counted is not None:
                likelihood *= table.get(teeth - counted, 0.0)
        if likelihood and self.chord is not None and self.od is not None and self.pitches is not None:
            if self.pitches >= teeth / 2:
                return 0.0
            share = chord(1.0, teeth, self.pitches)
            u = math.hypot(self.chord[1], share * self.od[1])
            likelihood *= normal_density(self.chord[0], share * self.od[0], u)
        return likelihood


@cache
def spline_ends() -> tuple[SplineEnd, ...]:
    """Every splined end that readings are compared with: trade names first, then sizes that standards allow.

    Not among them: DIN 5480, of which no list of sizes was seen.
    """
    allowed = _standard_ends()
    trade, taken = [], set()
    for end in map(_of_trade, trade_splines()):
        same = [one for one in allowed if one.teeth == end.teeth and abs(one.nominal - end.nominal) < _SAME]
        taken |= set(same)
        trade.append(replace(end, also="; ".join(f"{one.standard} {one.name}" for one in same)) if same else end)
    return (*trade, *(end for end in allowed if end not in taken))


def _of_trade(spline: TradeSpline) -> SplineEnd:
    low, high = spline.measured or (spline.nominal_od - _NAME_ABOVE + _OWNERS, spline.nominal_od - _OWNERS)
    form = "double-D" if spline.form == "double-D" else ""
    return SplineEnd(spline.name, "", form, spline.teeth, Band(low - _OWNERS, high + _OWNERS), spline.nominal_od)


def _standard_ends() -> list[SplineEnd]:
    found = []
    for j500 in j500_table():
        name = f"{j500.nominal / MM_PER_INCH:g} in, {j500.teeth} teeth"
        found.append(_serration(name, "SAE J500", j500.teeth, j500.nominal))
    for din in din5481_table():
        largest = float(din.name.partition("x")[2])
        found.append(_serration(din.name, "DIN 5481 (from memory)", din.teeth, largest))
    for teeth in _TEETH:
        for pitch in _PITCHES:
            # the tips are those of every pressure angle
            found.append(_involute(f"{teeth} teeth {pitch}/{2 * pitch}", b92_1(teeth, pitch).external_major, teeth))
        for module in _MODULES:
            for angle in (30, 37.5, 45):
                end = iso4156(teeth, module, angle)
                name = f"{teeth} teeth m {module:g}, {angle:g} deg"
                found.append(_involute(name, end.external_major, teeth, "ISO 4156"))
    return [end for end in found if _SHAFTS.low <= end.nominal <= _SHAFTS.high]


def _serration(name: str, standard: str, teeth: int, largest: float) -> SplineEnd:
    return SplineEnd(name, standard, "serration", teeth, Band(largest - _SERRATION, largest), largest)


def _involute(name: str, largest: float, teeth: int, standard: str = "ANSI B92.1") -> SplineEnd:
    return SplineEnd(name, standard, "involute", teeth, Band(largest - _INVOLUTE, largest), largest)


def identify_splines(readings: SplineReadings, prior: str = "flat") -> Identification[SplineEnd]:
    """Odds of the splined ends that have a name, given readings.

    Args:
        readings: what was read.
        prior: "flat": every one alike; "common": trade names weigh ten times what a standard merely allows.

    Raises:
        DataFault: readings that make no sense, or no such prior.
    """
    readings.checked()
    if prior not in _WEIGHTS:
        raise DataFault(f"there is no prior '{prior}'", mending=nearest(prior, _WEIGHTS), code="identify-02")
    ends = [end for end in spline_ends() if end.form in FORMS[readings.form]]
    prior_shares = shares(1.0 if end.standard else _WEIGHTS[prior] for end in ends)
    weights = [
        (1 - NONE_SHARE) * share * _likelihood(readings, end) for share, end in zip(prior_shares, ends, strict=True)
    ]
    none = NONE_SHARE if readings.od is None else NONE_SHARE * density(readings.od, NONE_OD)
    if readings.form != "double-D":
        none *= math.fsum(readings.of_count(teeth) for teeth in NONE_TEETH) / len(NONE_TEETH)
    odds, none = odds_of(weights, none)
    found = sorted(zip(odds, ends, strict=True), key=lambda entry: -entry[0])
    candidates = tuple(Candidate(end.name, end.standard, share, end) for share, end in found if share >= FORGOTTEN)
    return Identification(candidates, none, _next(readings, candidates, none))


def _likelihood(readings: SplineReadings, end: SplineEnd) -> float:
    likelihood = 1.0 if end.teeth is None else readings.of_count(end.teeth)
    if likelihood and readings.od is not None:
        # flat jaws never span two crests of an odd count: its largest reading falls short of the diameter
        short = 1.0 if end.teeth is None else calliper_largest(1.0, end.teeth)
        likelihood *= density(readings.od, Band(end.od.low * short, end.od.high * short))
    return likelihood


def _next(readings: SplineReadings, candidates: tuple[Candidate[SplineEnd], ...], none: float) -> Separating | None:
    """What to do next: the diameter, a ticked count, a chord over a quarter of the circle, a known mating part."""
    if max([none, *(candidate.odds for candidate in candidates)]) >= ADOPTION_THRESHOLD:
        return None
    first = candidates[0]
    rival = candidates[1] if len(candidates) > 1 and candidates[1].odds >= 0.01 else None
    separates = f"{first.designation} from {rival.designation if rival else 'none of these'}"
    teeth, other = first.what.teeth, rival.what.teeth if rival else None
    if readings.od is None:
        return Separating(
            "outside diameter over the crests, turned for the largest", find_tool("calliper").title, separates
        )
    if teeth is not None and other is not None and teeth != other:
        if readings.chord is None:
            pitches = round(min(teeth, other) / 4)
            ways = [f"{chord(readings.od[0], count, pitches):.2f} mm for {count} teeth" for count in (teeth, other)]
            measure = f"chord from crest to crest over {pitches} pitches: {' and '.join(ways)}"
            return Separating(measure, find_tool("chord").title, separates)
        if not readings.ticked:
            return Separating(
                "count with every fifth tooth ticked, twice round", find_tool("count-ticked").title, separates
            )
    if rival is not None and abs(_middle(first.what) - _middle(rival.what)) > _APART:
        tool = find_tool("micrometer")
        return Separating("outside diameter over the crests, turned for the largest", tool.title, separates)
    part = find_tool("go-gauge").title
    return Separating(
        "flanks under a magnifier, straight or curved, and a known mating part over the full length", part, separates
    )


def _middle(end: SplineEnd) -> float:
    return (end.od.low + end.od.high) / 2
