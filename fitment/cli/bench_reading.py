"""What the bench commands share: readings out of options, odds as words, the lines and objects that they print."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Annotated, Any

import typer

from fitment.errors import DataFault, FitmentError, UsageFault
from fitment.frozen import dataclass

#: odds below this are not listed one by one (they are counted and added up)
SHOWN = 0.005

Prior = Annotated[
    str, typer.Option("--prior", metavar="flat|common", help="flat: all alike; common: what is usual weighs more.")
]


@dataclass(frozen=True)
class Taken:
    """One reading as understood.

    Attributes:
        name: the measure, ``od``.
        title: for people, ``outside diameter``.
        kind: kind of value, a key of `fitment.quantity.units.KINDS`.
        value, u: value and standard uncertainty in the canonical unit.
        tool: title of the tool that the uncertainty is of, or "as written".
        entered: the text as typed.
    """

    name: str
    title: str
    kind: str
    value: float
    u: float
    tool: str
    entered: str

    @property
    def reading(self) -> tuple[float, float]:
        """Value and standard uncertainty."""
        return self.value, self.u

    def words(self, system: str) -> str:
        """The reading echoed with its unit and doubt."""
        from fitment.quantity.show import show_quantity

        shown = show_quantity(self.value, self.kind, system, self.u or None)
        doubt = f"u {show_quantity(self.u, self.kind, system, self.u)}, {self.tool}" if self.u else self.tool
        return f'{self.title} {shown} (typed "{self.entered}"; {doubt})'

    def object(self) -> dict[str, Any]:
        """The reading for --json, in the canonical unit."""
        from fitment.quantity.units import canonical_unit

        return {
            "measure": self.name,
            "value": self.value,
            "u": self.u,
            "unit": canonical_unit(self.kind).symbol,
            "tool": self.tool,
            "entered": self.entered,
        }


def take(
    option: str, title: str, text: str, system: str, tool: str, kind: str = "length", signed: bool = False
) -> Taken:
    """The reading of an option; a bare number is in the units of `system`, its doubt that of the tool unless written.

    Args:
        option: ``--od``; its faults are said to be there.
        title: for people.
        text: as typed.
        system: "mm" or "inch".
        tool: the tool by code or trade name.
        kind: kind of value.
        signed: whether zero and less make sense.

    Raises:
        DataFault: it cannot be read, is not above zero, or the tool does not measure such a value.
    """
    from fitment.quantity.parse import parse_quantity, standard_uncertainty
    from fitment.quantity.tools import find_tool
    from fitment.quantity.units import UNITLESS, system_unit

    try:
        quantity = parse_quantity(text, kind, None if kind in UNITLESS else system_unit(kind, system))
        if not signed and quantity.value <= 0:
            raise DataFault(
                f'"{quantity.entered}" is not above zero', mending="write what the tool reads", code="bench-01"
            )
        found = find_tool(tool)
        if found.kind is None:
            raise DataFault(
                f"{found.title} gives pass or fail, not a number",
                mending="name the tool that gave the number",
                code="bench-02",
            )
        half_width = found.half_width_for("length" if kind == "number" else kind, quantity.value)
    except FitmentError as fault:
        raise fault.at(option) from None
    written = quantity.u is not None or quantity.half_width is not None
    u = standard_uncertainty(quantity, half_width)
    return Taken(
        option.lstrip("-"), title, kind, quantity.value, u, "as written" if written else found.title, quantity.entered
    )


def prior_named(prior: str) -> str:
    """The prior.

    Raises:
        UsageFault: there is no such.
    """
    if prior not in ("flat", "common"):
        raise UsageFault(f'--prior is "{prior}"', mending="allowed: flat, common", code="usage-12")
    return prior


def one_of(options: dict[str, str | None]) -> str | None:
    """Which of several options that exclude each other is given; None where none is.

    Raises:
        UsageFault: more than one.
    """
    given = [option for option, text in options.items() if text is not None]
    if len(given) > 1:
        raise UsageFault(f"{' and '.join(given)} say the same thing twice", mending="give one of them", code="usage-04")
    return given[0] if given else None


def percent(odds: float) -> str:
    """Odds to 1 %; never "0 %" nor "100 %", which would claim what nobody knows."""
    if odds >= 0.995:
        return "over 99 %"
    if odds < 0.005:
        return "under 1 %"
    return f"{int(100 * odds + 0.5)} %"


def verdict_line(first: str, odds: float, others: Sequence[tuple[str, float]], none: float, what: str) -> str:
    """The answer in one line.

    Args:
        first, odds: the likeliest name.
        others: the names that stay possible, with odds.
        none: odds of none of them.
        what: ``standard thread``.
    """
    code = exit_code(odds, none)
    if code == 0:
        return f"{first}, odds {percent(odds)}"
    if code == 1:
        return f"no {what} fits these readings (none of these: {percent(none)})"
    possible = [(first, odds), *others] if first else []
    possible = sorted([*possible, (f"no {what} at all", none)], key=lambda pair: -pair[1])
    names = ", ".join(f"{name} {percent(share)}" for name, share in possible[:3])
    more = len(possible) - 3
    return f"not known yet: {names}" + (f" or {more} more" if more > 0 else "")


def exit_code(odds: float, none: float) -> int:
    """0 where one candidate is past the threshold, 1 where none of them is, 4 while several remain."""
    from fitment.identify.likelihood import ADOPTION_THRESHOLD

    return 0 if odds >= ADOPTION_THRESHOLD else 1 if none >= ADOPTION_THRESHOLD else 4


def odds_lines(rows: Iterable[tuple[str, str, float]], none: float) -> list[str]:
    """Name, standard and odds of each candidate above `SHOWN`, what the rest have together, and none of these."""
    listed = list(rows)
    shown = [row for row in listed if row[2] >= SHOWN]
    rest = [row[2] for row in listed if row[2] < SHOWN]
    if sum(rest) >= SHOWN:
        shown.append((f"{len(rest)} others, each under 0.5 %", "", sum(rest)))
    shown.append(("none of these", "", none))
    wide, standard = max(len(row[0]) for row in shown), max(len(row[1]) for row in shown)
    return ["candidates and odds"] + [
        f"  {name:<{wide}}  {of:<{standard}}  {percent(odds):>9}" for name, of, odds in shown
    ]
