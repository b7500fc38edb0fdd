"""A build as text: the car, the kit, the items, what was read as built, its reports and papers."""

from __future__ import annotations

from collections.abc import Sequence

from fitment.catalogue.built import BuildLine
from fitment.catalogue.listing import ReadingLine
from fitment.catalogue.papers import PaperLine
from fitment.kits.as_built import places_in
from fitment.kits.kit_file import read_kit
from fitment.sheets.tables import table


def build_text(build: BuildLine, readings: Sequence[ReadingLine], papers: Sequence[PaperLine], width: int) -> str:
    """The whole page, in `width` columns."""
    said = (("vehicle", build.vehicle), ("date", build.dated), ("who", build.who), ("note", build.note))
    lines = [f"build {build.reference}", *(f"  {name}: {text}" for name, text in said if text)]
    lines += [f"  kit: {build.kit}", f"  kit file: {build.kit_file} (kept; SHA-256 {build.kit_digest[:12]})"]
    blocks = ["\n".join(lines)]
    for headings, rows in (
        (("place", "item", "of part", "the kit names"), _items(build)),
        (("reading", "of", "entered", "who, when, tool", "state"), [_reading(one) for one in readings]),
        (
            ("report", "made", "verdict", "readings since"),
            [
                (
                    one.uid[:8],
                    one.made[:16].replace("T", " "),
                    one.verdict,
                    f"{len(one.withdrawn)} withdrawn" if one.withdrawn else "",
                )
                for one in build.reports
            ],
        ),
        (("paper", "of", "SHA-256", "the file"), [(one.path, one.of, one.digest[:12], one.state) for one in papers]),
    ):
        if rows:
            blocks.append(table(headings, rows, width).rstrip())
    return "\n\n".join(blocks) + "\n"


def _items(build: BuildLine) -> list[tuple[str, str, str, str]]:
    named = places_in(read_kit(build.kit_text.encode(), build.kit_file))
    fitted = {one.role: (one.item, one.part) for one in build.items}
    return [(place, *fitted.get(place, ("no item named", "")), part) for place, part in named.items()]


def _reading(one: ReadingLine) -> tuple[str, str, str, str, str]:
    return (
        one.uid[:8],
        f"{one.of} {one.feature} {one.dimension}",
        " ".join(filter(None, (one.entered, one.bare_unit))),
        " ".join(filter(None, (one.who, one.dated, one.tool))),
        f"withdrawn: {one.withdrawn}" if one.withdrawn else "in force",
    )
