"""A whole invented kit in which every rule that looks at it answers *fits*: what failures are seeded into.

The car is case A of the published hardpoints (wishbones, arms ahead of the axle) with the driver on the left; the line
from column to pinion is that of the published case in space. Rack, rods, clamps, boots and numbers are made up.
`Mix` holds plain values, so that a test may change one of them, mirror all of them or write them in other units.
"""

from __future__ import annotations

import math

from tests.support.corners import hardpoints
from tests.support.mix import CAR, SIDES, Mix, Point

#: points of the corners by their names in the published hardpoints
POINTS = {
    "lower_inner_front": "lower-front",
    "lower_inner_rear": "lower-rear",
    "lower_ball_joint": "lower-ball",
    "upper_inner_front": "upper-front",
    "upper_inner_rear": "upper-rear",
    "upper_ball_joint": "upper-ball",
    "tie_rod_outer": "arm-eye",
    "wheel_centre": "wheel-centre",
}

#: middle between the inner balls, and the two joint centres of the line from column to pinion, car coordinates
RACK: Point = (125.0, 0.0, 213.0)
UPPER: Point = (-175.0, 345.0, 543.0)
LOWER: Point = (150.0, 215.0, 268.0)


def _unit(x: float, y: float, z: float) -> Point:
    length = math.hypot(x, y, z)
    return x / length, y / length, z / length


def _along(start: Point, way: Point, far: float) -> Point:
    return start[0] + way[0] * far, start[1] + way[1] * far, start[2] + way[2] * far


def _less(one: Point, other: Point) -> Point:
    return one[0] - other[0], one[1] - other[1], one[2] - other[2]


COLUMN, PINION = _unit(0.88, 0.02, -0.475), _unit(0.62, -0.30, -0.725)
#: the joint centres lie 16 mm beyond the ends of the shafts
COLUMN_END, PINION_END = _along(UPPER, COLUMN, -16.0), _along(LOWER, PINION, 16.0)

#: number of the part of either side
OF_SIDE = {"left": 1, "right": 2}


def good() -> Mix:
    """The kit with a rod end on either side and two universal joints."""
    mix = Mix()
    _car(mix)
    _rack(mix)
    _mounting(mix)
    for side in SIDES:
        _side(mix, side)
    _line(mix)
    # what is a figure by default is a limit here, so that it can be broken
    mix.say("limits", shaft_ripple=0.15, rack_reserve="3 mm", toe_change="0.06 deg", toe_unlike="0.06 deg")
    mix.say("limits", lock_least="26 deg", turning_circle="12 m", room_gap="5 mm")
    return mix


def _car(mix: Mix) -> None:
    mix.kinds[CAR] = "vehicle"
    mix.set(f"{CAR} body", arm_position="front-steer", drive_side="LH", gear="rack", assisted="no", lowest_point=22.0)
    mix.set(f"{CAR} body", wheelbase=2100.0, track_front=1320.0, rolling_radius=290.0, tyre="165/80 R 13")
    for side in SIDES:
        points = hardpoints("A")[side]
        at = {name.replace("-", "_"): (points[key].x, points[key].y, points[key].z) for key, name in POINTS.items()}
        mix.set(f"{CAR} corner.{side}", **at, bump=60.0, rebound=60.0, clear_inner=38.0, clear_outer=38.0)


def _rack(mix: Mix) -> None:
    mix.kinds["NORTH/RK-1"] = "rack"
    body = "NORTH/RK-1 body"
    mix.set(body, hand="LH", steer_type="front-steer", input="from behind", bar_side="above", bar_moves="right")
    mix.set(body, bar_length=640.0, joint_offset=20.0, inner_spacing=680.0, travel=140.0, turns=3.25, stop="teeth")
    mix.set(body, tube_left=43.0, tube_right=43.0, boot_seat_left=44.0, boot_seat_right=44.0, assist="none")
    mix.set(body, out_left_centre=80.0, out_right_centre=80.0, welds="none")
    mix.set(body, pinion_end=_less(PINION_END, RACK), pinion_root=_less(_along(PINION_END, PINION, 60.0), RACK))
    for side in SIDES:
        mix.set(f"NORTH/RK-1 bar-end.{side}", thread="M14x1.5", sex="female", hand="RH", depth=24.0, wall=5.0)
        mix.set(f"NORTH/RK-1 bar-end.{side}", locking="tab washer", washer=1.0, seat_dia=24.0)
    _shaft_end(mix, "NORTH/RK-1 pinion", groove="annular")
    mix.set("NORTH/RK-1 mount", type="saddle clamps", bolt="M8", hole_dia=9.0, lateral_stop="yes", edge=20.0)


