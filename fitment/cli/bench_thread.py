"""``fitment bench thread``: which standard thread these readings are of."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Annotated

import typer

from fitment.cli.bench_reading import Prior, Taken, exit_code, odds_lines, one_of, prior_named, take, verdict_line
from fitment.cli.common import Json, Quiet, Units, hint, say, say_json, units_named
from fitment.errors import DataFault, UsageFault

_OVER = re.compile(
    r"(?P<count>\d+)\s*(?:turns?|threads?|pitches|pitch)\b\s*(?:=|:|,|in|over|is|are)?\s*(?P<length>.+)", re.I
)

#: pitches that the pitch gauge's half-width is stated over (see tools.csv)
_GAUGED_OVER = 6


def register(app: typer.Typer) -> None:
    """Adds the command."""
    app.command("thread")(thread)


def thread(
    words: Annotated[list[str] | None, typer.Argument(hidden=True)] = None,
    od: Annotated[str | None, typer.Option("--od", help="Outside diameter over the crests, male thread.")] = None,
    minor: Annotated[
        str | None, typer.Option("--minor", help="Diameter inside the crests, female thread (means --internal).")
    ] = None,
    pitch: Annotated[str | None, typer.Option("--pitch", help="Pitch, by gauge.")] = None,
    tpi: Annotated[str | None, typer.Option("--tpi", help="Threads per inch, by gauge.")] = None,
    over: Annotated[
        str | None, typer.Option("--over", metavar='"N turns LENGTH"', help='Length over threads: "6 turns 9.0mm".')
    ] = None,
    angle: Annotated[
        str | None, typer.Option("--angle", help="Thread angle between the flanks, by eye: 60 or 55 deg.")
    ] = None,
    internal: Annotated[bool, typer.Option("--internal", help="The thread is in a hole.")] = False,
    worn: Annotated[bool, typer.Option("--worn", help="Its crests are worn: up to 0.15 mm beyond the limits.")] = False,
    tool: Annotated[
        str | None, typer.Option("--tool", metavar="NAME", help="What the diameter was read with, if no calliper.")
    ] = None,
    prior: Prior = "flat",
    units: Units = "mm",
    as_json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Which standard thread is this? The answer, the odds of every candidate, and the next measurement to take.

    Each reading carries the doubt of its tool, or its own: "14.00 ±0.02" or "14.00 u=0.01".

    Example: fitment bench thread --od 14.00 --pitch 1.5
    """
    from fitment.identify.threads import ThreadReadings, identify_threads

    system, prior = units_named(units), prior_named(prior)
    over = _with_words(over, words)
    sex = "female" if internal or minor is not None else "male"
    taken = _readings(od, minor, pitch, tpi, over, angle, tool, system)
    _sensible(taken)
    by_name = {one.name: one.reading for one in taken}
    found = identify_threads(
        ThreadReadings(
            sex,
            od=by_name.get("od"),
            minor=by_name.get("minor"),
            pitch=by_name.get("pitch"),
            angle=by_name.get("angle"),
            worn=worn,
        ),
        prior,
    )
    candidates = [(one.designation, one.standard, one.odds) for one in found.candidates]
    first, odds = (candidates[0][0], candidates[0][2]) if candidates else ("", 0.0)
    code = exit_code(odds, found.none_of_these)
    facts = {"sex": sex, "worn": worn, "prior": prior}
    if as_json:
        say_json(
            {
                "schema": "fitment.bench-thread/1",
                "identified": first if code == 0 else None,
                "understood": facts | {"readings": [one.object() for one in taken]},
                "candidates": [{"designation": n, "standard": s, "odds": p} for n, s, p in candidates],
                "none_of_these": found.none_of_these,
                "next": None if found.next is None else vars(found.next),
            }
        )
    else:
        others = [(name, share) for name, _, share in candidates[1:] if share >= 0.005]
        line = verdict_line(first, odds, others, found.none_of_these, "standard thread")
        worn_word = ", worn" if worn else ""
        lines = [line, "", *odds_lines(candidates, found.none_of_these), "", f"understood: {sex} thread{worn_word}"]
        lines += [f"  {one.words(system)}" for one in taken]
        if found.next is not None:
            lines += ["", f"next: {found.next.measure} ({found.next.tool}), to tell {found.next.separates}"]
        say("\n".join(lines))
    if code == 0 and "pitch" not in by_name:
        hint("a diameter alone seldom settles a thread; take the pitch too", quiet)
    raise typer.Exit(code)


