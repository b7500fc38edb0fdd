"""What a steering does, worked out: numbers and curves with their doubt, and what is not known and why."""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fitment.doubt import quantiles
from fitment.finding import Gap, Use
from fitment.frozen import dataclass
from fitment.joints.answering import Size
from fitment.kits.bar_stops import told_of
from fitment.kits.car_model import CarModel
from fitment.kits.steering_curves import CurveSize, curve_sizes
from fitment.kits.steering_doubt import FromAdopted, Shares
from fitment.kits.steering_measured import measured_curves, measured_sizes
from fitment.kits.steering_reach import why_refused
from fitment.kits.steering_sizes import result_sizes
from fitment.kits.steering_solved import Solved

if TYPE_CHECKING:
    from fitment.elementwise import Values

#: half a band about a measured curve in standard uncertainties: the 2.3 % and 97.7 % quantiles where it is normal
_BAND = 2.0
#: standard uncertainties by which a measured result and a worked-out one may differ before it is said; own choice
_APART = 3.0


@dataclass(frozen=True)
class ResultRow:
    """A row of ``steering_results.csv``: what a result is called and how it is shown; `first` even where few are."""

    name: str
    group: str
    title: str
    unit: str
    decimals: int
    first: bool


@cache
def result_rows() -> dict[str, ResultRow]:
    """Every result by name, in the order of the table."""
    with Path(__file__).with_name("steering_results.csv").open(encoding="utf-8", newline="") as table:
        return {
            row["name"]: ResultRow(
                row["name"], row["group"], row["title"], row["unit"], int(row["decimals"]), row["first"] == "yes"
            )
            for row in csv.DictReader(table, strict=True)
        }


@dataclass(frozen=True)
class Result:
    """One number.

    Attributes:
        value: at the adopted values, in the unit of its row.
        u: its standard uncertainty; None where it has none to speak of (a sum of prices).
        uses: what it follows from.
        leading: the value whose doubt moves it most; None where none does.
        share: of its spread that `leading` explains, 0 to 1.
        measured: whether it was measured on the car instead of worked out.
    """

    value: float
    u: float | None
    uses: tuple[Use, ...] = ()
    leading: Use | None = None
    share: float = 0.0
    measured: bool = False


@dataclass(frozen=True)
class Curve:
    """One curve with its band (the 2.3 % and 97.7 % quantiles; of a measured one two standard uncertainties)."""

    title: str
    x: tuple[float, ...]
    y: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    x_title: str
    x_unit: str
    y_unit: str
    leading: Use | None = None
    share: float = 0.0
    measured: bool = False


@dataclass(frozen=True)
class SteeringResult:
    """What one steering does.

    Attributes:
        results, curves: by name, in the order of ``steering_results.csv``.
        gaps: by name of a result or curve, what is not known for it.
        notes: what was taken for granted.
        cautions: weak evidence, results that disagree, poses that only some samples reach.
    """

    results: Mapping[str, Result]
    curves: Mapping[str, Curve]
    gaps: Mapping[str, tuple[Gap, ...]]
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    @property
    def missing(self) -> dict[Gap, list[str]]:
        """What is missing, with the names of the results that wait for it."""
        found: dict[Gap, list[str]] = {}
        for name, gaps in self.gaps.items():
            for gap in gaps:
                found.setdefault(gap, []).append(name)
        return found


def steering_result(model: CarModel, draws: FromAdopted) -> SteeringResult:
    """Everything that a model tells, at its adopted values and with the doubt of its samples."""
    import numpy as np

    # a pose that is not reached is NaN on purpose, and a fixed axis has no rates over bump
    with np.errstate(all="ignore"):
        return _Working(model, draws).result()


