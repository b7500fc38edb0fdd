"""How a check of the whole kit registers itself: one function, and its row in ``whole_kit_checks.csv``."""

from __future__ import annotations

from collections.abc import Callable

from fitment.frozen import dataclass
from fitment.joints.registration import Setting
from fitment.kits.assembly import Assembly
from fitment.kits.kit import Kit
from fitment.kits.report import JointSummary


@dataclass(frozen=True)
class Looked:
    """What a check of the whole kit found.

    Attributes:
        summaries: what it found, each shown as a joint is.
        not_checked: why it did not look; empty where it did.
    """

    summaries: tuple[JointSummary, ...] = ()
    not_checked: tuple[str, ...] = ()


@dataclass(frozen=True)
class WholeKitCheck:
    """A check of the whole kit.

    Attributes:
        row: its row in ``whole_kit_checks.csv``.
        look: the check; a setting without facts.
    """

    row: str
    look: Callable[[Kit, Assembly, Setting], Looked]
