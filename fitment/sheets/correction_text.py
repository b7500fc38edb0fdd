"""A correction notice as text: on the screen and to be handed over."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from fitment.kits.correction import Notice, Rechecked
from fitment.sheets import correction_words as words
from fitment.sheets.tables import table


def correction_text(notice: Notice, width: int, system: str) -> str:
    """The whole notice.

    Args:
        notice: what it says.
        width: columns.
        system: "mm" or "inch", for margins.
    """
    blocks = [
        _wrap(words.title(notice), width),
        _pairs("Corrected" if notice.correction.corrected else "Reading", words.correction_pairs(notice), width),
        _pairs("Affected", words.affected(notice), width),
        *(_report(one, notice.correction.corrected, width, system) for one in notice.reports),
        _wrap(words.unreported(notice), width),
        "\n".join(_wrap(f"- {caution}", width, "  ") for caution in words.CAUTIONS),
        _wrap(words.stamp(notice), width),
    ]
    return "\n\n".join(block.rstrip("\n") for block in blocks if block) + "\n"


def _wrap(text: str, width: int, hang: str = "", indent: str = "") -> str:
    return textwrap.fill(text, width, initial_indent=indent, subsequent_indent=hang, break_on_hyphens=False)


def _pairs(heading: str, pairs: Iterable[tuple[str, str]], width: int) -> str:
    return "\n".join([heading, *(_wrap(f"{name}: {text}", width, "    ", "  ") for name, text in pairs)])


def _report(one: Rechecked, corrected: bool, width: int, system: str) -> str:
    lines = [_wrap(words.heading(one), width, "  ")]
    lines += [_wrap(f"{name}: {text}", width, "    ", "  ") for name, text in words.verdicts(one)]
    if rows := words.rows(one, system):
        lines.append(textwrap.indent(table(words.HEADINGS, rows, width - 2).rstrip(), "  "))
    lines += [_wrap(f"- {sentence}", width, "    ", "  ") for sentence in words.what_to_do(one, corrected)]
    return "\n".join(lines)
