"""The few operations that formulas need beyond arithmetic, for floats and numpy arrays alike.

One reading takes the same road as a million: a formula is written once with these, and a caller without
numpy loaded (a quick answer at the bench) pays nothing for it.
"""

from __future__ import annotations

import math
import sys
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    #: a number, or an array of them (any shape that broadcasts)
    Values = float | NDArray[np.float64]


def is_array(*values: Any) -> bool:
    """Whether any of the values is a numpy array (numpy is not imported to find out)."""
    numpy = sys.modules.get("numpy")
    return numpy is not None and any(isinstance(value, numpy.ndarray) for value in values)


def where(condition: Any, yes: Any, no: Any) -> Any:
    """`yes` where the condition holds, else `no`, element by element."""
    if is_array(condition, yes, no):
        import numpy as np

        return np.where(condition, yes, no)
    return yes if condition else no


def minimum(first: Any, second: Any) -> Any:
    """The smaller of two, element by element."""
    if is_array(first, second):
        import numpy as np

        return np.minimum(first, second)
    return min(first, second)


def maximum(first: Any, second: Any) -> Any:
    """The larger of two, element by element."""
    if is_array(first, second):
        import numpy as np

        return np.maximum(first, second)
    return max(first, second)


def sqrt(value: Any) -> Any:
    """Square root, element by element."""
    if is_array(value):
        import numpy as np

        return np.sqrt(value)
    return math.sqrt(value)