class _Working:
    def __init__(self, model: CarModel, draws: FromAdopted):
        self.model = model
        self.draws = draws
        self.solved = Solved(model)
        self.sizes = result_sizes(self.solved)
        self.curves = curve_sizes(self.solved, draws)
        self.measured = measured_sizes(model) if model.measured else {}
        every = [*self.sizes.values(), *(one.y for one in self.curves.values()), *self.measured.values()]
        self.shares = Shares((use for size in every if size.known for use in size.uses), draws)
        self.refused: tuple[Gap, ...] | None = None
        self.cautions: dict[str, None] = {}

    def result(self) -> SteeringResult:
        found: dict[str, Result] = {}
        gaps: dict[str, tuple[Gap, ...]] = {}
        for name in result_rows():
            told = self._one(name, self.sizes[name]) if name in self.sizes else None
            measured = self.measured.get(name)
            if isinstance(told, Result):
                found[name] = told
                self._compared(name, told, measured)
            elif measured is not None:
                found[name] = self._measured(measured)
            elif told is not None:
                gaps[name] = told
        curves = {}
        for name, curve in self.curves.items():
            drawn = self._curve(name, curve)
            if isinstance(drawn, Curve):
                curves[name] = drawn
            else:
                gaps[name] = drawn
        if self.model.measured:
            values = {name: (one.value, one.u or 0.0) for name, one in found.items()}
            for name, one in measured_curves(values, self.model).items():
                if name not in curves:
                    low, high = (
                        tuple(y + sign * _BAND * u for y, u in zip(one.y, one.u, strict=True)) for sign in (-1, 1)
                    )
                    curves[name] = Curve(
                        one.title, one.x, one.y, low, high, one.x_title, one.x_unit, "deg", measured=True
                    )
                    gaps.pop(name, None)
        self._weak(found)
        at_stops = told_of(self.model.stops, self.model.ends, self.model.unread, self.draws)
        notes = tuple(dict.fromkeys((*self.model.notes, *at_stops, *self.solved.notes)))
        return SteeringResult(found, curves, gaps, notes, tuple(self.cautions))

    def _mind(self, caution: str) -> None:
        self.cautions[caution] = None

    def _why(self, name: str) -> tuple[Gap, ...]:
        """The links that keep a result or curve from being reached: over travel or on lock, of its own wheel if any."""
        if self.refused is None:
            self.refused = why_refused(self.solved)
        words = name.split("-")
        ways = [way for way in ("bump", "rebound") if way in words] or ["bump", "rebound"]
        if words[0] in ("toe", "camber"):
            found = [gap for gap in self.refused if gap.dimension in ways and gap.feature.split()[0] in words]
        else:
            found = [gap for gap in self.refused if gap.dimension == "lock"]
        return tuple(found) or self.refused

    def _samples(self, size: Size) -> Any:
        import numpy as np

        return np.asarray(size.at(self.draws), dtype=float)

    def _one(self, name: str, size: Size) -> Result | tuple[Gap, ...]:
        import numpy as np

        if not size.known:
            return size.gaps
        sample = np.broadcast_to(self._samples(size), (self.draws.count,))
        value, rest = float(sample[0]), sample[1:]
        if not np.isfinite(value):
            return self._why(name)
        u, leading = self._doubt(result_rows()[name].title, rest, size.uses)
        return Result(value, u, size.uses, *leading)

    def _doubt(self, title: str, rest: Any, uses: Sequence[Use]) -> tuple[float, tuple[Use | None, float]]:
        """Standard uncertainty and what leads it, from the samples that are reached."""
        import numpy as np

        reached = np.isfinite(rest)
        lost = int(np.count_nonzero(~reached))
        if lost:
            self._mind(f"{title}: out of reach within the doubt of the survey ({lost} of {rest.size} samples)")
        if lost == rest.size:
            return 0.0, (None, 0.0)
        filled = np.where(reached, rest, np.mean(rest[reached]))
        u = float(np.std(rest[reached]))
        # what differs in the last digits alone has no doubt
        if u <= 1e-12 * max(1.0, abs(float(filled[0]))):
            return 0.0, (None, 0.0)
        leading = self.shares.leading(filled, uses)
        return u, leading if leading is not None else (None, 0.0)

    def _measured(self, size: Size) -> Result:
        use = size.uses[0]
        return Result(use.number, use.u, size.uses, use if use.u else None, 1.0 if use.u else 0.0, measured=True)

    def _compared(self, name: str, told: Result, measured: Size | None) -> None:
        """Says where the car was measured to do something else than its points make."""
        if measured is None or measured.uses[0] in told.uses:
            return
        use = measured.uses[0]
        doubt = ((told.u or 0.0) ** 2 + (use.u or 0.0) ** 2) ** 0.5
        if abs(told.value - use.number) > _APART * doubt:
            row = result_rows()[name]
            shown = f"{told.value:.{row.decimals}f} {row.unit} by the points, {use.number:.{row.decimals}f} {row.unit}"
            self._mind(f"{row.title}: {shown} as measured")

    def _curve(self, name: str, curve: CurveSize) -> Curve | tuple[Gap, ...]:
        import numpy as np

        if not curve.y.known:
            return curve.y.gaps
        values = np.broadcast_to(self._samples(curve.y), (curve.x.size, self.draws.count))
        if not np.any(np.isfinite(values[:, 0])):
            return self._why(name)
        bands = [_band(row) for row in values]
        low, high = (tuple(band[end] for band in bands) for end in (0, 1))
        widest = int(np.nanargmax([end - start for start, end in bands]))
        _, leading = self._doubt(curve.title, values[widest, 1:], curve.y.uses)
        return Curve(
            curve.title,
            tuple(map(float, curve.x)),
            tuple(map(float, values[:, 0])),
            low,
            high,
            curve.x_title,
            curve.x_unit,
            curve.y_unit,
            *leading,
        )

    def _weak(self, found: Mapping[str, Result]) -> None:
        for use in dict.fromkeys(use for one in found.values() for use in one.uses):
            if use.hearsay:
                self._mind(f"on hearsay ({use.source}): {use.feature} {use.dimension}")
            if use.assumed:
                self._mind(f"assumed from the other side: {use.feature} {use.dimension}")


def _band(row: Values) -> tuple[float, float]:
    """Low and high of one point of a curve, NaN where the pose at the adopted values is not reached."""
    import numpy as np

    sample = np.asarray(row)
    rest = sample[1:][np.isfinite(sample[1:])]
    if not np.isfinite(sample[0]):
        return float("nan"), float("nan")
    if not rest.size:
        return float(sample[0]), float(sample[0])
    low, high = quantiles(rest)
    # the adopted values may lie beyond nearly all samples where a curve is near its end
    return min(low, float(sample[0])), max(high, float(sample[0]))
