"""What a joint says of its bolts: nominal size, class, the metal that holds the thread, spanners."""

from __future__ import annotations

import re

from fitment.errors import DataFault
from fitment.finding import Gap
from fitment.joints.answering import Size, lacking
from fitment.joints.registration import Feature
from fitment.standards.fasteners import across_flats
from fitment.standards.thread_names import parse_thread

ALUMINIUM, STEEL = "aluminium", "steel"

_METALS = (
    (ALUMINIUM, re.compile(r"alumin|\balloy\b(?! steel)", re.IGNORECASE)),
    (STEEL, re.compile(r"steel|\biron\b", re.IGNORECASE)),
)


def metal_of(feature: Feature) -> str | None:
    """``aluminium`` or ``steel`` as the material's own words say; None where they name neither, or both."""
    use = feature.get("material")
    if use is None:
        return None
    named = [metal for metal, words in _METALS if words.search(use.word)]
    return named[0] if len(named) == 1 else None


def nominal_of(feature: Feature, dimension: str) -> Size:
    """Nominal diameter of the thread that a word names, mm, which no bolt exceeds; not known if unreadable."""
    use = feature.get(dimension)
    if use is None:
        return lacking(feature.gap(dimension))
    try:
        nominal = parse_thread(use.word).thread.nominal
    except DataFault:
        return lacking(Gap(feature.name, dimension, f"'{use.word}' cannot be read"))
    return Size(lambda pick: nominal, (use,))


def is_strong(mark: str) -> bool:
    """Whether a mark on a bolt's head means class 10.9 or above, or its near equivalent SAE grade 8."""
    found = re.search(r"\b(\d{1,2})\.(\d)\b", mark)
    if found is not None:
        return int(found[1]) >= 10
    return re.search(r"\bgrade\s*8\b", mark, re.IGNORECASE) is not None


def spanners(nominal: float) -> dict[str, float]:
    """Across flats that a bolt of this nominal diameter (mm) may have, mm, by ``spanner_`` and the standard."""
    return {
        "spanner_" + re.sub(r"[^a-z0-9]+", "_", hexagon.standard.lower()): hexagon.flats
        for hexagon in across_flats(nominal)
        if "bolt" in hexagon.on
    }


def spanners_told(nominal: float) -> str:
    """The spanners in words, ``16 mm spanner (ISO 272), 17 mm spanner (DIN 931/933/934)``."""
    sizes: dict[str, list[str]] = {}
    for hexagon in across_flats(nominal):
        if "bolt" in hexagon.on:
            inch = not hexagon.size.startswith("M")
            sizes.setdefault(f"{hexagon.flats_text} {'in' if inch else 'mm'}", []).append(hexagon.standard)
    if not sizes:
        return "no spanner size is held for it"
    return ", ".join(f"{size} spanner ({' and '.join(standards)})" for size, standards in sizes.items())
