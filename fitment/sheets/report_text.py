"""The report of a check as text: verdict, reasons, joints, what is not known, what was not checked, cautions."""

from __future__ import annotations

import textwrap

from fitment.finding import Figure, Finding, Use, Verdict
from fitment.kits.report import JointSummary, Report
from fitment.quantity.show import show_quantity
from fitment.sheets.finding_text import in_system, margin_text
from fitment.sheets.tables import table


def report_text(report: Report, width: int, system: str, full: bool) -> str:
    """The whole report.

    Args:
        width: columns; readable from 40 on.
        system: "mm" or "inch", for lengths.
        full: open the unknowns, and show the values behind each answer.
    """
    blocks = [
        _head(report, width),
        _reasons(report, width, system, full),
        _joints(report, width, system),
        _odds(report, width),
        _unknowns(report, width, full),
        _listed("Not checked", tuple(in_system(line, system) for line in by_reason(report.not_checked)), width),
        _listed("Cautions", report.cautions, width),
        _listed("Look at, on the car", tuple(one.line for one in report.look_at), width),
        _certifier_facts(report, width),
        _stamp(report, width),
    ]
    return "\n\n".join(block for block in blocks if block) + "\n"


def _wrap(text: str, width: int, indent: str = "", hang: str | None = None) -> str:
    return textwrap.fill(
        text, width, initial_indent=indent, subsequent_indent=indent if hang is None else hang, break_on_hyphens=False
    )


def _head(report: Report, width: int) -> str:
    counts = report.counts
    told = {
        Verdict.FITS: "fit",
        Verdict.FITS_WITH_WORK: "with work",
        Verdict.DOES_NOT_FIT: "do not fit" if counts[Verdict.DOES_NOT_FIT] != 1 else "does not fit",
        Verdict.NOT_KNOWN: "not known",
    }
    passing = report.verdict in (Verdict.FITS, Verdict.FITS_WITH_WORK)
    lines = [
        _wrap(f"{report.verdict}{' (dimensions only)' if passing else ''}", width),
        _wrap(report.ruling, width),
        _wrap("joints: " + ", ".join(f"{counts[verdict]} {word}" for verdict, word in told.items()), width),
        "",
        _wrap(f"Kit: {report.kit}", width, hang="     "),
        _wrap(f"For: {report.target.name} {report.target.title}", width, hang="     "),
    ]
    if report.note:
        lines.append(_wrap(f"Note: {report.note}", width, hang="     "))
    return "\n".join(lines)


def _reasons(report: Report, width: int, system: str, full: bool) -> str:
    shown = [pair for pair in report.answers if full or pair[1].verdict is not Verdict.FITS]
    if not shown:
        return ""
    # what is merely missing is folded below; what is too near its limit to call is a reason with a number
    wanted = [pair for pair in shown if full or pair[1].verdict is not Verdict.NOT_KNOWN or pair[1].margin]
    blocks = [_reason(joint, finding, width, system, full) for joint, finding in wanted]
    return "\n".join(["Reasons, worst first", *blocks]) if blocks else ""


def _reason(joint: JointSummary, finding: Finding, width: int, system: str, full: bool) -> str:
    because = in_system(finding.because, system)
    lines = [_wrap(f"- {finding.verdict}: {joint.title}: {because} [{finding.rule}]", width, hang="  ")]
    if finding.margin is not None:
        lines.append(_wrap(f"margin {margin_text(finding.margin, system)}", width, "    "))
    for work in finding.work:
        detail = in_system(work.detail, system)
        lines.append(_wrap(f"work: {work.operation} {work.part}: {detail}", width, "    "))
    if full:
        if finding.figures:
            figures = ", ".join(
                f"{name.replace('_', ' ')} {_figure(figure)}" for name, figure in finding.figures.items()
            )
            lines.append(_wrap(f"figures: {figures}", width, "    "))
        lines += [_wrap(in_system(_use(use), system), width, "    ", "      ") for use in finding.uses]
    return "\n".join(lines)