def _mounting(mix: Mix) -> None:
    mix.kinds["NORTH/XM-1"] = "crossmember"
    mix.set("NORTH/XM-1 body", gap_sump=15.0, gap_radiator=30.0, gap_roll_bar=12.0, gap_exhaust=40.0)
    mount = "NORTH/XM-1 mount"
    mix.set(mount, bolt="M8", captive="M8", thick=10.0, material="steel", edge=20.0, hole_dia=9.0, lateral_stop="yes")
    for number, (x, y) in enumerate(((87.0, 175.0), (163.0, 175.0), (87.0, -175.0), (163.0, -175.0)), 1):
        mix.set(mount, **{f"hole_{number}": (x, y, 190.0)})
        mix.set("NORTH/RK-1 mount", **{f"hole_{number}": _less((x, y, 190.0), RACK)})
    for side in SIDES:
        name = f"NORTH/MT-{OF_SIDE[side]}"
        mix.kinds[name] = "mount"
        mix.set(f"{name} body", bush_inside=42.6, bush_outside=53.0, clamp_bore=52.4, tube_dia=43.0, gap=1.4)
        mix.set(f"{name} body", hole_dia=9.0, bolt="M8", bolt_class="8.8", foot=4.0, bolt_grip=4.5, bush_split="split")
        mix.set(f"{name} body", lateral_stop="yes", stop_kind="shoulder", stop_ways="both", lateral_movement=0.2)
        mix.say("mounting", **{f"mount_{side}": name})
    mix.say("mounting", crossmember="NORTH/XM-1")
    mix.say("rack", part="NORTH/RK-1", sits="by mounting", turned="as in its donor")


def _side(mix: Mix, side: str) -> None:
    number = OF_SIDE[side]
    joint, rod, end, knuckle, boot = (f"NORTH/{kind}-{number}" for kind in ("IJ", "TR", "RE", "KN", "BO"))
    mix.kinds |= {joint: "inner-joint", rod: "tie-rod", end: "rod-end", knuckle: "knuckle", boot: "boot"}
    thread = {"thread": "M14x1.5", "hand": "RH"}
    mix.set(f"{joint} body", ball_offset=20.0, tilt=30.0, welds="none", condition="new")
    mix.set(f"{joint} bar-side", **thread, sex="male", depth=22.0, locking="tab washer", shoulder_dia=24.0)
    mix.set(f"{joint} rod-side", **thread, sex="female", depth=27.0, wall=5.0)
    mix.set(f"{rod} body", rod_dia=15.0, length=270.0, tilt=30.0, welds="none", condition="new")
    mix.set(f"{rod} inner", **thread, sex="male", depth=25.0)
    mix.set(f"{rod} outer", **thread, sex="male", depth=50.0, jam_nut=8.0, locking="jam nut")
    mix.set(f"{end} body", centre=45.0, welds="none", condition="new", play_radial=0.0)
    mix.set(f"{end} shank", **thread, sex="female", depth=32.0, wall=5.0)
    mix.set(f"{end} stud", taper=0.1, large=15.0, length=14.8, thread="M12x1.25", hand="RH", thread_start=15.0)
    mix.set(f"{end} stud", end=34.0, pin_hole=29.9, pin_dia=3.2, nut="castle nut", nut_height=15.0, slot_base=10.0)
    mix.set(f"{end} stud", height=18.0, tilt=35.0, locking="split pin")
    mix.set(f"{knuckle} eye", taper=0.1, large=14.85, thick=16.0, opens="down", profile="tapered", tilt=1.5)
    mix.set(f"{knuckle} eye", boss_large=34.0, boss_small=34.0, oval=0.01, bell_mouth=0.01, machined="none")
    mix.set(f"{knuckle} eye", material="forged steel", welds="none", heat_marks="none")
    mix.set(f"{knuckle} body", side=side, stop_in=32.0, stop_out=32.0, welds="none", heat_marks="none")
    mix.set(f"{knuckle} body", rim_gap=12.0, tyre_gap=10.0)
    mix.set(f"{boot} body", small=13.8, large=42.0, solid=60.0, longest=270.0, outside=64.0, seat_centre=150.0)
    mix.set(f"{boot} body", material="rubber", breather="stub")
    mix.say(side, inner_joint=joint, tie_rod=rod, rod_end=end, knuckle=knuckle, boot=boot)
    mix.say(side, stud_enters="below", rod_length="270 mm", eye_leans="out")


