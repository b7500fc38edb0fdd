"""The pages of the rules on the tilt of the ball joints, for ``fitment explain``."""

from __future__ import annotations

from fitment.joints.registration import Rule

_GRID = (
    "By the linkage: seven by seven poses over rebound to bump and the rack's whole travel at the adopted values; the "
    "doubt is sampled at the worst of them and at neighbours within 2 deg of it. By the kit: the extreme that it "
    "states. Where both are there, the larger."
)

OUTER = Rule(
    code="tilt-01",
    title="tilt of the outer joint",
    checks="Whether the stud of the rod end, or the bolt of a spherical one, may lean as far as bump and lock ask, the "
    "angle at which the eye is built into the arm included.",
    formula="limit - needed. Linkage: |asin(stud . rod)| at its largest. The stud leans off the steering axis by the "
    "eye's tilt, to the side that the kit's eye_leans says (45 deg either way); where it says none, any way: along the "
    f"axis, the tilt added. {_GRID} Limit: tilt of the stud; of a spherical rod end its tilt as clamped, else between "
    "flat cheeks, asin(B/r) - asin(C/r), r = sqrt(d4^2 + C^2).",
    source="Geometry (spatial linkage in closed form; rod-end sizes as ISO 12240-4 names them).",
    limits="None.",
    leaves_out="The arm's eye is that of rod-02. "
    "Where eye_leans is not said, what fits one way of leaning only is not known. A rod end turning about "
    "its shank until it touches; the boot's lip; a stud seated so deep that the arm meets the socket; stops that "
    "end the lock before the rack does; bending of rods and bushes.",
)
INNER = Rule(
    code="tilt-02",
    title="tilt of the inner joint",
    checks="Whether the inner ball joint may swing as far as bump and lock ask.",
    formula=f"limit - needed. Linkage: largest angle between tie rod and bar. {_GRID}",
    source="Geometry (spatial linkage in closed form).",
    limits="None.",
    leaves_out="A rod that meets the rack's housing or the boot's clip before the ball ends; stops that end the lock "
    "before the rack does.",
)
RULES = (OUTER, INNER)
