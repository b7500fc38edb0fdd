"""The chances of a kit as a section of its report."""

from __future__ import annotations

import math
import textwrap

from fitment.kits.odds import Chance, Deciding, JointOdds, KitOdds
from fitment.sheets.tables import table

#: sources of doubt that are told of a margin
_TOLD = 3
#: expected count that may still leave no sample at all in one case of twenty: -ln(0.05)
_NONE_SEEN = 3.0


def odds_text(odds: KitOdds, width: int) -> str:
    """The section: the kit, then the joints that are not sure, then how many are."""
    lines = [f"Odds, from {odds.samples} samples"]
    for sentence in _kit(odds):
        lines.append(textwrap.fill(sentence, width, break_on_hyphens=False, subsequent_indent="  "))
    unsure = [one for one in odds.joints if one.chance.fits is None or one.chance.fits < 1 or one.chance.open]
    if unsure:
        rows = [_row(one, odds.samples) for one in unsure]
        lines.append(table(("fits", "joint", "least sure", "most of its doubt"), rows, width).rstrip())
    if len(unsure) < len(odds.joints):
        rest = f"{len(odds.joints) - len(unsure)} joints fit in every sample and lack nothing"
        lines.append(textwrap.fill(rest, width))
    return "\n".join(lines)


def _kit(odds: KitOdds) -> list[str]:
    kit = odds.kit
    if kit.fits is None:
        return ["nothing of the kit could be worked out: too much is not known"]
    chance = chance_text(kit, odds.samples)
    given = ", should all that is not known fit and all that is only said be so" if kit.open else ""
    told = [f"the kit fits: {chance}{given}"]
    if kit.risk is not None:
        name = "producer's risk" if str(kit.verdict) == "does not fit" else "consumer's risk"
        risk = percent(kit.risk, odds.samples) if kit.deciding else percent_sure(kit.risk)
        told.append(f'chance that "{kit.verdict}" is wrong ({name}): {risk}')
    if kit.deciding:
        told.append(f"least sure: {_least_sure(kit.deciding, odds.samples)}; its doubt: {_doubt(kit.deciding)}")
    told.append("Of dimensions as read: nothing is said of strength, wear or a reading taken of the wrong thing.")
    return told


def _row(one: JointOdds, samples: int) -> tuple[str, str, str, str]:
    chance = one.chance
    so_far = " so far" if chance.open and chance.fits is not None else ""
    told = f"{chance_text(chance, samples)}{so_far}"
    if chance.deciding is None:
        return told, one.title, "", ""
    least = f"{chance.deciding.rule}, {percent(chance.deciding.fits, samples)}"
    return told, one.title, least, _doubt(chance.deciding)


def _least_sure(deciding: Deciding, samples: int) -> str:
    return f"{deciding.joint[0]} in {deciding.joint[1]} [{deciding.rule}], {percent(deciding.fits, samples)}"


def _doubt(deciding: Deciding) -> str:
    named = [
        f"{one.shared.strip() + ' (shared)' if one.shared else f'{one.feature} {one.dimension}'} {one.share:.0%}"
        for one in deciding.contributions[:_TOLD]
    ]
    return ", ".join(named) or "of no single value"


def chance_text(chance: Chance, samples: int) -> str:
    """The chance in percent; of what no sample decides, *sure*, *ruled out* or *not known*."""
    if chance.fits is None:
        return "not known"
    if chance.deciding is None:
        return "sure" if chance.fits == 1 else "ruled out"
    return percent(chance.fits, samples)


def percent_sure(fraction: float) -> str:
    """A fraction that no sample decides."""
    return f"{fraction:.0%}".replace("%", " %")


def percent(fraction: float, samples: int) -> str:
    """A counted fraction in percent, to two figures of the smaller side; of a count of nothing its bound at 95 %."""
    bound = 100 * _NONE_SEEN / samples
    if fraction == 0:
        return f"under {bound:.2g} %"
    if fraction == 1:
        return f"over {_near_whole(100 - bound)} %"
    return f"{_near_whole(100 * fraction)} %"


def _near_whole(value: float) -> str:
    rest = min(value, 100 - value)
    places = min(max(1 - math.floor(round(math.log10(rest), 9)), 0), 9)
    return f"{value:.{places}f}"
