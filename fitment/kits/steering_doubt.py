"""Samples of a steering with the adopted values among them, and which surveyed value its doubt comes from."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from fitment.doubt import Draws

if TYPE_CHECKING:
    from fitment.doubt import Sample
    from fitment.finding import Use
    from fitment.joints.answering import Size


class FromAdopted(Draws):
    """Samples of which the first is the adopted values themselves: one pass gives the value and its doubt.

    Args:
        count: how many samples follow the first.
        seed: as for `Draws`.
    """

    def __init__(self, count: int, seed: int = 20_260):
        super().__init__(count + 1, seed)

    def _standard(self, name: str, shape: str) -> Sample:
        sample = super()._standard(name, shape)
        sample[0] = 0.0
        return sample

    def adopted(self, size: Size) -> float:
        """A size at the adopted values, out of the samples that its other results are made of."""
        import numpy as np

        return float(np.broadcast_to(size.at(self), (self.count,))[0])


class Shares:
    """The standardised samples of many values, to tell which of them a result's doubt comes from.

    Args:
        uses: the values; those without doubt count for nothing.
        draws: their samples.
    """

    def __init__(self, uses: Iterable[Use], draws: Draws):
        import numpy as np

        self._uses = [use for use in dict.fromkeys(uses) if use.u]
        # the coordinates of a point are independent, so that their shares add up
        samples: list[Any] = [
            draws.of_point(use) if isinstance(use.value, str) else draws.of(use) for use in self._uses
        ]
        rows = [np.atleast_2d(one)[:, 1:] for one in samples]
        self._owner = np.repeat(np.arange(len(rows)), [len(one) for one in rows])
        self._standard = self._scaled(np.concatenate(rows)) if rows else np.zeros((0, draws.count - 1))

    @staticmethod
    def _scaled(rows: Any) -> Any:
        import numpy as np

        off = rows - rows.mean(axis=-1, keepdims=True)
        size = np.sqrt((off**2).sum(axis=-1, keepdims=True))
        return np.divide(off, size, out=np.zeros_like(off), where=size > 0)

    def leading(self, sample: Any, among: Iterable[Use]) -> tuple[Use, float] | None:
        """The value that explains most of a result's spread, and its share 0 to 1 (squared correlation).

        Args:
            sample: samples of the result without the first, all of them finite.
            among: the values that the result follows from.
        """
        import numpy as np

        if not len(self._uses) or not float(np.std(sample)) > 0:
            return None
        correlation = self._standard @ self._scaled(np.asarray(sample, dtype=float))
        shares = np.bincount(self._owner, correlation**2, len(self._uses))
        wanted = set(among)
        chosen = max((index for index, use in enumerate(self._uses) if use in wanted), key=lambda i: float(shares[i]))
        return self._uses[chosen], min(float(shares[chosen]), 1.0)
