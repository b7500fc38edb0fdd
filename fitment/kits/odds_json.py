"""The chances of a kit as an object of plain values, numbers unrounded."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from fitment.kits.odds import Chance, KitOdds


def odds_object(odds: KitOdds) -> dict[str, Any]:
    """`odds` of the schema `fitment.check/1`."""
    return {
        "samples": odds.samples,
        "seed": odds.seed,
        "kit": _chance(odds.kit),
        "joints": [{"id": one.id, "title": one.title, **_chance(one.chance)} for one in odds.joints],
    }


def _chance(chance: Chance) -> dict[str, Any]:
    deciding = chance.deciding
    return {
        "verdict": str(chance.verdict),
        "fits": chance.fits,
        "risk": chance.risk,
        "open": [asdict(gap) for gap in chance.open],
        "deciding": None
        if deciding is None
        else {
            "rule": deciding.rule,
            "joint": list(deciding.joint),
            "fits": deciding.fits,
            "contributions": [asdict(one) for one in deciding.contributions],
        },
    }
