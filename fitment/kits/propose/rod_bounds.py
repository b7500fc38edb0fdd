"""Between what lengths tie rods can be set, and what length every rack asks of them: it spares the search most mixes.

`rod_length` refuses a mix where its longest setting is too short, or its shortest too long, for all but 2.3 % of the
samples. What is bounded here lies outside of all but far fewer of them, so that no mix is left out that `check` would
not refuse: values by their quantiles, what the car asks for by the samples themselves. What is not known bounds none.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from itertools import product

from fitment.catalogue.found import FoundPart
from fitment.catalogue.stock import Stocked
from fitment.doubt import own_doubt, reach
from fitment.finding import Basis, Use
from fitment.frozen import dataclass
from fitment.joints.answering import Size, sampled
from fitment.joints.kinds import joint_kinds
from fitment.joints.registration import Feature, Setting, as_assembled
from fitment.joints.thread_ends import engagement_needed, thread_of
from fitment.kits.assembly import Assembly, assemble
from fitment.kits.car_corner import surveyed_corner, wheel_on_car
from fitment.kits.kit import Kit
from fitment.kits.propose.candidates import Candidate
from fitment.kits.propose.judge import Judge
from fitment.kits.propose.keys import by_address
from fitment.kits.propose.kit_of import Named, kit_of
from fitment.kits.rack_place import rack_place
from fitment.kits.rod_length import rod_in_car
from fitment.kits.rod_sizes import RodParts, stated_length
from fitment.kits.roles import SIDES

#: share of its samples that a value may have beyond a bound on either side: a verdict rests on 2.3 % of them, and some
#: eight values make a rod
_BEYOND = 0.001
#: mm that a bound lies farther out than it must, for what is rounded on the way to it; own choice
_SLACK = 0.05
#: racks after which the samples are drawn anew, so that they do not fill the memory
_FRESH = 25


@dataclass(frozen=True)
class Span:
    """From the least to the most that a length can be, mm."""

    low: float
    high: float

    def __add__(self, other: Span) -> Span:
        return Span(self.low + other.low, self.high + other.high)


def hull(spans: Iterable[Span | None]) -> Span | None:
    """What holds all of them; None where one is not known, or there is none."""
    found = list(spans)
    known = [span for span in found if span is not None]
    if not known or len(known) < len(found):
        return None
    return Span(min(span.low for span in known), max(span.high for span in known))


def span_of(use: Use | None) -> Span | None:
    """All that the samples of a value are but for a few; None where it has none, or is a word."""
    if use is None or isinstance(use.value, str):
        return None
    shared = sum(part for _, part in use.shared)
    off = reach(use.shape, _BEYOND) * own_doubt(use) + reach("normal", _BEYOND) * shared + _SLACK
    return Span(use.number - off, use.number + off)


class RodBounds:
    """What bounds the lengths of one target's tie rods.

    Args:
        target: reference of the vehicle.
        judge: asks `check`; its limits and samples are those of every report.
        lengths: of rods with an inner joint on, as in `Named`.
        beside: what a rack may be mounted to, and the knuckles that it may have.
    """

    def __init__(
        self,
        target: str,
        judge: Judge,
        lengths: Mapping[tuple[str, str], tuple[float, str]],
        beside: Sequence[Sequence[Candidate]],
    ):
        self._target, self._judge, self._beside = target, judge, beside
        self._with_joint: dict[str, set[float]] = {}
        for (_, rod), (length, _) in lengths.items():
            self._with_joint.setdefault(rod, set()).add(length)
        self._draws, self._asked = judge.draws().few, 0

    # -- what may be on a rack

    def ball(self, one: Candidate) -> Span | None:
        """How far a joint, or a rod made in one with it, holds its ball off the end of the bar, on either side."""
        return hull(span_of(part.part.features["body"].get("ball-offset")) for _, part in one.parts)

    def end(self, one: Candidate) -> Span | None:
        """Ball to the end of the thread of a rod end; a ball that it holds elsewhere than surveyed is counted in."""
        made = hull(span_of(part.part.features["body"].get("centre")) for _, part in one.parts)
        lifted = self._lifted(one)
        if made is None or lifted is None or self.goes_in(one, "shank") is None:
            return None
        return Span(made.low - lifted, made.high + lifted)

    def goes_in(self, one: Candidate, end: str) -> float | None:
        """How far a thread goes into another at most; None where that is not known."""
        found = [self._depth(part.part.features[end]) for _, part in one.parts]
        known = [depth for depth in found if depth is not None]
        return max(known) if len(known) == len(found) else None

    def _depth(self, end: Feature) -> float | None:
        depth = span_of(end.get("depth"))
        if depth is None:
            return None
        sex, nut = end.get("sex"), span_of(end.get("jam-nut"))
        male = sex is not None and sex.word == "male"
        return depth.high - (max(nut.low, 0.0) if male and nut is not None else 0.0)

    def rod(self, one: Candidate, deepest: float) -> Span | None:
        """Inner ball, or joint, to the end of the thread less what is engaged, at its shortest and at its longest.

        The toe range is taken off at either end, so that both cross where the thread leaves less than that.

        Args:
            one: the rods.
            deepest: how far any rod end goes onto one.
        """
        toe, deep = self._judge.limits["toe_range"].value, self.goes_in(one, "outer")
        made = hull(self._rod_length(part) for _, part in one.parts)
        if made is None or deep is None:
            return None
        least = min(self._least_engaged(part.part.features["outer"]) for _, part in one.parts)
        return Span(made.low - min(deep, deepest) + toe, made.high - least - toe)

    def _rod_length(self, part: Stocked) -> Span | None:
        own = part.part.features["body"].get("length")
        with_joint = self._with_joint.get(part.design, set())
        uses = [*([own] if own is not None else []), *(stated_length(f"{at:g} mm", "") for at in sorted(with_joint))]
        return hull(span_of(use) for use in uses)

    def _least_engaged(self, end: Feature) -> float:
        thread = thread_of(end)
        if thread is None:
            return 0.0
        return engagement_needed(thread, self._judge.limits["engagement_factor"].value)[0] + 2 * thread.pitch

    def _lifted(self, one: Candidate) -> float | None:
        """How far the ball of a rod end lies off the surveyed one at most; None where that cannot be told."""
        if not self._height_counts:
            return 0.0
        most = 0.0
        for _, knuckle in product(*self._beside):
            (kit, assembly), (_, plain) = self._car([knuckle, one]), self._car([knuckle])
            for side in SIDES:
                at, surveyed = wheel_on_car(kit, assembly, side).eye, wheel_on_car(kit, plain, side).eye
                if not at.known or not surveyed.known:
                    return None
                off = (at.at(self._draws) - surveyed.at(self._draws)).length()
                most = max(most, float(off.max()))
        return most + _SLACK

    @cached_property
    def _height_counts(self) -> bool:
        """Whether the survey says how high its ball stood in the eye, so that another's is moved."""
        corners = (surveyed_corner(self._judge.book.vehicle, side) for side in SIDES)
        return any(corner.get("ball-off-eye") is not None for corner in corners)

    # -- what a rack asks for

    def asked(self, rack: Candidate, balls: Span, holders: Sequence[Candidate]) -> Span | None:
        """What the rods of both sides must come to with their inner balls: no less than low, no more than high.

        Low may be above high where the sides ask for unlike lengths. None where they may come to anything.

        Args:
            rack: which.
            balls: of all that may be on it.
            holders: those of which some were taken together with a rack.
        """
        self._asked += 1
        if self._asked % _FRESH == 0:
            self._draws = self._judge.draws().few
        found = []
        for others in product(*self._beside):
            kit, assembly = self._car([rack, *others])
            sides = [self._side(kit, assembly, side, balls, holders) for side in SIDES]
            known = [span for span in sides if span is not None]
            if len(known) < len(sides):
                return None
            found.append(Span(max(span.low for span in known), min(span.high for span in known)))
        return hull(found)

    def _side(self, kit: Kit, assembly: Assembly, side: str, balls: Span, holders: Sequence[Candidate]) -> Span | None:
        """Ball to ball of one side, and the inner ball's own distance from the bar.

        The sum grows with that distance: the balls draw nearer by no more than it grows. So its least and its most
        are at the ends of it. What was taken together with the rack is asked of by itself.
        """
        together = [
            part.part
            for one in holders
            for address, part in one.parts
            if address.startswith(side) and _taken_with(assembly.found["rack"], part.part, side)
        ]
        ends = [(_holder(at), Span(at, at)) for at in (balls.low, balls.high)]
        ends += [(part, span) for part in together if (span := span_of(part.features["body"].get("ball-offset")))]
        spans = []
        for holder, ball in ends:
            joint = holder if holder.kind == "inner-joint" else None
            parts = RodParts(side, assembly.found["rack"], joint, holder, None, ())
            needed = rod_in_car(parts, rack_place(kit, assembly), kit, assembly, self._setting).needed
            spans.append(None if (span := self._samples_of(needed)) is None else span + ball)
        return hull(spans)

    def _samples_of(self, size: Size) -> Span | None:
        if not size.known:
            return None
        sample, middle = sampled(size, self._draws), size.central
        low, high = min(float(sample.min()), middle), max(float(sample.max()), middle)
        return Span(low - _SLACK, high + _SLACK) if math.isfinite(high - low) else None

    @property
    def _setting(self) -> Setting:
        return Setting(self._judge.limits, self._draws)

    def _car(self, candidates: Sequence[Candidate]) -> tuple[Kit, Assembly]:
        kit = kit_of(Named(self._target, by_address(candidates)), self._judge.limits)
        return kit, assemble(kit, self._judge.book, joint_kinds())


def _holder(offset: float) -> FoundPart:
    """An inner joint of which nothing is known but where it holds its ball."""
    use = Use("inner joint body", "ball-offset", offset, 0.0, "mm", Basis.STATED)
    ends = {name: Feature(f"inner joint {name}", "thread-end") for name in ("bar-side", "rod-side")}
    body = Feature("inner joint body", "inner-joint-body", {"ball-offset": use})
    return FoundPart("inner joint", "inner-joint", False, "inner joint", {"body": body, **ends})


def _taken_with(rack: FoundPart, holder: FoundPart, side: str) -> bool:
    end = "bar-side" if holder.kind == "inner-joint" else "inner"
    return as_assembled(rack.features[f"bar-end.{side}"], holder.features[end]) is not None
