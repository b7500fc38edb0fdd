"""Clearance: the rack in the box that was measured for it, the gaps as entered, the scrub line."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import reduce
from typing import Any

from fitment.catalogue.found import FoundPart
from fitment.elementwise import maximum, minimum
from fitment.finding import Finding, Gap, held_back
from fitment.joints.answering import Size, answer, fixed, formula, mm, size_of, with_figures
from fitment.joints.registration import Feature, Setting, missing
from fitment.kits import room_rules as pages
from fitment.kits.assembly import Assembly
from fitment.kits.car_corner import several_datums
from fitment.kits.chain import address_of
from fitment.kits.kit import Kit
from fitment.kits.rack_place import CROSSMEMBER, other_datum, rack_place
from fitment.kits.report import JointSummary
from fitment.kits.rod_sizes import point_size
from fitment.kits.roles import SIDES
from fitment.kits.stated import no_verdict, states, wanting
from fitment.kits.whole import Looked, WholeKitCheck

#: gaps round the rack's room, and those between a knuckle's joint and its wheel, by what they are to
_ROOM = {
    "gap-sump": "the sump",
    "gap-radiator": "the radiator",
    "gap-roll-bar": "the anti-roll bar",
    "gap-exhaust": "the exhaust",
}
_TYRE = {"rim-gap": "the rim at full lock", "tyre-gap": "the tyre at full lock"}
_BOX = ("box-min", "box-max")
_ENVELOPE = ("envelope-length", "envelope-height", "envelope-depth")

_OFFER_UP = (
    "Room round the rack is told by its recorded sizes alone: how far housing, pinion tower and clamps reach to either "
    "side of the bar is not recorded. Offer it up, or a card template of it."
)
_AS_MEASURED = (
    "The lowest point above the scrub line holds for the parts that it was measured with: measure it again with these."
)


def look(kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
    """What was recorded of room and gaps; what was not is listed, and so are gaps that no limit is stated for."""
    check = _Clearance(kit, assembly, setting)
    check.room()
    check.gaps()
    check.scrub_line()
    not_checked = list(check.figures)
    if check.figures:
        not_checked.append(no_verdict(setting, "room_gap"))
    if check.lacks:
        not_checked.append(f"not recorded: {wanting(check.lacks)}")
    told = tuple(map(held_back, check.findings))
    summary = JointSummary(CHECK.row, "", "clearance", check.names, told)
    return Looked((summary,) if told else (), tuple(not_checked))


CHECK = WholeKitCheck("clearance", look)


def _unread(feature: Feature, dimension: str) -> bool:
    """Whether nobody took a dimension; one that was taken and is in conflict is another thing."""
    return dimension not in feature.values and dimension not in feature.gaps


class _Clearance:
    """The check at work.

    Attributes:
        names: of rack and target.
        findings: what was found.
        figures: what no limit is stated for.
        lacks: what nobody recorded.
    """

    def __init__(self, kit: Kit, assembly: Assembly, setting: Setting):
        self._kit, self._assembly, self._setting = kit, assembly, setting
        self._rack = assembly.found["rack"]
        target, crossmember = assembly.target, assembly.found.get(CROSSMEMBER)
        self._car = target.features.get("body", Feature(f"{target.name} body", "vehicle-body"))
        self._bodies = [self._car, *([crossmember.features["body"]] if crossmember is not None else [])]
        self.names = (self._rack.name, target.name)
        self.findings: list[Finding] = []
        self.figures: list[str] = []
        self.lacks: list[Gap] = []

    def room(self) -> None:
        """The rack in every clearance box that was measured."""
        boxes = [body for body in self._bodies if not all(_unread(body, corner) for corner in _BOX)]
        if not boxes:
            self.lacks += [self._car.gap(corner) for corner in _BOX]
        for box in boxes:
            self._box(box, self._rack)

    def _box(self, box: Feature, rack: FoundPart) -> None:
        names, body, corners = (rack.name, box.name), rack.features["body"], [point_size(box, name) for name in _BOX]
        wanted = [name for name in _ENVELOPE if not _unread(body, name)]
        self.lacks += [body.gap(name) for name in _ENVELOPE if name not in wanted]
        gaps = [gap for one in (*corners[0], *corners[1]) for gap in one.gaps]
        gaps += [gap for name in wanted for gap in size_of(body, name).gaps]
        if gaps:
            self.findings.append(missing(pages.BOX.code, names, list(dict.fromkeys(gaps))))
            return
        margins = dict(_sizes_in(corners, {name: size_of(body, name) for name in wanted}))
        placed = self._tube(box, corners, body)
        margins |= {"its tube as placed": placed} if placed is not None else {}
        if not margins:
            return
        worst = min(margins, key=lambda what: margins[what].central)
        left = margins[worst].central

        def words() -> str:
            has, is_ = ("have", "are") if " and " in worst else ("has", "is")
            lies = f"{has} {mm(left)} to spare in" if left >= 0 else f"{is_} {mm(-left)} too much for"
            return f"{worst} {lies} the clearance box of {box.name}"

        margin = formula(_least, *margins.values())
        finding = answer(pages.BOX.code, names, margin, "mm", self._setting, words)
        figures = {what.partition(" ")[2].replace(" ", "_"): (size, "mm") for what, size in margins.items()}
        self.findings.append(replace(with_figures(finding, figures, self._setting), cautions=(_OFFER_UP,)))

    def _tube(self, box: Feature, corners: list[tuple[Size, Size, Size]], body: Feature) -> Size | None:
        """From the tube's nearer end to the nearest face ahead, behind, above or below, mm; None where not known."""
        place, target = rack_place(self._kit, self._assembly), self._assembly.target
        crossmember = self._assembly.found.get(CROSSMEMBER)
        gap = place if isinstance(place, Gap) else several_datums(target)
        if gap is None and box is not self._car and crossmember is not None:
            gap = other_datum(crossmember, target)
        if isinstance(place, Gap) or gap is not None:
            self.lacks += [gap] if gap is not None else []
            return None
        tubes = [size for name in ("tube-left", "tube-right") if (size := size_of(body, name)).known]
        dia = formula(_most, *tubes) if tubes else fixed(0.0)
        length = size_of(body, "envelope-length")
        across = [length if length.known else fixed(0.0), dia]
        ends = [*(corners[0][axis] for axis in (0, 2)), *(corners[1][axis] for axis in (0, 2))]
        way = [*(place.origin[axis] for axis in (0, 2)), *(place.bar[axis] for axis in (0, 2))]
        return formula(_to_faces, *across, *ends, *way)

    def gaps(self) -> None:
        """Gaps as entered: at the knuckles, and round the rack's room where the kit states how wide they must be."""
        knuckles = [self._assembly.found.get(address_of("knuckle", side)) for side in SIDES]
        for body in {one.name: one.features["body"] for one in knuckles if one is not None}.values():
            self.lacks += [body.gap(name) for name in _TYRE if _unread(body, name)]
            self.findings += self._wide_enough(body, _TYRE, "tyre_gap")
        for name in _ROOM:
            if all(_unread(body, name) for body in self._bodies):
                self.lacks.append(self._car.gap(name))
        for body in self._bodies:
            if states(self._setting, "room_gap"):
                self.findings += self._wide_enough(body, _ROOM, "room_gap")
            else:
                told = [f"{mm(body.values[name].number)} to {of}" for name, of in _ROOM.items() if name in body.values]
                self.figures += [f"{body.name}, as entered: {', '.join(told)}"] if told else []

    def _wide_enough(self, body: Feature, which: dict[str, str], limit: str) -> Iterator[Finding]:
        for name, of in which.items():
            if not _unread(body, name):
                yield self._wider(body, name, self._setting.limits[limit].value, of)

    def _wider(self, body: Feature, name: str, asked: float, of: str) -> Finding:
        gap, names = size_of(body, name), (body.name, self._assembly.target.name)
        margin = formula(lambda wide: wide - asked, gap)
        return answer(
            pages.GAPS.code,
            names,
            margin,
            "mm",
            self._setting,
            lambda: f"{mm(gap.central)} to {of} as entered, where {mm(asked)} is asked",
        )

    def scrub_line(self) -> None:
        """The lowest point of the steering above the scrub line."""
        name = "lowest-point"
        if _unread(self._car, name):
            self.lacks.append(self._car.gap(name))
            return
        height = size_of(self._car, name)

        def words() -> str:
            lies = "above" if height.central >= 0 else "below"
            return f"the lowest point of the steering lies {mm(abs(height.central))} {lies} the scrub line"

        found = answer(pages.SCRUB.code, (self._car.name, "scrub line"), height, "mm", self._setting, words)
        self.findings.append(replace(found, cautions=(_AS_MEASURED,)))


