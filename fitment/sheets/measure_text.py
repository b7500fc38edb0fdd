"""The readings to take as text: set by set in the order to take them, what each decides, what was left out."""

from __future__ import annotations

import textwrap

from fitment.kits.kit import Kit
from fitment.kits.measure_next import MeasureNext, Ranked, Step, decides
from fitment.quantity.tools import tool_title

_PLACES = {"yard": "in the yard", "bench": "on the bench", "car": "on the car"}


def measure_text(kit: Kit, told: MeasureNext, minutes: float | None, width: int) -> str:
    """The whole answer."""
    blocks = [_head(kit, told, width)]
    number = 0
    for step in dict.fromkeys(one.step for one in told.readings):
        members = [one for one in told.readings if one.step == step]
        blocks.append(_step(step, members, number, width))
        number += len(members)
    if minutes is not None and told.chosen is not None:
        blocks.append(_chosen(told, minutes, width))
    if told.left_out:
        lines = [_wrap(f"- {gap.feature} {gap.dimension}: {gap.why}", width, "  ") for gap in told.left_out]
        blocks.append("\n".join(["Missing too, and not weighed", *lines]))
    return "\n\n".join(blocks) + "\n"


def _wrap(text: str, width: int, hang: str = "", indent: str = "") -> str:
    return textwrap.fill(text, width, initial_indent=indent, subsequent_indent=hang, break_on_hyphens=False)


def _head(kit: Kit, told: MeasureNext, width: int) -> str:
    if told.ruled_out:
        return _wrap(f"{kit.name}: ruled out already, whatever is read; fitment check says by what", width)
    if not told.readings:
        return _wrap(f"{kit.name}: no reading that could be taken would settle the verdict further", width)
    readings = "1 reading" if len(told.readings) == 1 else f"{len(told.readings)} readings"
    share = f"{100 * told.fits:.2g} %" if told.fits else f"none of {told.worlds}"
    return "\n".join(
        [
            _wrap(f"{kit.name}: {readings}, in the order that settles the verdict soonest", width),
            _wrap(
                "For ranking only: what is not measured was drawn from its plausible range. Of kits so drawn "
                f"{share} fit; of this kit that says nothing. Minutes are our own choice.",
                width,
            ),
        ]
    )


def _step(step: Step, members: list[Ranked], number: int, width: int) -> str:
    lines = []
    for place, one in enumerate(members, number + 1):
        task = one.task
        where = _PLACES[task.place]
        lines.append(
            _wrap(
                f"{place}. {task.thing.feature.name} {task.dimension.dimension}: {tool_title(task.tool)}, {where}, "
                f"{task.minutes:g} min (drawn: {one.drawn})",
                width,
                "   ",
            )
        )
    together = "together they decide" if len(members) > 1 else "decides"
    lines.append(_wrap(f"{together} {decides(members[0])}", width, "   ", "   "))
    out = f"rules the kit out in {100 * step.rules_out:.0f} of 100" if step.rules_out else "rules nothing out"
    lines.append(_wrap(f"{out}; worth {members[0].worth:.2g} bit per minute", width, "   ", "   "))
    return "\n".join(lines)


def _chosen(told: MeasureNext, minutes: float, width: int) -> str:
    chosen = [one.task for one in told.readings if told.chosen and one.task.key in told.chosen]
    if not chosen:
        return _wrap(f"In {minutes:g} minutes nothing can be decided", width)
    takes = sum(task.minutes for task in chosen)
    lines = [_wrap(f"In {minutes:g} minutes ({takes:g} taken)", width)]
    lines += [_wrap(f"- {task.thing.feature.name} {task.dimension.dimension}", width, "  ") for task in chosen]
    return "\n".join(lines)
