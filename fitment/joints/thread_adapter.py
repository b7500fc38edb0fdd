"""A made part that would join two ends that do not screw together: what to make, and whether the ends have room for it.

Nothing here makes a joint fit: the adapter is one part more, which a kit must name before it is checked.
"""

from __future__ import annotations

from math import pi, sqrt

from fitment.errors import DataFault
from fitment.finding import Figure, Use, Work
from fitment.frozen import dataclass
from fitment.joints.answering import Size, mm, size_of, spread
from fitment.joints.registration import Feature, Setting
from fitment.joints.thread_ends import engagement_needed, thread_of
from fitment.standards.strength import stress_area
from fitment.standards.thread_classes import DEFAULT_CLASSES
from fitment.standards.thread_sizes import basic_pitch_diameter
from fitment.standards.threads import Thread, same_thread

ADAPTER = "thread adapter"

CERTIFY = "A made part in the steering linkage is for a certifier to pass before it is fitted."
LENGTH = "A thread adapter lengthens the rod: name it in the kit, and rod-03 counts it."

_SEXES = {"male": "female", "female": "male"}


@dataclass(frozen=True)
class _End:
    """The adapter's end for one part; lengths in mm.

    Attributes:
        part: the end that it is for; `sex` is that of the adapter.
        least: full thread without which the joint would be short, chamfered first threads included.
        made: full thread to make.
        run_out: run-out behind it.
    """

    part: Feature
    thread: Thread
    hand: str
    sex: str
    room: Size
    least: float
    made: float
    run_out: float

    @property
    def tolerance(self) -> str:
        return DEFAULT_CLASSES[self.thread.form][0 if self.sex == "male" else 1]

    def say(self) -> str:
        return (
            f"{self.sex} {self.thread.designation} {self.tolerance} {self.hand}, {mm(self.made)} of full thread and "
            f"{mm(self.run_out)} of run-out, for {self.part.name}"
        )


def adapter_for(first: Feature, second: Feature, setting: Setting) -> Work | str | None:
    """What would join two threaded ends that do not screw together.

    Engagement as thread-04 asks it, run-out by thread_runout, outside diameter for the net section of the thinner rod
    (net_section_ratio).

    Returns:
        the part to make; why none helps; None where the two would screw together, or where thread, hand, sex or depth
        of either is not known at first hand.
    """
    ends = [_end(one, setting) for one in (first, second)]
    if ends[0] is None or ends[1] is None:
        return None
    one, other = ends[0], ends[1]
    if same_thread(one.thread, other.thread) and one.hand == other.hand and one.sex != other.sex:
        return None
    for end in (one, other):
        if end.room.central < end.least:
            return (
                f"No thread adapter would join {first.name} and {second.name}: {end.part.name} has "
                f"{mm(end.room.central)} of thread and {mm(end.least)} is asked of it."
            )
        if spread(end.room, setting.draws)[0] < end.least:
            return (
                f"Whether a thread adapter would join {first.name} and {second.name} is not known: {end.part.name} "
                f"depth is too coarse ({mm(end.least)} is asked of it)."
            )
    return _work(one, other, setting)


def _end(part: Feature, setting: Setting) -> _End | None:
    thread, room = thread_of(part), size_of(part, "depth")
    hand, sex = _word(part.get("hand"), ("RH", "LH")), _word(part.get("sex"), tuple(_SEXES))
    said = [use for name in ("thread", "hand", "sex", "depth") if (use := part.get(name)) is not None]
    if thread is None or not hand or not sex or not room.known or any(use.hearsay or use.assumed for use in said):
        return None
    least = engagement_needed(thread, setting.limits["engagement_factor"].value)[0] + 2 * thread.pitch
    made = least
    if setting.facts.get("adjuster") == "yes":
        made = max(least, setting.limits["adjuster_factor"].value * thread.nominal + 2 * thread.pitch)
    if sex == "female":  # the adapter's male end must not bottom in it
        made = min(made, max(least, room.central))
    run_out = setting.limits["thread_runout"].value * thread.pitch
    return _End(part, thread, hand, _SEXES[sex], room, least, made, run_out)


def _word(use: Use | None, allowed: tuple[str, ...]) -> str:
    return use.word if use is not None and use.word in allowed else ""


def net_section(thread: Thread) -> float:
    """Section of a rod at its thread, mm2: the stress area; at the pitch diameter for Whitworth, of which none is held.

    Source: ISO 898-1, ASME B1.1 (`stress_area`); Whitworth: own choice, no source.
    """
    try:
        return stress_area(thread)
    except DataFault:
        return pi / 4 * basic_pitch_diameter(thread) ** 2


def outside_needed(bore: float, section: float) -> float:
    """Outside diameter of a ring of this section round a bore, mm: sqrt(D^2 + 4 A/pi). Geometry."""
    return sqrt(bore * bore + 4 * section / pi)


def _work(one: _End, other: _End, setting: Setting) -> Work:
    section = setting.limits["net_section_ratio"].value * min(net_section(end.thread) for end in (one, other))
    holes = [end.thread.nominal for end in (one, other) if end.sex == "female"]
    length = one.made + other.made + one.run_out + other.run_out
    wall, walls = None, ""
    if holes:
        outside = outside_needed(max(holes), section)
        wall = (outside - max(holes)) / 2
        walls = (
            f"outside {mm(outside)} or more, a wall of {mm(wall)} over the larger female thread for the net section of "
            f"the thinner rod; "
        )
    detail = (
        f"would join them, as a part more that the kit must name: {one.say()}; {other.say()}; {walls}{mm(length)} "
        f"overall or more; it holds the two ends {mm(one.run_out + other.run_out)} apart or more, and the rod grows by "
        f"that and by the thread that the two would have shared"
    )
    sizes: dict[str, Figure | str] = {"length": Figure(length, None, "mm")}
    if holes:
        sizes["outside"] = Figure(outside, None, "mm")
    for number, end in enumerate((one, other), 1):
        sizes |= {
            f"part_{number}": end.part.name,
            f"sex_{number}": end.sex,
            f"thread_{number}": f"{end.thread.designation} {end.tolerance} {end.hand}",
            f"nominal_{number}": Figure(end.thread.nominal, None, "mm"),
            f"pitch_{number}": Figure(end.thread.pitch, None, "mm"),
            f"full_thread_{number}": Figure(end.made, None, "mm"),
            f"engagement_{number}": Figure(end.least, None, "mm"),
            f"run_out_{number}": Figure(end.run_out, None, "mm"),
        }
    return Work(ADAPTER, f"between {one.part.name} and {other.part.name}", None, None, "mm", wall, detail, sizes)