def _least(*values: Any) -> Any:
    return reduce(minimum, values)


def _most(*values: Any) -> Any:
    return reduce(maximum, values)


def _sizes_in(corners: list[tuple[Size, Size, Size]], sizes: dict[str, Size]) -> Iterator[tuple[str, Size]]:
    """What is left of the box beside the rack's sizes, mm; its height may stand on edge."""
    deep, wide, high = (formula(lambda low, top: top - low, *pair) for pair in zip(*corners, strict=True))
    length, height, depth = (sizes.get(name) for name in _ENVELOPE)
    if length is not None:
        yield "its length", formula(lambda room, long: room - long, wide, length)
    if height is not None and depth is not None:
        yield "its height and depth", formula(_upright_or_not, high, deep, height, depth)
    for what, size, other in (("its height", height, depth), ("its depth", depth, height)):
        if size is not None and other is None:
            yield what, formula(lambda one, two, across: maximum(one, two) - across, high, deep, size)


def _upright_or_not(high: Any, deep: Any, height: Any, depth: Any) -> Any:
    level = minimum(high - height, deep - depth)
    on_edge = minimum(high - depth, deep - height)
    return maximum(level, on_edge)


def _to_faces(length: Any, dia: Any, *at: Any) -> Any:
    """From the nearer end of a tube's axis to the nearest of four faces, less half the tube.

    Args:
        length, dia: of the tube.
        at: x and z of the box's lower corner, of its upper corner, of the axis' middle, and of the axis' direction.
    """
    low, top, middle, way = at[:2], at[2:4], at[4:6], at[6:]
    ends = [[one + sign * along * length / 2 for one, along in zip(middle, way, strict=True)] for sign in (1, -1)]
    room = [one - floor for end in ends for one, floor in zip(end, low, strict=True)]
    room += [ceiling - one for end in ends for one, ceiling in zip(end, top, strict=True)]
    return _least(*room) - dia / 2
