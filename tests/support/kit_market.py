"""An invented market of steering parts of any size, as a search problem: seeded, and skewed as real ones are.

All numbers are invented. Threads, splines and tapers are numbers; how common they are follows a rank-power law with
exponent 1.15. Costs are in hundredths.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitment.kits.search.build import links, racks, station
from fitment.kits.search.model import Branch, Interface, Layout, Problem

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Whole = npt.NDArray[np.int64]

THREADS, SPLINES, TAPERS = 120, 12, 8  # 60 threads, right-handed and left-handed
#: what an adapter costs beside its price, and a mm/turn away from the wanted rack speed
PER_ADAPTER, PER_SPEED = 1_500, 300
#: a rod window that nothing reaches: shorter than the shortest rod with the shortest end
NO_ROD = (100, 400)


class Market:
    """The parts of a market of n per kind, ready to be searched for many targets."""

    def __init__(self, n: int, seed: int = 1) -> None:
        import numpy as np

        draw = self._draw = np.random.default_rng(seed)
        made = max(20, n // 10)
        self.n = n
        self.rack_cost, self.rack_thread = self._price(n, 80, 900), self._skewed(n, THREADS)
        self.rack_spline, self.rack_speed = self._skewed(n, SPLINES), draw.normal(45, 6, n)
        self.rack_half = draw.integers(2_600, 3_800, n)  # half the inner-ball spacing, 0.1 mm
        self.rods = station(
            "tie rod",
            self._price(n, 8, 90),
            self._skewed(n, THREADS),
            self._skewed(n, THREADS),
            draw.integers(1_500, 3_500, n),
        )
        self.end_taper, self.end_large = self._skewed(n, TAPERS), draw.integers(110, 180, n)
        self.end_cost, self.end_thread = self._price(n, 6, 70), self._skewed(n, THREADS)
        self.end_length = draw.integers(350, 900, n)
        self.adapters = links(
            "adapter",
            self._price(made, 10, 60) + PER_ADAPTER,
            self._skewed(made, THREADS),
            self._skewed(made, THREADS),
            draw.integers(100, 400, made),
        )
        self.sleeve_cost = self._price(made, 5, 40) + PER_ADAPTER
        self.sleeve_inner, self.sleeve_outer = self._skewed(made, TAPERS), self._skewed(made, TAPERS)
        self.lower, self.upper = (
            station(
                name,
                self._price(n, 15, 120),
                self._skewed(n, SPLINES),
                self._skewed(n, SPLINES),
                draw.integers(300, 700, n),
            )
            for name in ("lower joint", "upper joint")
        )
        self.shafts = station(
            "shaft",
            self._price(n, 20, 200),
            self._skewed(n, SPLINES),
            self._skewed(n, SPLINES),
            draw.integers(1_500, 5_000, n),
        )
        self._sleeves = links("sleeve", self.sleeve_cost, self.sleeve_inner, self.sleeve_outer)
        self._column = {end: self._column_layout(end) for end in range(SPLINES)}

    def _skewed(self, n: int, kinds: int) -> Whole:
        import numpy as np

        weights = 1 / np.arange(1, kinds + 1) ** 1.15
        chosen: Whole = self._draw.choice(kinds, n, p=weights / weights.sum()).astype(np.int64)
        return chosen

    def _price(self, n: int, least: int, most: int) -> Whole:
        import numpy as np

        return np.exp(self._draw.uniform(np.log(least * 100), np.log(most * 100), n)).astype(np.int64)

    def _column_layout(self, end: int) -> Layout:
        meet = tuple(Interface(f"column {at}") for at in range(4))
        return Layout("three", (self.lower, self.shafts, self.upper), meet, end, "column")

    def rod_layout(self, taper: int, large: int) -> Layout:
        """The rods of a car whose eye has this taper, and a large end that studs within 0.4 mm of it seat in."""
        import numpy as np

        seats = np.abs(self.end_large - large) <= 4
        outer = np.where(seats, self.end_taper, TAPERS + self.end_taper)
        ends = station("rod end", self.end_cost, self.end_thread, outer, self.end_length)
        meet = (Interface("bar"), Interface("adjuster", self.adapters), Interface("eye", self._sleeves))
        return Layout("rods", (self.rods, ends), meet, taper, "eye")

    def target(
        self, taper: int = 0, large: int = 145, spline: int = 1, rods: tuple[int, int] | None = None, play: int = 60
    ) -> Problem:
        """The problem of one car.

        Args:
            taper, large: of its eyes.
            spline: of its column.
            rods: one window for the rods of every rack, in 0.1 mm; None: what each rack leaves.
            play: how much either window is open, in 0.1 mm.
        """
        import numpy as np

        outer = 6_300  # half the spacing of the outer balls
        if rods is None:
            right = outer + 20 - self.rack_half  # the right eye sits 2 mm farther out
            window = np.stack([np.maximum(outer - self.rack_half, right) - play, outer - self.rack_half + play], axis=1)
        else:
            window = np.tile(np.array(rods), (self.n, 1))
        column = np.stack([5_000 - self.rack_half // 4 - play, 5_000 - self.rack_half // 4 + play], axis=1)
        cost = self.rack_cost + (PER_SPEED * np.abs(self.rack_speed - 48)).astype(np.int64)
        return Problem(
            racks(cost, {"rods": self.rack_thread, "column": self.rack_spline}, {"rods": window, "column": column}),
            (
                Branch("rods", (self.rod_layout(taper, large),)),
                Branch("column", (self._column[spline],)),
            ),
            adapters=1,
            levels=1,
        )
