"""The car that a kit makes, and the car as it came, as the checks of bump steer and lock see them.

Few samples, as for ``fitment steer``: a pose costs too much for as many as a joint has.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from functools import cached_property
from typing import Any

from fitment.doubt import Draws
from fitment.finding import Figure, Finding, Gap, Verdict
from fitment.joints.answering import Size, answer
from fitment.joints.registration import Setting, missing
from fitment.kits.assembly import Assembly
from fitment.kits.car_corner import surveyed_corner
from fitment.kits.car_model import original, proposed
from fitment.kits.kit import Kit
from fitment.kits.rack_place import CROSSMEMBER, SAY_WHERE
from fitment.kits.roles import SIDES
from fitment.kits.steering_doubt import FromAdopted
from fitment.kits.steering_reach import why_refused
from fitment.kits.steering_solved import Solved

#: samples behind the doubt of a pose
_SAMPLES = 500


def why_not_solved(kit: Kit, assembly: Assembly, points: frozenset[str]) -> str | None:
    """Why nothing can be told of how the wheels move; None where something may be.

    Args:
        kit: as its file states it.
        assembly: the kit put together.
        points: of a corner, without all of which nothing can be told.
    """
    if "rack" not in assembly.found:
        return "the kit names no rack"
    corners = [surveyed_corner(assembly.target, side) for side in SIDES]
    if not any(points & (corner.values.keys() | corner.gaps.keys()) for corner in corners):
        return f"{assembly.target.name} has no surveyed points"
    if kit.seat.position is None and kit.seat.box is None and CROSSMEMBER not in assembly.found:
        return f"the kit does not say where the rack sits: {SAY_WHERE}"
    return None


class CheckedCar:
    """A kit's car and the original.

    Args:
        kit: as its file states it.
        assembly: the kit put together.
        setting: of the check; its seed holds, its number of samples is cut.
    """

    def __init__(self, kit: Kit, assembly: Assembly, setting: Setting):
        self.draws = FromAdopted(min(_SAMPLES, setting.draws.count), setting.draws.seed)
        self.setting = replace(setting, draws=self.draws)
        self.model = proposed(kit, assembly, (), (None, None), self.draws)
        self._target, self._adopted = assembly.target, FromAdopted(0)

    @cached_property
    def came(self) -> Solved:
        """The car as it came, as far as its survey tells."""
        return Solved(original(self._target, (), self._adopted))

    def as_it_came(self, size: Size) -> float | None:
        """A size of `came` at the adopted values; None where it is not known or not reached."""
        if not size.known:
            return None
        value = float(_sampled(size, self._adopted)[0])
        return value if value == value else None

    def settled(self, size: Size) -> Size:
        """The same size, worked out once for all that ask; NaN in samples that are not reached."""
        if not size.known:
            return size
        sample = _sampled(size, self.draws)
        return Size(lambda pick: sample if isinstance(pick, Draws) else float(sample[0]), size.uses)

    def reached(self, solved: Solved, *sizes: Size) -> tuple[Gap, ...]:
        """What is missing for sizes, or which link does not reach at the adopted values."""
        gaps = tuple(dict.fromkeys(gap for size in sizes for gap in size.gaps))
        if gaps or all(map(self._reaches, sizes)):
            return gaps
        return why_refused(solved)

    def _reaches(self, size: Size) -> bool:
        """Whether the links reach at the adopted values, and in more samples than none."""
        return math.isfinite(size.central) and self._lost(size) < self.draws.count

    def figures(self, sizes: Mapping[str, tuple[Size, str]]) -> dict[str, Figure]:
        """Figures of settled sizes, those that are known and reached."""
        return {
            name: Figure(size.central, self.doubt(size), unit)
            for name, (size, unit) in sizes.items()
            if size.known and self._reaches(size)
        }

    def doubt(self, size: Size) -> float:
        """Standard uncertainty of a settled size, from the samples that are reached."""
        import numpy as np

        rest = np.asarray(size.at(self.draws))
        return float(np.std(rest[np.isfinite(rest)]))

    def finding(
        self, rule: str, names: tuple[str, str], solved: Solved, margin: Size, unit: str, words: Callable[[], str]
    ) -> Finding:
        """The finding of a settled margin; not known where the doubt alone takes the links out of reach."""
        gaps = self.reached(solved, margin)
        if not gaps and (lost := self._lost(margin)):
            why = f"lie so near the end of the links' reach that {lost} of {self.draws.count} samples are beyond it"
            gaps = (Gap(f"{self._target.name} corners", "points", why),)
        if gaps:
            return missing(rule, names, list(gaps), margin.uses)
        return answer(rule, names, margin, unit, self.setting, words)

    def _lost(self, size: Size) -> int:
        import numpy as np

        return int(np.count_nonzero(~np.isfinite(np.asarray(size.at(self.draws)))))


def unless_stopped_sooner(finding: Finding, gaps: Iterable[Gap]) -> Finding:
    """The finding where a stop may act sooner than what was counted: what fails still fails, nothing passes."""
    lacks = list(gaps)
    if not lacks or finding.verdict is not Verdict.FITS:
        return finding
    return replace(missing(finding.rule, finding.joint, lacks, finding.uses), figures=finding.figures)


def _sampled(size: Size, draws: Draws) -> Any:
    import numpy as np

    # a pose that is not reached is NaN on purpose
    with np.errstate(all="ignore"):
        return np.broadcast_to(np.asarray(size.at(draws), dtype=float), (draws.count,))
