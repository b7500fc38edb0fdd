"""A whole invented kit whose front axle is case A of the published hardpoints, for the checks of the kit as a whole.

Rack and arms lie ahead of the axle. Bar 640, ball offset 20 each side: inner balls 680 apart, at (125, +-340, 213).
"""

from __future__ import annotations

from dataclasses import replace

from fitment.catalogue.found import FoundVehicle
from fitment.finding import Finding, Use
from fitment.joints.registration import Feature
from fitment.kits.report import Report
from tests.kits.test_rod_length import Point, Shelf, point, run
from tests.support.corners import hardpoints
from tests.support.features import feature, without

HEAD = 'name = "Front"\ntarget = "NORTH/V-1"\n'
SIDE = 'tie_rod = "NORTH/TR-2"\nrod_end = "NORTH/RE-3"\nknuckle = "NORTH/KN-1"\n'
SEAT = 'position = {x = "125 mm", y = "0 mm", z = "213 mm"}\n'

_NAMES = {"arm-eye": "tie_rod_outer", "lower-ball": "lower_ball_joint", "upper-ball": "upper_ball_joint"}
_OTHER = {"left": "right", "right": "left"}


def text(seat: str = SEAT, more: str = "") -> str:
    return f'{HEAD}[rack]\npart = "NORTH/RK-7"\n{seat}[left]\n{SIDE}[right]\n{SIDE}{more}'


def turned(word: str, seat: str = "") -> str:
    return text(f'turned = "{word}"\n{seat}')


class Front(Shelf):
    """The kit of these tests: every length good to u = 0.05 mm, every angle to 0.05 deg."""

    def __init__(self) -> None:
        super().__init__()
        self.points: dict[str, dict[str, Point]] = {
            side: {name: (at.x, at.y, at.z) for name in _NAMES for at in (points[_NAMES[name]],)}
            for side, points in hardpoints("A").items()
        }
        self.vehicle: dict[str, str] = {"arm-position": "front-steer", "drive-side": "LH"}
        self.angles: dict[str, dict[str, float]] = {"left": {}, "right": {}}
        self.take("NORTH/RK-7 body", "bar-length")
        self.add("NORTH/RK-7 body", bar_length=640.0, travel=140.0, hand="LH", stop="teeth", turns=3.25)
        for side in ("left", "right"):
            self.angles[side] = {"clear-inner": 38.0, "clear-outer": 38.0}
        self.add("NORTH/KN-1 body", stop_in=32.0, stop_out=32.0)
        self.renew()

    def renew(self) -> None:
        """The vehicle as its points, words and angles say now."""
        words = {name: Use("NORTH/V-1 body", name, word, None, None, BASIS, source="survey")
                 for name, word in self.vehicle.items()}  # fmt: skip
        features = {"body": Feature("NORTH/V-1 body", "vehicle-body", words)}
        for side, points in self.points.items():
            name = f"NORTH/V-1 corner.{side}"
            values = {at: point(name, at, place) for at, place in points.items()}
            angles = feature(name, "corner", 0.05, **{key.replace("-", "_"): v for key, v in self.angles[side].items()})
            features[f"corner.{side}"] = Feature(name, "corner", {**values, **angles.values})
        self.target = FoundVehicle("NORTH/V-1", "Kestrel 12 (invented)", features)

    def bare(self) -> None:
        """Nothing of the target is known but its name."""
        self.target = FoundVehicle("NORTH/V-1", "Kestrel 12 (invented)")

    def say(self, **words: str) -> None:
        self.add("NORTH/RK-7 body", **words)

    def body_without(self, *dimensions: str) -> None:
        found = self.parts["NORTH/RK-7"]
        body = without(found.features["body"], *dimensions)
        self.parts["NORTH/RK-7"] = replace(found, features={**found.features, "body": body})

    def mirror(self) -> None:
        """The same kit mirrored left to right."""
        self.points = {
            side: {name: (x, -y, z) for name, (x, y, z) in self.points[_OTHER[side]].items()} for side in self.points
        }
        self.angles = {side: self.angles[_OTHER[side]] for side in self.angles}
        self.renew()


BASIS = point("", "", (0.0, 0.0, 0.0)).basis


def findings(report: Report, row: str, rule: str = "") -> list[Finding]:
    """The findings of one row (``direction``, ``left.stroke``), of one rule where it is named."""
    found = [one for joint in report.joints if joint.id == row for one in joint.findings]
    return [one for one in found if not rule or one.rule == rule]


def only(report: Report, row: str, rule: str) -> Finding:
    (found,) = findings(report, row, rule)
    return found


def gaps(found: Finding) -> list[str]:
    return [f"{gap.feature} {gap.dimension}: {gap.why}" for gap in found.gaps]


__all__ = ["Front", "findings", "gaps", "only", "run", "text", "turned"]