def _with_words(over: str | None, words: list[str] | None) -> str | None:
    """``--over 6 turns 9.0mm`` typed without quotation marks leaves "turns" and "9.0mm" behind: they belong to it."""
    if not words:
        return over
    if over is not None and over.isdigit():
        return " ".join([over, *words])
    raise UsageFault(f'"{words[0]}" belongs to no option', mending="write --od 14.00 --pitch 1.5", code="usage-05")


def _readings(
    od: str | None,
    minor: str | None,
    pitch: str | None,
    tpi: str | None,
    over: str | None,
    angle: str | None,
    tool: str | None,
    system: str,
) -> list[Taken]:
    one_of({"--pitch": pitch, "--tpi": tpi, "--over": over})
    if tool is not None and od is None and minor is None:
        raise UsageFault(
            "--tool is of the diameter, and there is none", mending="give --od or --minor", code="usage-06"
        )
    taken = []
    if od is not None:
        taken.append(take("--od", "outside diameter", od, system, tool or "calliper"))
    if minor is not None:
        taken.append(take("--minor", "minor diameter", minor, system, tool or "calliper-inside"))
    if pitch is not None:
        taken.append(take("--pitch", "pitch", pitch, system, "pitch-gauge"))
    if tpi is not None:
        taken.append(_from_tpi(tpi, system))
    if over is not None:
        taken.append(_from_over(over, system))
    if angle is not None:
        taken.append(take("--angle", "thread angle", angle, system, "protractor", "angle"))
    if not taken:
        raise UsageFault(
            "there is no reading to go by", mending="give --od and --pitch, or --minor and --pitch", code="usage-07"
        )
    return taken


def _from_tpi(text: str, system: str) -> Taken:
    """A pitch from threads per inch; the gauge's doubt is one of the pitch in mm, a written one of the count."""
    from fitment.standards.threads import MM_PER_INCH

    count = take(
        "--tpi", "pitch", re.sub(r"\s*t\.?p\.?i\.?\s*", " ", text, flags=re.I), system, "pitch-gauge", "number"
    )
    value = MM_PER_INCH / count.value
    u = count.u if count.tool != "as written" else count.u * value / count.value
    return replace(count, name="pitch", kind="length", value=value, u=u, entered=f"{text.strip()} tpi")


def _from_over(text: str, system: str) -> Taken:
    """A pitch from the length over a number of turns; what the gauge leaves in doubt over six is that of the length."""
    match = _OVER.fullmatch(text.strip())
    if match is None or int(match["count"]) == 0:
        raise DataFault(
            f'"{text}" is no length over a number of turns',
            place="--over",
            mending='write it like "6 turns 9.0 mm"; six turns are from one crest to the seventh',
            code="bench-03",
        )
    count = int(match["count"])
    length = take("--over", "pitch", match["length"], system, "pitch-gauge")
    u = length.u * (1 if length.tool == "as written" else _GAUGED_OVER) / count
    return replace(length, name="pitch", value=length.value / count, u=u, entered=text.strip())


def _sensible(taken: list[Taken]) -> None:
    """No thread has a pitch of half its outside diameter, or of its whole minor diameter, or more.

    Raises:
        DataFault: these readings would.
    """
    from fitment.quantity.show import show_quantity

    sizes: dict[str, Taken] = {one.name: one for one in taken}
    pitch = sizes.get("pitch")
    for name, share in (("od", 0.5), ("minor", 1.0)):
        size = sizes.get(name)
        if pitch is not None and size is not None and pitch.value >= share * size.value:
            told = f"a pitch of {show_quantity(pitch.value, 'length')} on {show_quantity(size.value, 'length')}"
            raise DataFault(
                f"{told} is no thread",
                mending="look whether the two are swapped, and at the units",
                code="bench-04",
            )
