"""The answer of a search for donors as one object; ``fitment schema donors`` prints its schema."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from fitment.catalogue.donors import Donor, Found
from fitment.catalogue.windows import Standing, Window
from fitment.kits.card_row import CardRow
from fitment.kits.donor_card import Card
from fitment.quantity.units import canonical_unit


def donors_object(kind: str, windows: Sequence[Window], found: Found, near: int) -> dict[str, Any]:
    """The object of ``fitment.donors/1`` for a search; every number in the unit that stands beside it.

    Args:
        kind: name of the kind of part.
        windows: what was wanted.
        found: the answer.
        near: how many near misses to list.
    """
    return {
        "schema": "fitment.donors/1",
        "kind": kind,
        "wanted": [_window(one) for one in windows],
        "matches": [_donor(one) for one in found.sure],
        "may_match": [_donor(one) for one in found.may],
        "near_misses": [_donor(one) for one in found.near[:near]],
        "outside": found.outside,
    }


def card_object(card: Card, windows: Sequence[Window], found: Found, near: int) -> dict[str, Any]:
    """The object of ``fitment.donors/1`` for a card: that of its search, with the target and the card's rows.

    Args:
        card: the card.
        windows: its windows as far as they can be searched by.
        found: what the catalogue has within them.
        near: how many near misses to list.
    """
    target = {"reference": card.vehicle.name, "title": card.vehicle.title}
    rows = [_row(row) for row in card.rows]
    return {**donors_object("rack", windows, found, near), "target": target, "card": rows, "cautions": card.cautions}


def _row(row: CardRow) -> dict[str, Any]:
    return {
        "what": row.what,
        "ideal": row.ideal,
        "u": row.u,
        "low": row.low,
        "high": row.high,
        "unit": None if row.kind == "word" else canonical_unit(row.kind).symbol,
        "word": row.word or None,
        "how": row.how,
        "tool": row.tool,
        "stop_if": row.stop_if("mm") if row.known else None,
        "rests_on": row.rests_on,
        "missing": [asdict(gap) for gap in row.gaps],
    }


def _unit(window: Window) -> str | None:
    if window.word is not None:
        return None
    return "" if window.kind == "taper" else canonical_unit(window.kind).symbol


def _window(window: Window) -> dict[str, Any]:
    return {
        "feature": window.feature,
        "dimension": window.dimension,
        "low": window.low,
        "high": window.high,
        "unit": _unit(window),
        "word": window.word,
    }


def _donor(donor: Donor) -> dict[str, Any]:
    return {
        "reference": donor.name,
        "part": donor.part,
        "title": donor.title,
        "fitted_to": [asdict(one) for one in donor.carriers],
        "values": [_standing(one) for one in donor.standings],
    }


def _standing(one: Standing) -> dict[str, Any]:
    use = one.use
    return {
        "feature": one.window.feature,
        "dimension": one.window.dimension,
        "state": str(one.state),
        "value": use.value if use else None,
        "u": use.u if use else None,
        "unit": _unit(one.window),
        "off": one.off,
        "why": one.gap or None,
        "basis": str(use.basis) if use else None,
        "hearsay": bool(use and use.hearsay),
        "assumed": bool(use and use.assumed),
        "source": use.source if use else "",
        "readings": list(use.readings) if use else [],
    }