def _figure(figure: Figure) -> str:
    doubt = f" (u {figure.u:.2g})" if figure.u else ""
    return f"{figure.value:.4g}{' ' + figure.unit if figure.unit else ''}{doubt}"


def _use(use: Use) -> str:
    standing = str(use.basis) + (", hearsay" if use.hearsay else "") + (", assumed as left" if use.assumed else "")
    shown = use.shown or (show_quantity(use.number, "number") if not isinstance(use.value, str) else use.value)
    doubt = f", u {use.u:.2g}{' ' + use.unit if use.unit else ''}" if use.u else ""
    readings = f"; readings {', '.join(use.readings)}" if use.readings else ""
    return f"uses {use.feature} {use.dimension} = {shown}{doubt} ({standing}; {use.source}{readings})"


def _joints(report: Report, width: int, system: str) -> str:
    rows = []
    for joint in report.joints:
        worst = joint.worst_finding
        margin = margin_text(joint.margin, system) if joint.margin and worst.verdict is not Verdict.NOT_KNOWN else ""
        rows.append((str(joint.verdict), joint.title, worst.rule, margin, str(worst.basis or "")))
    return "Joints\n" + table(("verdict", "joint", "by rule", "margin", "basis"), rows, width).rstrip()


def _odds(report: Report, width: int) -> str:
    if report.odds is None:
        return ""
    from fitment.sheets.odds_text import odds_text

    return odds_text(report.odds, width)


def _unknowns(report: Report, width: int, full: bool) -> str:
    lines = []
    for part, gaps in report.unknowns.items():
        if full:
            lines += [_wrap(f"- {gap.feature} {gap.dimension}: {gap.why}", width, hang="  ") for gap in gaps]
        else:
            ends: dict[str, None] = {}
            for gap in gaps:
                ends[f"{gap.feature.removeprefix(part).strip()} {gap.dimension}".strip()] = None
            lines.append(_wrap(f"- {part}: {', '.join(ends)}", width, hang="  "))
    return "\n".join(["Not known", *lines]) if lines else ""


def by_reason(lines: tuple[str, ...]) -> tuple[str, ...]:
    """``title: reason`` lines, those of one reason together."""
    titles: dict[str, list[str]] = {}
    for line in lines:
        title, colon, why = line.partition(": ")
        titles.setdefault(why if colon else "", []).append(title)
    alone = tuple(titles.pop("", ()))
    return (*alone, *(f"{'; '.join(named)}: {why}" for why, named in titles.items()))


def _listed(title: str, lines: tuple[str, ...], width: int) -> str:
    return "\n".join([title, *(_wrap(f"- {line}", width, hang="  ") for line in lines)]) if lines else ""


def _certifier_facts(report: Report, width: int) -> str:
    facts = report.certifier_facts
    if facts is None:
        return ""
    lines = [_wrap(f"Facts to take to the certifier ({facts.jurisdiction})", width)]
    for one in facts.rules:
        lines.append(_wrap(f"- {one.rule.substance} [{one.rule.id}]", width, hang="  "))
        lines.append(_wrap(f"{one.rule.place}", width, "    "))
        lines.append(_wrap(f"touched by: {', '.join(one.touched_by)}", width, "    "))
    return "\n".join([*lines, _wrap(facts.note, width)])


def _stamp(report: Report, width: int) -> str:
    limits = [f"{limit.name} = {limit.value:g} {limit.unit}".strip() for limit in report.options.limits]
    own = f"; the kit's own limits: {', '.join(limits)}" if limits else ""
    stamp = report.catalogue
    most = report.options.samples
    least = min((one.margin.samples for one in report.findings if one.margin and one.margin.samples > 1), default=most)
    samples = f"{least} to {most}" if least < most else f"{most}"
    return _wrap(
        f"Catalogue {stamp.id[:8]} revision {stamp.revision}, readings {stamp.digest[:12]}; "
        f"kit file {report.kit_digest[:12]}; {samples} samples, seed {report.options.seed}{own}",
        width,
    )
