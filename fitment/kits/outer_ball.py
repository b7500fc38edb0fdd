"""Where the ball of the joint in a steering arm stands off the middle of the arm's eye, along the eye's axis."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from fitment.catalogue.found import FoundPart
from fitment.doubt import Draws
from fitment.finding import Basis, Gap, Use
from fitment.frozen import dataclass
from fitment.joints.answering import Size, fixed, formula, half_width_u, lacking, reading, size_of
from fitment.joints.registration import Feature, Setting
from fitment.kits.assembly import Assembly
from fitment.kits.chain import address_of
from fitment.kits.kit import Kit

#: which way the top of the eye's axis leans off the steering axis, deg from straight ahead, + outboard
LEANS = {"ahead": 0.0, "out": 90.0, "behind": 180.0, "in": -90.0}
#: half-width of one of these four words, deg
_QUARTER = 45.0
#: samples by which it is judged whether an eye is to be reamed
_SAMPLES = 2_000
#: where the ball lies, by the side from which its stud enters
_WAY = {"below": -1.0, "above": 1.0}
_ENTERS = {"down": "below", "up": "above"}


@dataclass(frozen=True)
class OuterBall:
    """The joint in a steering arm's eye.

    Attributes:
        kit, assembly, side: where it is.
        end: the rod end; None where the kit names none.
    """

    kit: Kit
    assembly: Assembly
    side: str
    end: FoundPart | None

    @property
    def own(self) -> bool | None:
        """Whether it came with the car and sits in the arm as it came; None where nothing says, or there is none."""
        if _between(self.assembly, self.side) is not None:
            return False
        own = self.assembly.target.own
        return None if own is None or self.end is None else self.end.name in own

    @cached_property
    def off(self) -> Size:
        """Its ball centre off the middle of the eye along the eye's axis, mm, + up."""
        knuckle, facts = self._knuckle, self.kit.facts.get(self.side, {})
        if self.end is None or knuckle is None:
            role = "rod end" if self.end is None else "knuckle"
            return lacking(Gap(f"{self.side} {role}", "part", "is not named in the kit"))
        if self.end.kind == "spherical-rod-end":
            made = _between(self.assembly, self.side)
            return _bolted(self.end, knuckle, facts, self.side) if made is None else _unplaced(made)
        return _seated(self.end, knuckle, self.kit, self.assembly, self.side)

    @property
    def lean(self) -> tuple[Size, Size]:
        """How far the top of the eye's axis leans off the steering axis, and to which way.

        Both in deg, the way from straight ahead, + outboard; not known where either is not.
        """
        named = Gap(f"{self.side} knuckle", "part", "is not named in the kit")
        knuckle = self._knuckle
        lean = lacking(named) if knuckle is None else size_of(knuckle.features["eye"], "tilt")
        return lean, azimuth_of(self.kit, self.side) or lacking(Gap(f"kit {self.side}", "eye_leans", "is not said"))

    @property
    def _knuckle(self) -> FoundPart | None:
        return self.assembly.found.get(address_of("knuckle", self.side))


def outer_ball(kit: Kit, assembly: Assembly, side: str) -> OuterBall:
    """The joint that a kit has in the steering arm of a side."""
    ends = (assembly.found.get(address_of(role, side)) for role in ("spherical_rod_end", "rod_end"))
    return OuterBall(kit, assembly, side, next((end for end in ends if end is not None), None))


def azimuth_of(kit: Kit, side: str) -> Size | None:
    """Which way the eye leans off the steering axis, deg from straight ahead, + outboard; None where nothing says."""
    word = kit.facts.get(side, {}).get("eye_leans")
    if word is None:
        return None
    u, source = half_width_u(_QUARTER), "the kit file"
    told = Use(f"kit {side}", "eye_leans", LEANS[word], u, "deg", Basis.STATED, source=source, shape="rectangular")
    return reading(told)


