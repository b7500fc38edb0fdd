"""Failures seeded into the good kit: each changes the one or two values that the failure is about."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tests.support import good_kit
from tests.support.good_kit import (
    good,
    in_a_box,
    spherical,
    three_joints,
    with_adapter,
    with_sleeve,
    without_column,
)
from tests.support.mix import Given, Mix, Point

Change = Callable[[Mix], object]


@dataclass(frozen=True)
class Seed:
    """A failure.

    Attributes:
        name: for people; the number of its row in ``failures.csv`` comes first where it has one.
        base: the kit that it is seeded into.
        change: what is changed in it.
        caught: rules that answer for it: what the failure is about.
        also: rules that fail with it, each with the reason.
    """

    name: str
    base: Callable[[], Mix]
    change: Change
    caught: frozenset[str]
    also: tuple[tuple[str, str], ...] = ()

    @property
    def row(self) -> int:
        """Number of its row; 0 for one beyond the table."""
        number = self.name.split(" ")[0]
        return int(number) if number.isdigit() else 0

    def seeded(self) -> Mix:
        mix = self.base()
        self.change(mix)
        return mix


def _set(feature: str, /, **values: Given) -> Change:
    return lambda mix: mix.set(feature, None, **values)


def _both(part: str, end: str, **values: Given) -> Change:
    def change(mix: Mix) -> None:
        for number in good_kit.OF_SIDE.values():
            mix.set(f"NORTH/{part}-{number} {end}", **values)

    return change


def _all(*changes: Change) -> Change:
    def change(mix: Mix) -> None:
        for one in changes:
            one(mix)

    return change


def _take(name: str, *dimensions: str) -> Change:
    return lambda mix: mix.take(name, *dimensions)


def _say(section: str, **facts: str | float) -> Change:
    return lambda mix: mix.say(section, **facts)


def _unsay(section: str, *keys: str) -> Change:
    return lambda mix: mix.unsay(section, *keys)


def _move(mix: Mix, names: tuple[str, ...], dimension: str, by: Point) -> None:
    for name in names:
        x, y, z = (float(at) for at in mix.uses[name][dimension].word.split(","))
        mix.set(name, **{dimension.replace("-", "_"): (x + by[0], y + by[1], z + by[2])})


def _raise_rack(mix: Mix) -> None:
    for number in range(1, 5):
        _move(mix, ("NORTH/XM-1 mount",), f"hole-{number}", (0.0, 0.0, 12.0))


def _tilt_rack(mix: Mix) -> None:
    for number, up in ((1, 8.0), (2, 8.0), (3, -8.0), (4, -8.0)):
        _move(mix, ("NORTH/XM-1 mount",), f"hole-{number}", (0.0, 0.0, up))


def _mirrored_arms(mix: Mix) -> None:
    for side, in_ in (("left", -30.0), ("right", 30.0)):
        _move(mix, (f"NORTH/V-1 corner.{side}",), "arm-eye", (0.0, in_, 0.0))


def _wrong_end(mix: Mix) -> None:
    (reference, between, _), mix.adapters = mix.adapters[0], []
    mix.adapters.append((reference, between, ("body", "b")))


Also = dict[str, str]


def seed(name: str, caught: str, change: Change, base: Callable[[], Mix] = good, also: Also | None = None) -> Seed:
    return Seed(name, base, change, frozenset(caught.split()), tuple((also or {}).items()))


#: rules that ask where the rack sits, and where the arms end
_PLACED = (
    "way-03",
    "stop-02",
    "boot-03",
    "boot-04",
    "bump-01",
    "bump-02",
    "tilt-01",
    "tilt-02",
    "turn-01",
    "turn-02",
    "shaft-01",
    "shaft-03",
)

KN, RE, TR = "NORTH/KN-1", "NORTH/RE-1", "NORTH/TR-1"

SEEDS: tuple[Seed, ...] = (
    seed("1 stud 1:10 in an eye of 1:8", "cone-02", _set(f"{KN} eye", taper=0.125), also={
             "cone-03": "the seat of unlike cones, which the same reaming mends",
             "cone-05": "where the nut bears is too uncertain after it", "cone-06": "so is the pin hole"}),
    seed("2 eye too large for the stud", "cone-03", _set(f"{KN} eye", large=15.3), also={
             "cone-05": "the stud sinks, and its thread stands farther out", "cone-06": "so does the pin hole",
             "cone-07": "a sleeve for it asks for more wall than there is"}),
    seed("3 eye too small for the stud", "cone-06",
         _set(f"{KN} eye", large=14.6, boss_large=26.0, boss_small=26.0), also={
             "cone-03": "the stud stands too far out to touch enough",
             "cone-07": "reaming would mend it, and the boss is too slim"}),
    seed("4 eye opens away from the stud", "cone-01", _set(f"{KN} eye", opens="up"),
         also={"cone-07": "reaming it from the other side leaves too little wall"}),
    seed("5 eye worn oval", "cone-02", _set(f"{KN} eye", oval=0.3)),
    seed("6 wall too thin for the reaming that a larger stud wants", "cone-07",
         _all(_set(f"{KN} eye", boss_large=24.0, boss_small=24.0), _set(f"{RE} stud", large=16.0)), also={
             "cone-03": "unreamed the stud stands out", "cone-06": "and its pin hole lies under the slots",
             "cone-08": "and its thread ends under them"}),
    seed("7 thread too short", "thread-04", _set(f"{RE} shank", depth=14.0),
         also={"rod-03": "the same thread sets the length of the rod"}),
    seed("8 adapter turned down too thin", "net-03", _set("NORTH/AD-1 a", wall=1.0), with_adapter),
    seed("9 near miss of a thread", "thread-03", _set(f"{RE} shank", thread="9/16-18 UNF"),
         also={"rod-03": "threads that do not go together have no length"}),
    seed("10 same diameter, other pitch", "thread-03", _set(f"{RE} shank", thread="M14x2"),
         also={"rod-03": "threads that do not go together have no length"}),
    seed("11 left-hand thread on a right-hand rod", "thread-02", _set(f"{RE} shank", hand="LH")),
    seed("13 rod too long", "rod-03", _say("left", rod_length="282 mm")),
    seed("14 rod too short", "rod-03", _say("left", rod_length="262 mm")),
    seed("15 outer joint beyond its tilt", "tilt-01", _set(f"{RE} stud", tilt=15.0)),
    seed("15 inner joint beyond its tilt", "tilt-02", _set("NORTH/IJ-1 body", tilt=10.0)),
    seed("16 single shear without a captive washer", "eye-04", _set("NORTH/SR-1 body", captive_washer="no"), spherical),
    seed("17 small bolt in a big ball", "eye-03",
         _set("NORTH/SR-1 body", bore=16.0, spacer_bore=13.0), spherical),
    seed("17 long spacers", "eye-05", _set("NORTH/SR-1 body", spacer_length=14.0, grip=56.0), spherical),
    seed("18 universal joint past its angle", "shaft-01", _set("NORTH/UJ-1 body", angle_limit=20.0)),
    seed("19 joints out of phase", "shaft-03", _set("NORTH/IS-1 body", phase=141.5)),
    seed("20 shaft pokes into the cross", "shaft-05", _set("NORTH/UJ-1 upper", bore_depth=21.0)),
    seed("21 three joints and no support", "shaft-04", _set("NORTH/IS-2 body", bearing_alignment="none"), three_joints),
    seed("22 pinch bolt misses its groove", "spline-09",
         _set("NORTH/CO-1 lower-end", groove_position=18.0),
         also={"shaft-05": "with its groove under the bolt the shaft would stand in the cross"}),
    seed("22 no groove for the pinch bolt", "spline-07", _set("NORTH/CO-1 lower-end", groove="none")),
    seed("22 pinch bolt clear of the shaft", "spline-08", _set("NORTH/UJ-1 upper", bolt_offset=12.5)),
    seed("23 set screw without a pocket", "spline-07",
         _all(_set("NORTH/UJ-1 upper", clamp="set screw"), _set("NORTH/CO-1 lower-end", pocket="no")), also={
             "shaft-01": "without a pocket nothing tells how far the shaft goes in, and where the cross lies",
             "shaft-03": "as shaft-01", "shaft-05": "as shaft-01"}),
    seed("26 two-piece shaft on plastic pins", "shaft-06", _set("NORTH/IS-1 body", slip_retention="plastic pins")),
    seed("26 two-piece shaft barely overlaps", "shaft-06", _set("NORTH/IS-1 body", overlap=20.0)),
    seed("27 short spline engagement", "spline-06", _set("NORTH/CO-1 lower-end", engagement=14.0)),
    seed("28 collapse blocked", "shaft-07", _set("NORTH/CO-1 body", collapse_path="blocked")),
    seed("29 too little slip", "shaft-02", _set("NORTH/IS-1 body", length_long=448.0)),
    seed("32 tyre touches before the stop", "stop-01",
         _all(_set("NORTH/V-1 corner.left", clear_inner=30.0))),
    seed("32 arm goes over centre", "stop-03", _set("NORTH/RK-1 body", travel=210.0), also={
             "way-03": "near dead centre the inner wheel falls back", "boot-03": "as much travel squashes the boots",
             "boot-04": "and draws them out"}),
    seed("33 rack bottoms before the knuckle's stop", "stop-02", _both("KN", "body", stop_in=37.0, stop_out=37.0)),
    seed("34 another inner joint alters the stop", "stop-04", _set("NORTH/RK-1 body", stop="inner-joint shoulder")),
    seed("35 steers the wrong way", "way-01",
         _set("NORTH/RK-1 body", steer_type="rear-steer", bar_side="below", bar_moves="left")),
    seed("36 rack too high", "bump-01", _raise_rack),
    seed("37 rack tilted", "bump-02", _tilt_rack, also={
             "bump-01": "either wheel steers by it", "rod-03": "the sloping rods must be longer"}),
    seed("38 arms of the other side", "way-03", _mirrored_arms, also={
             "rod-03": "the eyes come nearer to the rack", "stop-03": "so do the arms to dead centre"}),
    seed("40 made part without evidence of its material", "adapter-04",
         _set("NORTH/AD-1 body", certificate="none"), with_adapter),
    seed("41 clamps without a stop", "clamp-03",
         _both("MT", "body", lateral_stop="no", stop_kind="none", stop_ways="neither")),
    seed("41 pattern without a stop", "pattern-05",
         _all(_set("NORTH/RK-1 mount", lateral_stop="no"), _set("NORTH/XM-1 mount", lateral_stop="no"))),
    seed("42 clamp bottoms on itself", "clamp-02", _set("NORTH/MT-1 body", tube_dia=45.0)),
    seed("43 bolts of another grip than the stack", "bolts-03", _set("NORTH/MT-1 body", bolt_grip=12.0)),
    seed("43 bolt of another thread than the crossmember holds", "bolts-01", _set("NORTH/MT-1 body", bolt="M8x1")),
    seed("44 rack moves sideways under load", "clamp-05", _set("NORTH/MT-1 body", lateral_movement=1.5)),
    seed("45 nothing locks the inner joint", "thread-07",
         _all(_set("NORTH/RK-1 bar-end.left", locking="none"), _set("NORTH/IJ-1 bar-side", locking="none"))),
    seed("50 boot drawn out too far", "boot-04", _set("NORTH/BO-1 body", longest=230.0)),
    seed("50 boot squashed solid", "boot-03", _set("NORTH/BO-1 body", solid=75.0)),
    seed("50 boot pinched by the rod", "boot-02", _set("NORTH/BO-1 body", small=12.0)),
    seed("51 exhaust too near the shaft when hot", "shaft-08", _set("NORTH/IS-1 body", gap_hot=2.0)),
    seed("51 exhaust too near the rack", "room-02", _set("NORTH/XM-1 body", gap_exhaust=2.0)),
    seed("53 clock spring of too few turns", "ctr-02", _set("NORTH/CO-1 body", clock_spring=1.2)),
    seed("57 part below the scrub line", "room-03", _set("NORTH/V-1 body", lowest_point=-5.0)),
)  # fmt: skip

#: failures beyond the table, so that every rule is seen to fail
MORE: tuple[Seed, ...] = (
    seed("rod end not named", "kit-01", _unsay("left", "rod_end"), also={
             "rod-03": "no rod end, no length", "tilt-01": "nor a limit of its tilt"}),
    seed("an adapter's body against a shank", "kit-02",
         _wrong_end, with_adapter, also={"rod-03": "that end has no thread, and the rod no length"}),
    seed("left knuckle on the right", "kit-03", _say("right", knuckle=KN)),
    seed("thread of the stud too large for the small end", "cone-04", _set(f"{RE} stud", thread="M14x1.5")),
    seed("thread begins too late", "cone-05", _set(f"{RE} stud", thread_start=17.0)),
    seed("stud too short for the nut", "cone-08", _set(f"{RE} stud", end=32.0, slot_base=15.0),
         also={"cone-06": "slots that begin so high are missed by the pin hole too"}),
    seed("two male threads", "thread-01", _set(f"{RE} shank", sex="male"),
         also={"rod-03": "two male threads have no length together"}),
    seed("shoulder smaller than the hole", "thread-05", _set("NORTH/IJ-1 bar-side", shoulder_dia=13.0)),
    seed("inner joint bottoms before it lands", "thread-06", _set("NORTH/IJ-1 bar-side", depth=27.0)),
    seed("clamp loose on its bush", "clamp-01", _set("NORTH/MT-1 body", clamp_bore=53.6)),
    seed("clamp bolt larger than its hole", "clamp-04", _set("NORTH/MT-1 body", hole_dia=7.5)),
    seed("aluminium crossmember too thin for its thread", "bolts-02", _set("NORTH/XM-1 mount", material="aluminium")),
    seed("boot too large for the housing", "boot-01", _set("NORTH/BO-1 body", large=44.5)),
    seed("rod thinner than its thread", "net-01", _set(f"{TR} body", rod_dia=11.0),
         also={"boot-02": "the boot's neck is too wide for so thin a rod"}),
    seed("wall over the thread too thin", "net-02", _set(f"{RE} shank", wall=1.5)),
    seed("rod ends of unlike length", "pair-01", _set("NORTH/RE-2 body", centre=49.0)),
    seed("stud heights unlike", "pair-02", _set("NORTH/RE-2 stud", height=21.0)),
    seed("tapers unlike", "pair-03", _set("NORTH/RE-2 stud", taper=0.11), also={
             "cone-02": "the right stud does not go with its eye either", "cone-03": "nor seats in it",
             "cone-07": "and the boss is too slim for the reaming"}),
    seed("bolts of two sizes", "pattern-01", _set("NORTH/RK-1 mount", bolt="M10")),
    seed("bolt larger than a hole", "pattern-02", _set("NORTH/RK-1 mount", hole_dia=7.8)),
    seed("hole out of reach", "pattern-03", lambda mix: _move(mix, ("NORTH/XM-1 mount",), "hole-1", (4.0, 0.0, 0.0))),
    seed("no edge left beside the opened hole", "pattern-03",
         _all(lambda mix: _move(mix, ("NORTH/XM-1 mount",), "hole-1", (1.8, 0.0, 0.0)),
              _set("NORTH/RK-1 mount", edge=6.0))),
    seed("nothing says where the rack sits", "rod-01", _take("NORTH/RK-1 mount", "hole-1"),
         also=dict.fromkeys(_PLACED, "asks where the rack sits") | {"pattern-03": "that hole is one of its own"}),
    seed("outer ball not surveyed", "rod-02", _take("NORTH/V-1 corner.left", "arm-eye"),
         also=dict.fromkeys(sorted({*_PLACED} - {"shaft-01", "shaft-03"}), "asks where the arm ends")),
    seed("two shafts", "spline-01", _set("NORTH/UJ-1 upper", sex="male")),
    seed("unlike counts", "spline-02", _set("NORTH/UJ-1 upper", spline=40.0),
         also={"ctr-01": "unlike counts have no steps"}),
    seed("unlike flanks", "spline-03", _set("NORTH/UJ-1 upper", form="involute-37.5")),
    seed("shaft too thin for the bore", "spline-04", _set("NORTH/UJ-1 upper", minor=16.5)),
    seed("trade name against the count", "spline-05", _set("NORTH/UJ-1 upper", name="3/4-48")),
    seed("wheel cannot be centred", "ctr-01", _take("NORTH/CO-1 wheel-end", "spline")),
    seed("pinion on the passenger's side, and no shaft", "way-02",
         _set("NORTH/V-1 body", drive_side="RH"), without_column),
    seed("tapered eye for a straight bolt", "eye-01", _set(f"{KN} eye", profile="tapered", large=13.9), spherical),
    seed("bolt loose in the eye", "eye-02", _set(f"{KN} eye", large=13.0, small=13.0), spherical),
    seed("bolt's thread in the shear plane", "eye-06", _set("NORTH/SR-1 body", grip=30.0), spherical),
    seed("boss too thin to be bored", "eye-07",
         _set(f"{KN} eye", profile="tapered", large=12.2, small=11.0, boss_large=20.0, boss_small=20.0),
         spherical, {"eye-01": "the tapered eye, which boring does not mend then"}),
    seed("threads longer than the adapter", "adapter-01", _set("NORTH/AD-1 a", depth=34.0), with_adapter),
    seed("adapter runs out", "adapter-02", _set("NORTH/AD-1 body", concentricity=0.4), with_adapter),
    seed("adapter without a number", "adapter-03", _take("NORTH/AD-1 body", "lot"), with_adapter),
    seed("plated adapter without baking", "adapter-05", _set("NORTH/AD-1 body", coating="zinc plated"), with_adapter),
    seed("less lock than the kit asks for", "turn-01", _say("limits", lock_least="36 deg")),
    seed("larger circle than the kit allows", "turn-02",
         _all(_say("limits", turning_circle="7 m"), _set("NORTH/V-1 body", tyre="155 R 13", rolling_radius=290.0))),
    seed("rack longer than its box", "room-01",
         _set("NORTH/RK-1 body", envelope_length=700.0), in_a_box),
    seed("tyre too near the joint", "room-02", _set("NORTH/KN-1 body", tyre_gap=2.0)),
    seed("repair weld on a tie rod", "state-01", _set(f"{TR} body", welds="repair")),
    seed("play in a rod end", "state-02", _set(f"{RE} body", play_radial=0.9)),
    seed("sleeve too thin", "sleeve-01", _set("NORTH/AD-2 body", wall_small=1.2), with_sleeve),
    seed("sleeve loose in its bore", "sleeve-02", _set("NORTH/AD-2 body", od=19.9), with_sleeve),
    seed("eye too thin round the sleeve", "sleeve-03", _set(f"{KN} eye", boss_large=34.0), with_sleeve),
)  # fmt: skip
