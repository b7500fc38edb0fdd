"""``fitment bench mate``: do two ends named or measured on the spot go together."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from fitment.cli.common import Json, Quiet, Units, hint, say, say_json, units_named

if TYPE_CHECKING:
    from fitment.finding import Finding
    from fitment.kits.mate import Mate


def register(app: typer.Typer) -> None:
    """Adds the command."""
    app.command("mate")(mate)


def mate(
    first: Annotated[
        str, typer.Argument(metavar="A", help="A thread, taper or spline by name, or an end by its dimensions.")
    ],
    second: Annotated[str, typer.Argument(metavar="B", help="The other.")],
    enters: Annotated[
        str | None, typer.Option("--enters", metavar="below|above", help="From which side the stud enters the eye.")
    ] = None,
    nut: Annotated[str | None, typer.Option("--nut", metavar="STANDARD", help='Nut on the stud: "DIN 935".')] = None,
    washer: Annotated[str | None, typer.Option("--washer", help="Thickness of the washer under that nut.")] = None,
    right_hand: Annotated[bool, typer.Option("--right-hand", help="Both threads are right hand.")] = False,
    units: Units = "mm",
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Do these two go together? By the same rules, words and exit codes as check.

    Two names that go together are "not known" until what names do not tell is said: the depth of a thread, the sizes
    of a cone.

    Example: fitment bench mate "M14x1.5-LH" "9/16-18"

    Example: fitment bench mate "stud taper=1:10 large=14.0 length=20 thread=M12x1.25" "eye taper=1:8 large=14.4
    thick=16 opens=down" --enters below
    """
    from fitment.errors import UsageFault
    from fitment.kits.mate import mate as mated
    from fitment.kits.spot import spot

    system = units_named(units)
    if enters not in (None, "below", "above"):
        raise UsageFault(f'--enters is "{enters}"', mending="allowed: below, above", code="usage-11")
    facts = {} if enters is None else {"enters": enters}
    if nut is not None:
        facts["nut"] = nut
    if washer is not None:
        from fitment.cli.bench_reading import take

        facts["washer"] = f"{take('--washer', 'washer', washer, system, 'calliper').value} mm"
    answer = mated(spot(first, "A", system), spot(second, "B", system), facts, right_hand)
    if as_json:
        say_json(_object(answer))
    else:
        say("\n".join(_lines(answer, system)))
    if answer.verdict.exit_code == 4:
        hint('write what is missing beside the rest, as in "M14x1.5-RH depth=25"', quiet)
    raise typer.Exit(answer.verdict.exit_code)


def _lines(answer: Mate, system: str) -> list[str]:
    from fitment.finding import Verdict
    from fitment.sheets.finding_text import in_system

    passing = answer.verdict in (Verdict.FITS, Verdict.FITS_WITH_WORK)
    lines = [
        f"{answer.verdict}{' (dimensions only)' if passing else ''}: {in_system(answer.telling.because, system)}",
        "",
        "reasons",
    ]
    for finding in sorted(answer.findings, key=lambda finding: finding.verdict.rank):
        lines += _reason(finding, system)
    lines += ["", "understood", *(line for part in _understood(answer, system) for line in part)]
    if answer.not_checked:
        lines += ["", "not checked", *(f"- {told}" for told in answer.not_checked)]
    cautions = dict.fromkeys(caution for finding in answer.findings for caution in finding.cautions)
    if cautions:
        lines += ["", "cautions", *(f"- {caution}" for caution in cautions)]
    return lines


def _reason(finding: Finding, system: str) -> list[str]:
    from fitment.sheets.finding_text import in_system, margin_text

    lines = [f"- {finding.verdict}: {in_system(finding.because, system)} [{finding.rule}]"]
    if finding.margin is not None:
        lines.append(f"    margin {margin_text(finding.margin, system)}")
    return lines + [
        f"    work: {work.operation} {work.part}: {in_system(work.detail, system)}" for work in finding.work
    ]


def _understood(answer: Mate, system: str) -> list[list[str]]:
    from fitment.quantity.show import show_quantity, show_taper

    parts = []
    for part, feature in zip(answer.parts, answer.features, strict=True):
        lines = [f"{part.letter}: {part.entered}"]
        for use in feature.values.values():
            if isinstance(use.value, str):
                text = use.value
            elif use.dimension == "taper":
                text = show_taper(use.value)
            else:
                text = show_quantity(use.value, "length", system, use.u) if use.unit == "mm" else use.shown
            lines.append(f"   {use.dimension} {text} ({use.basis}; {use.source})")
        lines += [f"   {name}: {gap}" for name, gap in feature.gaps.items()]
        parts.append(lines + [f"   assumed: {told}" for told in part.assumed])
    return parts


def _object(answer: Mate) -> dict[str, Any]:
    from fitment.kits.report_json import finding_object

    understood = [
        {
            "name": feature.name,
            "entered": part.entered,
            "kind": feature.kind,
            "values": {
                name: {"value": use.value, "u": use.u, "unit": use.unit, "basis": str(use.basis), "source": use.source}
                for name, use in feature.values.items()
            },
            "gaps": dict(feature.gaps),
            "assumed": list(part.assumed),
        }
        for part, feature in zip(answer.parts, answer.features, strict=True)
    ]
    return {
        "schema": "fitment.bench-mate/1",
        **finding_object(answer.telling),
        "understood": understood,
        "findings": [finding_object(finding) for finding in answer.findings],
        "not_checked": list(answer.not_checked),
    }