def _seated(end: FoundPart, knuckle: FoundPart, kit: Kit, assembly: Assembly, side: str) -> Size:
    """A tapered stud: half the eye, the face of a sleeve over the arm, its stand-off, its height."""
    from fitment.joints.stud_in_eye import seat_in_use

    stud, eye, sleeve = end.features["stud"], knuckle.features["eye"], _between(assembly, side)
    facts = kit.facts.get(side, {})
    if sleeve is not None and (sleeve.body.kind, sleeve.bore.kind) != ("adapter-body", "eye"):
        return _unplaced(sleeve)
    cone = eye if sleeve is None else sleeve.bore
    enters = _enters(cone, facts, side)
    if isinstance(enters, Gap):
        return lacking(enters)
    setting = Setting(kit.limits, Draws(_SAMPLES), {key: facts[at] for at, key in _TOLD.items() if at in facts})
    seat = seat_in_use(stud, cone, setting)
    if seat is None:
        return lacking(Gap(cone.name, "stand-off", "no reading: the stud does not seat as it is, nor once reamed"))
    way = _WAY[enters]
    return formula(
        lambda thick, face, proud, height: way * (thick / 2 + face + proud + height),
        size_of(eye, "thick"),
        fixed(0.0) if sleeve is None else _face(sleeve, eye, setting, enters),
        seat.stand_off,
        size_of(stud, "height"),
    )


@dataclass(frozen=True)
class _Sleeve:
    """What stands between joint and arm: its end in the arm's eye, and its end for the joint."""

    part: str
    body: Feature
    bore: Feature


def _between(assembly: Assembly, side: str) -> _Sleeve | None:
    """The adapter between the joint and the knuckle of a side, where there is one."""
    knuckle = address_of("knuckle", side)
    for ref, part in assembly.adapters:
        if knuckle in ref.between:
            ends = ref.ends if ref.between[0] == knuckle else ref.ends[::-1]
            return _Sleeve(part.name, part.features[ends[0]], part.features[ends[1]])
    return None


def _unplaced(sleeve: _Sleeve) -> Size:
    return lacking(Gap(sleeve.part, "place in the eye", "is not recorded: the ball's follows from it"))


def _face(sleeve: _Sleeve, eye: Feature, setting: Setting, enters: str) -> Size:
    from fitment.joints.sleeve_in_eye import face_over_arm

    return face_over_arm(sleeve.body, eye, setting, enters)


#: what the kit says of a stud in an eye, by the names that the joint knows it by
_TOLD = {"stud_enters": "enters", "nut": "nut", "washer": "washer"}


def _bolted(end: FoundPart, knuckle: FoundPart, facts: Mapping[str, str], side: str) -> Size:
    """A spherical rod end: half the eye, a spacer, half the ball."""
    body, eye = end.features["body"], knuckle.features["eye"]
    held = body.get("captive-washer")
    if held is not None and held.word == "double shear":
        return lacking(Gap(body.name, "captive-washer", "is double shear: where the ball sits is not recorded"))
    if "stud_enters" not in facts:
        why = "is not said: write stud_enters, below or above, for the side of the arm on which its ball lies"
        return lacking(Gap(f"kit {side}", "stud_enters", why))
    way = _WAY[facts["stud_enters"]]
    return formula(
        lambda thick, spacer, ball: way * (thick / 2 + spacer + ball / 2),
        size_of(eye, "thick"),
        size_of(body, "spacer-length"),
        size_of(body, "ball-width"),
    )


def _enters(cone: Feature, facts: Mapping[str, str], side: str) -> str | Gap:
    """From which side the stud comes, by the kit or by the way that the cone opens; the gap where neither says."""
    opens = cone.get("opens")
    enters = facts.get("stud_enters") or ("" if opens is None else _ENTERS.get(opens.word, ""))
    return enters or Gap(f"kit {side}", "stud_enters", "is not said")
