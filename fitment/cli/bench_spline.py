"""``fitment bench spline``: which splined end a count, a diameter and a chord are of."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated

import typer

from fitment.cli.bench_reading import Prior, Taken, exit_code, odds_lines, prior_named, take, verdict_line
from fitment.cli.common import Json, Quiet, Units, hint, say, say_json, units_named
from fitment.errors import UsageFault

#: trade words for the form of the teeth
_FORMS = {
    "dd": "double-D",
    "double-d": "double-D",
    "double d": "double-D",
    "serrated": "serration",
    "serrations": "serration",
    "splined": "spline",
}


def register(app: typer.Typer) -> None:
    """Adds the command."""
    app.command("spline")(spline)


def spline(
    count: Annotated[
        str | None, typer.Option("--count", help="Teeth over the full circle, as if there were no flat.")
    ] = None,
    ticked: Annotated[bool, typer.Option("--ticked", help="Every fifth tooth was ticked with a pen.")] = False,
    half: Annotated[str | None, typer.Option("--half", help="Teeth over half the circle; doubled here.")] = None,
    present: Annotated[str | None, typer.Option("--present", help="Teeth beside the flat.")] = None,
    flat: Annotated[bool, typer.Option("--flat", help="A flat takes some teeth away.")] = False,
    od: Annotated[str | None, typer.Option("--od", help="Outside diameter, turned for the largest reading.")] = None,
    chord: Annotated[str | None, typer.Option("--chord", help="Crest to crest over several teeth.")] = None,
    over: Annotated[str | None, typer.Option("--over", help="Pitches in that chord.")] = None,
    form: Annotated[
        str, typer.Option("--form", metavar="involute|serration|DD", help="Form of the teeth, if it was looked at.")
    ] = "",
    tool: Annotated[
        str, typer.Option("--tool", metavar="NAME", help="What the outside diameter was read with.")
    ] = "calliper",
    prior: Prior = "flat",
    units: Units = "mm",
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Which spline is this? Trade names and standards with odds, the step of its index, what to measure next.

    A miscount by one is always considered. Example: fitment bench spline --count 36 --od 17.4
    """
    from fitment.identify.splines import FORMS, SplineReadings, identify_splines
    from fitment.sheets.finding_text import in_system
    from fitment.standards.splines import index_step

    system, prior = units_named(units), prior_named(prior)
    if (chord is None) != (over is None):
        raise UsageFault("--chord and --over go together", mending="--chord 13.47 --over 9", code="usage-09")
    if flat != (present is not None):
        raise UsageFault("--present and --flat go together", mending="--present 24 --flat", code="usage-10")
    counted = {
        name: take(f"--{name}", title, text, system, "count-ticked" if ticked or name == "over" else "count", "count")
        for name, title, text in (
            ("count", "teeth", count),
            ("half", "teeth over half the circle", half),
            ("present", "teeth beside the flat", present),
            ("over", "pitches in the chord", over),
        )
        if text is not None
    }
    # what a miscount is worth is part of the odds, not an uncertainty
    counted = {name: replace(one, u=0.0) for name, one in counted.items()}
    lengths: dict[str, Taken] = {}
    if od is not None:
        lengths["od"] = take("--od", "outside diameter", od, system, tool)
    if chord is not None:
        lengths["chord"] = take("--chord", "chord", chord, system, "chord")
    wanted = _FORMS.get(form.casefold(), form.casefold())
    if wanted not in FORMS:
        raise UsageFault(f'--form is "{form}"', mending="allowed: involute, serration, spline, DD", code="usage-13")
    whole = {name: int(one.value) for name, one in counted.items()}
    readings = SplineReadings(
        count=whole.get("count"),
        ticked=ticked,
        half=whole.get("half"),
        present=whole.get("present"),
        od=lengths["od"].reading if "od" in lengths else None,
        chord=lengths["chord"].reading if "chord" in lengths else None,
        pitches=whole.get("over"),
        form=wanted,
    )
    found = identify_splines(readings, prior)
    taken = [*counted.values(), *lengths.values()]
    names = [(f"{one.designation} ({one.what.also})" if one.what.also else one.designation) for one in found.candidates]
    rows = [(name, one.standard or "trade name", one.odds) for name, one in zip(names, found.candidates, strict=True)]
    first, odds = (found.candidates[0].designation, found.candidates[0].odds) if found.candidates else ("", 0.0)
    code = exit_code(odds, found.none_of_these)
    cautions = []
    if {"count", "present"} <= set(whole) and not 3 <= (hidden := whole["count"] - whole["present"]) <= 8:
        cautions.append(f"a flat usually hides 4 to 6 teeth, not {hidden}: count again")
    steps = {
        one.what.teeth: index_step(one.what.teeth)
        for one in found.candidates
        if one.odds >= 0.005 and one.what.teeth is not None
    }
    if as_json:
        say_json(
            {
                "schema": "fitment.bench-spline/1",
                "identified": first if code == 0 else None,
                "understood": {
                    "form": readings.form or None,
                    "prior": prior,
                    "ticked": ticked,
                    "readings": [one.object() for one in taken],
                },
                "candidates": [
                    {
                        "designation": one.designation,
                        "standard": one.standard,
                        "odds": one.odds,
                        "teeth": one.what.teeth,
                        "also": one.what.also,
                    }
                    for one in found.candidates
                ],
                "none_of_these": found.none_of_these,
                "index_steps": [{"teeth": teeth, "value": step, "unit": "deg"} for teeth, step in steps.items()],
                "next": None if found.next is None else vars(found.next),
                "cautions": cautions,
            }
        )
        raise typer.Exit(code)
    others = [(one.designation, one.odds) for one in found.candidates[1:] if one.odds >= 0.005]
    lines = [verdict_line(first, odds, others, found.none_of_these, "named spline"), ""]
    lines += [*odds_lines(rows, found.none_of_these), "", "understood:", *(f"  {one.words(system)}" for one in taken)]
    lines += [
        f"index step of {teeth} teeth: {step:.4g} deg, centred to half of that at worst"
        for teeth, step in steps.items()
    ]
    lines += [f"caution: {caution}" for caution in cautions]
    if found.next is not None:
        lines += [
            "",
            f"next: {in_system(found.next.measure, system)} ({found.next.tool}), to tell {found.next.separates}",
        ]
    say("\n".join(lines))
    hint("trade names are labels: match a joint on count, form and measured diameter", quiet)
    raise typer.Exit(code)
