"""Lock, Ackermann and turning circle at either lock, beside what the car did as it came.

No figure has authority, so that there is a verdict only where the kit states a limit; else the figures are listed.
"""

from __future__ import annotations

from dataclasses import replace

from fitment.finding import Finding, held_back
from fitment.joints.answering import formula
from fitment.joints.registration import Setting
from fitment.kits import turn_rules as pages
from fitment.kits.assembly import Assembly
from fitment.kits.bar_stops import OTHER
from fitment.kits.checked_car import CheckedCar, unless_stopped_sooner, why_not_solved
from fitment.kits.kit import Kit
from fitment.kits.report import JointSummary
from fitment.kits.roles import SIDES
from fitment.kits.stated import no_verdict, states, told_weak, wanting
from fitment.kits.steering_measured import measured_sizes
from fitment.kits.steering_sizes import result_sizes
from fitment.kits.steering_solved import Solved
from fitment.kits.whole import Looked, WholeKitCheck

#: what tells of a wheel's steering axis and arm
_AXIS = frozenset(["lower-ball", "upper-ball", "strut-top", "arm-eye"])
#: what is told of either lock, by the names of the results
_RESULTS = ("inner", "outer", "ackermann", "kerb")


def look(kit: Kit, assembly: Assembly, setting: Setting) -> Looked:
    """Both locks."""
    without = [name for name in ("lock_least", "turning_circle") if not states(setting, name)]
    why = why_not_solved(kit, assembly, _AXIS)
    if why and len(without) == 2:
        return Looked(not_checked=(why,))
    turns = _Turns(kit, assembly, setting)
    findings: list[Finding] = []
    if "lock_least" not in without:
        findings += [turns.lock(side) for side in SIDES]
    if "turning_circle" not in without:
        findings += [turns.circle(side) for side in SIDES]
    not_checked = [*map(turns.figures, SIDES), no_verdict(setting, *without)] if without else []
    told = tuple(map(held_back, findings))
    title = "lock and turning circle"
    return Looked((JointSummary(CHECK.row, "", title, turns.names, told),) if told else (), tuple(not_checked))


CHECK = WholeKitCheck("ackermann", look)


class _Turns:
    """Both locks of a kit's car at the first stop.

    Attributes:
        names: of rack and target.
        unread: stops of the knuckles that nobody measured: either may act sooner than what is counted.
    """

    def __init__(self, kit: Kit, assembly: Assembly, setting: Setting):
        self.car = CheckedCar(kit, assembly, setting)
        rack = assembly.found.get("rack")
        self.names = (rack.name if rack is not None else "rack", f"{assembly.target.name} front wheels")
        self.unread = self.car.model.unread
        self.solved = Solved(self.car.model)
        found = result_sizes(self.solved)
        self.sizes = {
            side: {
                name: self.car.settled(found[row.format(side=side)])
                for name, row in zip(
                    _RESULTS,
                    ("lock-{side}-inner", "lock-{side}-outer", "ackermann-percent-{side}", "kerb-{side}"),
                    strict=True,
                )
            }
            for side in SIDES
        }

    def _wheel(self, wheel: str, side: str) -> tuple[str, str]:
        """The rack, and the wheel that is meant at a lock."""
        return self.names[0], f"{self.car.model.vehicle.name} {wheel} front wheel at {side} lock"

    def lock(self, side: str) -> Finding:
        """The inner wheel's angle against the least that the kit asks for."""
        limit, sizes = self.car.setting.limits["lock_least"].value, self.sizes[side]

        def words() -> str:
            return f"at {side} lock {self._angles(side)}, where the kit asks for {limit:g} deg of the inner wheel"

        # an outer wheel past dead centre leaves the inner one without a lock too
        margin = formula(lambda angle, other: angle - limit + 0 * other, sizes["inner"], sizes["outer"])
        finding = self.car.finding(pages.LOCK.code, self._wheel(side, side), self.solved, margin, "deg", words)
        told = {f"{name}_{side}": (sizes[name], "deg") for name in ("inner", "outer")}
        told[f"ackermann_{side}"] = (sizes["ackermann"], "%")
        return unless_stopped_sooner(replace(finding, figures=self.car.figures(told)), self.unread)

    def circle(self, side: str) -> Finding:
        """The circle of the outer wheel to one side against the largest that the kit allows."""
        limit, kerb = self.car.setting.limits["turning_circle"].value, self.sizes[side]["kerb"]

        def words() -> str:
            return (
                f"the circle kerb to kerb to the {side} is {kerb.central:.0f} mm, where the kit allows {limit:.0f} mm"
            )

        margin = formula(lambda across: limit - across, kerb)
        finding = self.car.finding(pages.CIRCLE.code, self._wheel(OTHER[side], side), self.solved, margin, "mm", words)
        figures = self.car.figures({f"kerb_to_kerb_{side}": (kerb, "mm")})
        return unless_stopped_sooner(replace(finding, figures=figures), self.unread)

    def figures(self, side: str) -> str:
        """What is known of one lock, beside what the car did as it came."""
        sizes, car = self.sizes[side], self.car
        if gaps := car.reached(self.solved, sizes["inner"], sizes["outer"]):
            return f"{side} lock not known: {wanting(gaps)}"
        told = f"at {side} lock {self._angles(side)} (u {car.doubt(sizes['inner']):.1f} deg"
        came = measured_sizes(car.came.model)
        was = [came.get(f"lock-{side}-{name}") for name in ("inner", "outer")]
        angles = [f"{size.central:.1f} deg" for size in was if size is not None]
        told += f"; as the car came {' and '.join(angles)}" if len(angles) == 2 else ""
        kerb, circle = sizes["kerb"], came.get("circle-measured")
        told += "), Ackermann "
        told += f"{sizes['ackermann'].central:.0f} %" if sizes["ackermann"].known else self._lack("ackermann", side)
        told += ", circle kerb to kerb "
        told += f"{kerb.central:.0f} mm (u {car.doubt(kerb):.0f} mm" if kerb.known else f"({self._lack('kerb', side)}"
        told += f"; as the car came {circle.central:.0f} mm)" if circle is not None else ")"
        unread = f"; not counted, for want of a reading: {wanting(self.unread)}" if self.unread else ""
        return f"{told}{unread}{told_weak([size for size in sizes.values() if size.known])}"

    def _lack(self, name: str, side: str) -> str:
        return f"not known: {wanting(self.sizes[side][name].gaps)}"

    def _angles(self, side: str) -> str:
        inner, outer = (self.sizes[side][name].central for name in ("inner", "outer"))
        return f"the inner wheel stands at {inner:.1f} deg and the outer at {outer:.1f} deg"
