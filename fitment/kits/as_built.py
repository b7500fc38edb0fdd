"""A kit as it was fitted: items in the places of the parts that its file names."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from fitment.errors import DataFault, nearest
from fitment.kits.kit import Kit


def places_in(kit: Kit) -> dict[str, str]:
    """Where an item can stand in a kit, with the part that the file names there: ``left.rod_end``, ``adapter.1``."""
    parts = {ref.address: ref.reference for ref in kit.parts}
    return parts | {f"adapter.{number}": ref.reference for number, ref in enumerate(kit.adapters, 1)}


def as_built(kit: Kit, items: Mapping[str, str]) -> Kit:
    """The kit with these items in place of its parts.

    Args:
        kit: as its file states it.
        items: references of items by their place in the kit.

    Raises:
        DataFault: the kit names nothing there.
    """
    known = places_in(kit)
    for place in items:
        if place not in known:
            raise DataFault(
                f'the kit names no part as "{place}"',
                mending=nearest(place, known) if known else "it names no parts at all",
                code="build-04",
            )
    return replace(
        kit,
        parts=tuple(replace(ref, reference=items.get(ref.address, ref.reference)) for ref in kit.parts),
        adapters=tuple(
            replace(ref, reference=items.get(f"adapter.{number}", ref.reference))
            for number, ref in enumerate(kit.adapters, 1)
        ),
    )