def _shaft_end(mix: Mix, name: str, groove: str) -> None:
    mix.set(name, sex="male", spline=36.0, form="involute-45", od=16.72, engagement=24.0, groove=groove)
    mix.set(name, groove_position=11.0, groove_width=9.0, groove_depth=2.0)


def _yokes(mix: Mix, name: str) -> None:
    mix.kinds[name] = "universal-joint"
    mix.set(f"{name} body", joints="single", angle_limit=30.0, angle_source="sheet 4", welds="none")
    for yoke in ("upper", "lower"):
        mix.set(f"{name} {yoke}", sex="female", spline=36.0, form="involute-45", minor=16.0, bore_depth=26.0)
        mix.set(f"{name} {yoke}", clamp="pinch bolt through groove", bolt="M8", bolt_to_end=11.0, bolt_offset=10.9)
        mix.set(f"{name} {yoke}", centre_to_face=38.0)


def _shaft(mix: Mix, name: str, short: float, long: float, phase: float) -> None:
    mix.kinds[name] = "intermediate-shaft"
    body = f"{name} body"
    mix.set(body, length_short=short, length_long=long, slip_retention="stop", overlap=40.0, section_dia=19.0)
    mix.set(body, collapse="telescope", collapse_stroke=40.0, welds="maker's", bearing_alignment="none", phase=phase)
    mix.set(body, gap_cold=14.0, gap_hot=12.0, gap_roll=8.0)
    for end in ("upper", "lower"):
        _shaft_end(mix, f"{name} {end}", groove="notch")


def _column(mix: Mix) -> None:
    mix.kinds["NORTH/CO-1"] = "column"
    body = "NORTH/CO-1 body"
    slope, slant = math.degrees(math.asin(-COLUMN[2])), math.degrees(math.atan2(COLUMN[1], COLUMN[0]))
    mix.set(body, axis_side=slope, axis_plan=slant, axis_point=COLUMN_END, tilt_range=2.0, origin="car maker")
    mix.set(body, welds="none", collapse="mesh", collapse_stroke=90.0, collapse_path="free", shaft="one piece")
    mix.set(body, clock_spring=2.5, angle_sensor="no")
    _shaft_end(mix, "NORTH/CO-1 lower-end", groove="annular")
    mix.set("NORTH/CO-1 wheel-end", sex="male", spline=36.0, form="involute-45")
    mix.say("column", column="NORTH/CO-1")


def _line(mix: Mix) -> None:
    _column(mix)
    _yokes(mix, "NORTH/UJ-1")
    _yokes(mix, "NORTH/UJ-2")
    _shaft(mix, "NORTH/IS-1", 420.0, 470.0, 51.5)
    mix.say("column", upper_joint="NORTH/UJ-1", intermediate_shaft="NORTH/IS-1", lower_joint="NORTH/UJ-2")


