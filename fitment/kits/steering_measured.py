"""What was measured of a car's steering as it came, by the names of the results; and the width of its tyre."""

from __future__ import annotations

import re
from collections.abc import Mapping

from fitment.finding import Gap, Use
from fitment.frozen import dataclass
from fitment.joints.answering import Size, lacking, size_of
from fitment.kits.car_corner import SIGNS, surveyed_corner
from fitment.kits.car_model import CarModel
from fitment.kits.roles import SIDES

_MM_WIDTH = re.compile(r"\s*(\d{3})(?!\d)")
_INCH_WIDTH = re.compile(r"\s*(\d{1,2}[.,]\d{1,2})(?!\d)")


@dataclass(frozen=True)
class MeasuredCurve:
    """A curve through measured points; `u` is the standard uncertainty of each y."""

    title: str
    x: tuple[float, ...]
    y: tuple[float, ...]
    u: tuple[float, ...]
    x_title: str
    x_unit: str


def measured_sizes(model: CarModel) -> dict[str, Size]:
    """What was measured on the car as it came, by the names of the same results."""
    body = model.body
    left, right = (surveyed_corner(model.vehicle, side) for side in SIDES)
    found = {
        "turns": size_of(body, "turns"),
        "rim-play": size_of(body, "rim-play"),
        "rim-force": size_of(body, "rim-force"),
        "circle-measured": size_of(body, "turning-circle"),
        "lock-left-inner": size_of(left, "lock-inner"),
        "lock-left-outer": size_of(right, "lock-outer"),
        "lock-right-inner": size_of(right, "lock-inner"),
        "lock-right-outer": size_of(left, "lock-outer"),
    }
    for side, corner in zip(SIDES, (left, right), strict=True):
        found |= {f"{name}-{side}": size_of(corner, name) for name in ("castor", "inclination", "scrub")}
        found |= {f"{name}-{side}": size_of(corner, name) for name in ("toe-bump", "toe-rebound")}
        found |= {f"half-{way}-{side}": size_of(corner, f"half-{way}") for way in SIDES}
    return {name: size for name, size in found.items() if size.known}


def tyre_width(model: CarModel) -> Size:
    """Nominal width of the tyre out of its size, mm: ``155 R 13`` or ``5.20-13``."""
    use = model.body.get("tyre")
    if use is None:
        return lacking(model.body.gap("tyre"))
    width = _width(use)
    if width is None:
        return lacking(_unread(model, use))
    return Size(lambda pick: width, (use,))


def _width(use: Use) -> float | None:
    if match := _INCH_WIDTH.match(use.word):
        return 25.4 * float(match[1].replace(",", "."))
    match = _MM_WIDTH.match(use.word)
    return float(match[1]) if match else None


def _unread(model: CarModel, use: Use) -> Gap:
    return Gap(model.body.name, "tyre", f'"{use.word}" does not begin with a width such as 155 or 5.20')


def measured_curves(results: Mapping[str, tuple[float, float]], model: CarModel) -> dict[str, MeasuredCurve]:
    """Curves through what was measured: wheel angles at five positions of the steering wheel, toe at three of travel.

    Args:
        results: values and their standard uncertainties by name of result.
        model: the car, for its toe and its travel.
    """
    found: dict[str, MeasuredCurve] = {}
    (rebound, bump), _ = model.travels()
    for side, other in (SIDES, SIDES[::-1]):
        sign = SIGNS[side]
        toe = surveyed_corner(model.vehicle, side).get("toe")
        five = (f"lock-{other}-outer", f"half-{other}-{side}", f"half-{side}-{side}", f"lock-{side}-inner")
        if "turns" in results and toe is not None and all(name in results for name in five):
            outer, half_out, half_in, inner = (results[name] for name in five)
            # towards the wheel's own side it is the inner one; toe-in turns it away from there
            told = ((-1, outer), (-1, half_out), (-1, (toe.number, toe.u or 0.0)), (1, half_in), (1, inner))
            points = [
                (sign * share * results["turns"][0], sign * way * angle, doubt)
                for share, (way, (angle, doubt)) in zip((-0.5, -0.25, 0.0, 0.25, 0.5), told, strict=True)
            ]
            x, y, u = (tuple(point[part] for point in sorted(points)) for part in range(3))
            title = f"steer angle of the {side} wheel, + to the left, as measured"
            found[f"steer-{side}"] = MeasuredCurve(
                title, x, y, u, "turns of the steering wheel, + to the left lock", "turn"
            )
        if {f"toe-rebound-{side}", f"toe-bump-{side}"} <= results.keys():
            (down, u_down), (up, u_up) = results[f"toe-rebound-{side}"], results[f"toe-bump-{side}"]
            found[f"toe-{side}"] = MeasuredCurve(
                f"change of toe of the {side} wheel over bump and rebound, as measured",
                (-rebound, 0.0, bump),
                (down, 0.0, up),
                (u_down, 0.0, u_up),
                "wheel travel, + bump",
                "mm",
            )
    return found
