"""A catalogue and joint kinds that answer as they are told, for tests of the kit alone; everything is invented."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from fitment.catalogue.found import CatalogueStamp, FoundPart, FoundVehicle
from fitment.errors import NotFoundFault, nearest
from fitment.finding import Basis, Figure, Finding, Gap, Margin, Use, Verdict, Work
from fitment.joints.registration import Feature, JointKind, Limit, Setting

FEATURES = {
    "rack": {
        "body": "rack-body",
        "bar-end.left": "bar-end",
        "bar-end.right": "bar-end",
        "pinion": "spline-end",
        "mount": "pattern",
    },
    "inner-joint": {"body": "ball-body", "bar-side": "thread-end", "rod-side": "thread-end"},
    "tie-rod": {"body": "rod-body", "inner": "thread-end", "outer": "thread-end"},
    "rod-end": {"body": "ball-body", "shank": "thread-end", "stud": "stud"},
    "spherical-rod-end": {"body": "spherical-body", "shank": "thread-end"},
    "knuckle": {"body": "knuckle-body", "eye": "eye"},
    "intermediate-shaft": {"body": "shaft-body", "upper": "spline-end", "lower": "spline-end"},
    "universal-joint": {"body": "joint-body", "upper": "spline-end", "lower": "spline-end"},
    "column": {"body": "column-body", "lower-end": "spline-end", "wheel-end": "spline-end"},
    "boot": {"body": "boot-body"},
    "crossmember": {"body": "crossmember-body", "mount": "pattern"},
    "mount": {"body": "mount-body"},
    "adapter": {"body": "adapter-body", "a": "thread-end", "b": "thread-end", "bore": "eye"},
}

LIMITS = {
    limit.name: limit
    for limit in (
        Limit("sleeve_wall", 2.0, "mm", "thinnest wall of a sleeve", "invented for tests"),
        Limit("wall_ratio", 0.5, "", "wall round the hole", "invented for tests"),
        Limit("engagement_factor", 1.0, "d", "full thread engaged", "invented for tests"),
    )
}


def part(name: str, kind: str, *, is_item: bool = False) -> FoundPart:
    features = {feature: Feature(f"{name} {feature}", of_kind) for feature, of_kind in FEATURES[kind].items()}
    return FoundPart(name, kind, is_item, f"{kind} {name}", features)


def knuckle(name: str, side: str) -> FoundPart:
    """A knuckle that is recorded as made for a side."""
    made = part(name, "knuckle")
    use_of_side = Use(f"{name} body", "side", side, None, None, Basis.MEASURED, source="own measurement")
    body = Feature(f"{name} body", "knuckle-body", {"side": use_of_side})
    return replace(made, features={**made.features, "body": body})


class Book:
    """One part of each kind, and an item; as small a catalogue as holds a kit."""

    def __init__(self) -> None:
        self.parts = {
            found.name: found
            for found in (
                part("NORTH/RK-7", "rack"),
                part("NORTH/IJ-1", "inner-joint"),
                part("NORTH/TR-2", "tie-rod"),
                part("NORTH/RE-3", "rod-end"),
                part("NORTH/RE-3a", "rod-end", is_item=True),
                part("NORTH/SR-1", "spherical-rod-end"),
                knuckle("NORTH/KN-1", "left"),
                knuckle("NORTH/KN-2", "right"),
                part("NORTH/UJ-1", "universal-joint"),
                part("NORTH/IS-1", "intermediate-shaft"),
                part("NORTH/CO-1", "column"),
                part("NORTH/BO-1", "boot"),
                part("NORTH/CM-1", "crossmember"),
                part("NORTH/AD-1", "adapter"),
            )
        }

    def stamp(self) -> CatalogueStamp:
        return CatalogueStamp("0d6f", 41, "ab12")

    def find(self, reference: str) -> FoundPart:
        if reference not in self.parts:
            raise NotFoundFault(
                f"there is no part {reference}", mending=nearest(reference, self.parts), code="catalogue-01"
            )
        return self.parts[reference]

    def find_vehicle(self, reference: str) -> FoundVehicle:
        if reference != "NORTH/V-1":
            raise NotFoundFault(
                f"there is no vehicle {reference}", mending=nearest(reference, ["NORTH/V-1"]), code="catalogue-02"
            )
        return FoundVehicle("NORTH/V-1", "Kestrel 12 (invented)")


def use(feature: str, *, hearsay: bool = False, assumed: bool = False) -> Use:
    source = "listing" if hearsay else "own measurement, calliper"
    return Use(feature, "large", 14.02, 0.03, "mm", Basis.MEASURED, ("r-1",), source, hearsay, assumed)


@dataclass
class FakeKind:
    """A joint kind that fits, unless it is told otherwise by feature name; it remembers what it was asked."""

    name: str
    kinds: tuple[frozenset[str], frozenset[str]]
    answers: dict[str, list[Finding]] = field(default_factory=dict)
    asked: list[tuple[str, str, dict[str, str], dict[str, Limit]]] = field(default_factory=list)

    def check(self, first: Feature, second: Feature, setting: Setting) -> list[Finding]:
        self.asked.append((first.name, second.name, dict(setting.facts), dict(setting.limits)))
        usual = [finding(f"{self.name}-01", Verdict.FITS, 1.0, first.name, second.name)]
        return self.answers.get(first.name, usual)

    @property
    def kind(self) -> JointKind:
        return JointKind(self.name, self.kinds, ((), ()), lambda feature: None, (), (), self.check)


def thread_kind() -> FakeKind:
    ends = frozenset({"bar-end", "thread-end"})
    return FakeKind("thread", (ends, ends))


def stud_kind() -> FakeKind:
    return FakeKind("stud-in-eye", (frozenset({"stud"}), frozenset({"eye"})))


def finding(rule: str, verdict: Verdict, low: float | None, first: str, second: str, *uses: Use) -> Finding:
    margin = None if low is None else Margin(low + 0.1, 0.05, low, low + 0.2, "mm")
    gaps = (Gap(first, "hand", "no reading"),) if verdict is Verdict.NOT_KNOWN else ()
    work = (Work("ream", second, 14.0, 14.4, "mm", 6.2, "ream 0.4 mm"),) if verdict is Verdict.FITS_WITH_WORK else ()
    return Finding(
        rule,
        (first, second),
        verdict,
        f"{rule} says {verdict}",
        basis=Basis.MEASURED,
        margin=margin,
        uses=uses or (use(first),),
        work=work,
        figures={"stand_off": Figure(1.2, 0.1, "mm"), "turns_to_bind": Figure(float("inf"), None, "turn")},
        cautions=("Mind the pin.",),
        gaps=gaps,
    )