def spherical() -> Mix:
    """The same with a spherical rod end bolted to a parallel bore on either side."""
    mix = good()
    for side in SIDES:
        number = OF_SIDE[side]
        end, eye = f"NORTH/SR-{number}", f"NORTH/KN-{number} eye"
        mix.kinds[end] = "spherical-rod-end"
        mix.set(f"{end} body", bore=12.1, bolt="M12x1.25", bolt_class="10.9", ball_width=16.0, spacer_length=6.0)
        mix.set(f"{end} body", grip=40.0, captive_washer="yes", centre=45.0, tilt=35.0, welds="none")
        mix.set(f"{end} shank", thread="M14x1.5", hand="RH", sex="female", depth=32.0, wall=5.0)
        mix.take(eye, "taper").set(eye, large=12.1, small=12.1, thick=18.0, profile="parallel")
        mix.say(side, spherical_rod_end=end).unsay(side, "rod_end", "stud_enters")
    return mix


def three_joints() -> Mix:
    """The same with three universal joints, the upper shaft in a support bearing."""
    mix = good()
    middle: Point = (5.0, 290.0, 420.0)
    _yokes(mix, "NORTH/UJ-3")
    _shaft(mix, "NORTH/IS-2", math.dist(UPPER, middle) - 25.0, math.dist(UPPER, middle) + 25.0, 0.0)
    _shaft(mix, "NORTH/IS-1", math.dist(middle, LOWER) - 25.0, math.dist(middle, LOWER) + 25.0, 0.0)
    for name in ("NORTH/IS-1", "NORTH/IS-2"):
        mix.take(f"{name} body", "phase")
        for end in ("upper", "lower"):
            mix.set(f"{name} {end}", groove="annular")
    mix.set("NORTH/IS-2 body", bearing_alignment="self-aligning", lower_point=middle)
    mix.say("column", upper_shaft="NORTH/IS-2", middle_joint="NORTH/UJ-3")
    return mix


def with_adapter() -> Mix:
    """The same with a thread adapter between left tie rod and rod end, for a rod shorter by what the adapter adds."""
    mix = good()
    mix.say("left", rod_length="232 mm")
    mix.kinds["NORTH/AD-1"] = "adapter"
    thread = {"thread": "M14x1.5", "hand": "RH", "depth": 25.0}
    mix.set("NORTH/AD-1 a", **thread, sex="female", wall=5.0)
    mix.set("NORTH/AD-1 b", **thread, sex="male")
    _made(mix, "NORTH/AD-1")
    mix.set("NORTH/AD-1 body", length=58.0)
    mix.adapters.append(("NORTH/AD-1", ("left.tie_rod", "left.rod_end"), ("a", "b")))
    return mix


def _made(mix: Mix, name: str) -> None:
    mix.set(f"{name} body", concentricity=0.04, drawing="D 7", revision="B", lot="3", material="42CrMo4")
    mix.set(f"{name} body", condition="quenched and tempered", certificate="3.1", coating="phosphated", welds="none")


def with_sleeve() -> Mix:
    """The same with a taper sleeve pressed into the left knuckle's bored eye."""
    mix = good()
    mix.kinds["NORTH/AD-2"] = "adapter"
    eye = "NORTH/KN-1 eye"
    mix.set("NORTH/AD-2 bore", taper=0.1, large=14.85, thick=16.0, opens="down", profile="tapered")
    _made(mix, "NORTH/AD-2")
    mix.set("NORTH/AD-2 body", 0.002, od=20.025, wall_small=2.6)
    mix.take(eye, "taper").set(eye, 0.002, large=20.0).set(eye, boss_large=42.0, boss_small=42.0, profile="parallel")
    mix.adapters.append(("NORTH/AD-2", ("left.rod_end", "left.knuckle"), ("bore", "body")))
    return mix


def in_a_box() -> Mix:
    """The same with a clearance box of the crossmember and the sizes of the rack's housing."""
    mix = good()
    mix.set("NORTH/RK-1 body", envelope_length=480.0, envelope_height=90.0, envelope_depth=95.0)
    mix.set("NORTH/XM-1 body", box_min=(60.0, -330.0, 150.0), box_max=(190.0, 330.0, 290.0))
    return mix


def without_column() -> Mix:
    """The same without a column, joints and shaft."""
    mix = good()
    del mix.sections["column"]
    return mix


BASES = {
    "good": good,
    "spherical": spherical,
    "three joints": three_joints,
    "adapter": with_adapter,
    "sleeve": with_sleeve,
    "no column": without_column,
    "box": in_a_box,
}
