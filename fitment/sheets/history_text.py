"""The story of a dimension as text."""

from __future__ import annotations

from collections.abc import Iterable

from fitment.catalogue.history import Step, Story


def history_text(name: str, stories: Iterable[Story]) -> str:
    """Every story, a paragraph each: what happened, and under it what was adopted after it."""
    blocks = []
    for story in stories:
        lines = [f"{name} {story.feature} {story.dimension}"]
        for step in story.steps:
            lines += [f"  {step.dated or 'undated':10}  {_told(step)}", f"  {'':10}    -> {_adopted(step)}"]
        blocks.append("\n".join(lines))
    return "\n\n".join(blocks) if blocks else f"{name}: no readings yet"


def _told(step: Step) -> str:
    ids = ", ".join(uid[:8] for uid in step.readings)
    by = f" by {step.who}" if step.who else ""
    if step.event == "read":
        with_what = ", ".join(filter(None, (step.tool, step.condition)))
        where = f"{step.source}{', hearsay' if step.hearsay else ''}, sitting {step.sitting}"
        return f"read{by}: {step.said}{f' ({with_what})' if with_what else ''}; {where} [{ids}]"
    if step.event == "decided":
        aside = ", ".join(uid[:8] for uid in step.set_aside)
        return f"decided{by}: {step.said}; taken {ids}; set aside {aside or 'none'}"
    return f"withdrawn{by}: {ids}: {step.said}"


def _adopted(step: Step) -> str:
    value = step.adopted
    if value is None:
        return "nothing adopted"
    if value.gap:
        return f"not known: {value.gap}"
    standing = value.basis.value + (", hearsay" if value.hearsay else "") + (", as left" if value.assumed else "")
    return f"{value.shown}, {standing} ({value.source})"
