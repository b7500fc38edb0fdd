"""Limits of size of a thread in a tolerance class, whichever its form."""

from __future__ import annotations

from fitment.standards.metric import metric_external, metric_internal
from fitment.standards.thread_classes import class_for
from fitment.standards.thread_sizes import ExternalLimits, InternalLimits
from fitment.standards.threads import Thread
from fitment.standards.unified import unified_external, unified_internal
from fitment.standards.whitworth import whitworth_external, whitworth_internal

__all__ = ["ExternalLimits", "InternalLimits", "external_limits", "internal_limits"]

_EXTERNAL = {"M": metric_external, "UN": unified_external, "W": whitworth_external}
_INTERNAL = {"M": metric_internal, "UN": unified_internal, "W": whitworth_internal}


def external_limits(thread: Thread, cls: str | None = None) -> ExternalLimits:
    """Limits of a bolt thread, mm (ISO 965-1, ASME B1.1, BS 84).

    Args:
        thread: the thread.
        cls: tolerance class, ``6g``, ``7g6g``, ``2A``, ``close``; None for 6g, 2A or medium.

    Raises:
        DataFault: the form has no such class for bolts, or no table here reaches the thread.
    """
    return _EXTERNAL[thread.form](thread, class_for(thread.form, cls, "bolt"))


def internal_limits(thread: Thread, cls: str | None = None) -> InternalLimits:
    """Limits of a nut thread, mm (ISO 965-1, ASME B1.1, BS 84).

    Args:
        thread: the thread.
        cls: tolerance class, ``6H``, ``5H6H``, ``2B``, ``free``; None for 6H, 2B or medium.

    Raises:
        DataFault: the form has no such class for nuts, or no table here reaches the thread.
    """
    return _INTERNAL[thread.form](thread, class_for(thread.form, cls, "nut"))
