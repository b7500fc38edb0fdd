"""Values as the pages show them: in the units asked for, with their doubt, or a box where there is none."""

from __future__ import annotations

from collections.abc import Iterable

from fitment.finding import Figure, Finding, Use
from fitment.kits.report import JointSummary
from fitment.kits.steering_results import Result, result_rows
from fitment.quantity.show import show_quantity
from fitment.sheets.blocks import Cell
from fitment.sheets.context import SheetContext
from fitment.sheets.steer_text import in_units

#: unit -> kind of quantity
_KINDS = {"mm": "length", "deg": "angle", "N": "force", "N·m": "torque", "kg": "mass", "turn": "turns"}


def figure_text(context: SheetContext, figure: Figure) -> str:
    """A figure with its unit: ``231.5 mm ± 1.8`` where ± is two standard uncertainties."""
    kind = _KINDS.get(figure.unit)
    if kind is None:
        return f"{figure.value:.4g} {figure.unit}".strip()
    shown = show_quantity(figure.value, kind, context.system, figure.u)
    return shown if not figure.u else f"{shown} ± {show_quantity(2 * figure.u, kind, context.system, figure.u)}"


def use_text(context: SheetContext, use: Use) -> str:
    """A value as adopted, with its unit."""
    if use.shown:
        return context.shown(use.shown)
    return use.value if isinstance(use.value, str) else f"{use.value:g} {use.unit or ''}".strip()


def value_of(context: SheetContext, address: str, feature: str, dimension: str) -> str:
    """The adopted value of a dimension of a part of the kit; "" where there is none."""
    part = context.assembly.found.get(address)
    if part is None or feature not in part.features:
        return ""
    use = part.features[feature].get(dimension)
    return "" if use is None else use_text(context, use)


def of_target(context: SheetContext, feature: str, dimension: str) -> str:
    """The adopted value of a dimension of the target; "" where there is none."""
    found = context.assembly.target.features.get(feature)
    use = found.get(dimension) if found is not None else None
    return "" if use is None else use_text(context, use)


def findings_of(context: SheetContext, *joints: str) -> Iterable[tuple[JointSummary, Finding]]:
    """The findings of joints of these ids."""
    for joint in context.report.joints:
        if joint.id in joints:
            for finding in joint.findings:
                yield joint, finding


def figure_of(context: SheetContext, joint: str, name: str) -> Figure | None:
    """A figure of any finding of a joint, by its name."""
    return next((one.figures[name] for _, one in findings_of(context, joint) if name in one.figures), None)


def figure_cell(context: SheetContext, joint: str, name: str, unit: str) -> Cell:
    """A figure as a cell; a box where it is not known."""
    figure = figure_of(context, joint, name)
    return context.blank(unit) if figure is None else figure_text(context, figure)


def results(context: SheetContext) -> tuple[dict[str, Result], dict[str, Result]]:
    """What the car did and what it will do, by the names of ``steering_results.csv``; empty where not worked out."""
    proposed = context.comparison.proposals[0] if context.comparison.proposals else None
    return (
        dict(context.comparison.original.told.results),
        dict(proposed.told.results) if proposed is not None and proposed.asked is None else {},
    )


def result_text(context: SheetContext, name: str, result: Result | None) -> str:
    """A result as `fitment steer` shows it; "" where there is none."""
    if result is None:
        return ""
    return in_units(result_rows()[name], result, context.system)
