"""The pages of the rules on handed pairs, for ``fitment explain``."""

from __future__ import annotations

from fitment.joints.registration import Rule

_SAME = "Two of one part number are alike as far as their records go: pieces that were bent or worn are not."

LENGTH = Rule(
    code="pair-01",
    title="same length on both sides",
    checks="Whether rod ends, tie rods and inner joints of two part numbers are equally long on both sides. Looked at "
    "where a length of either is recorded.",
    formula="pair_length - |left - right|: of a rod end its centre, of a tie rod its length, of an inner joint its "
    "ball-offset.",
    source="Geometry; pair_length: own suggestion, no source.",
    limits="pair_length.",
    leaves_out=f"{_SAME} A rack off the middle of the car wants unequal rods: state pair_length in the kit then.",
)
HEIGHT = Rule(
    code="pair-02",
    title="same stud height on both sides",
    checks="Whether rod ends of two part numbers hold their balls equally high over their cones. Looked at where "
    "either height is recorded.",
    formula="pair_height - |left - right|.",
    source="Unequal heights slope the rods unequally: geometry. That they must be alike: common practice, no source; "
    "pair_height: own suggestion, no source.",
    limits="pair_height.",
    leaves_out=f"{_SAME} How deep either stud seats in its eye.",
)
TAPER = Rule(
    code="pair-03",
    title="same taper on both sides",
    checks="Whether the studs of two rod ends of two part numbers have one taper where both knuckles are one part, or "
    "their eyes are recorded alike. Eyes that differ ask for studs that differ: nothing is said then.",
    formula="cone_mismatch - |left - right|, tapers as (D - d)/L.",
    source="Geometry; cone_mismatch as cone-02.",
    limits="cone_mismatch.",
    leaves_out=f"{_SAME} Whether either stud fits its own eye: cone-02 looks at that. Unlike threads: a caution.",
)
RULES = (LENGTH, HEIGHT, TAPER)
