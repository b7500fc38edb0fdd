"""Features, trials and settings for tests of joints; every part is invented."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from fitment.doubt import Draws
from fitment.finding import Basis, Finding, Use
from fitment.joints.limits import default_limits
from fitment.joints.registration import Feature, Setting, Trial


def feature(
    name: str,
    kind: str,
    /,
    u: float = 0.0,
    taper_u: float = 0.0,
    taper_basis: Basis = Basis.IDENTIFIED,
    trials: Iterable[Trial] = (),
    **values: float | str,
) -> Feature:
    """A feature with these values; `u` is that of every length, in mm."""
    uses = {}
    for key, value in values.items():
        dimension = key.replace("_", "-")
        number, taper = not isinstance(value, str), dimension == "taper"
        uses[dimension] = Use(
            name,
            dimension,
            value,
            (taper_u if taper else u) if number else None,
            ("" if taper else "mm") if number else None,
            taper_basis if taper else Basis.MEASURED,
            source="own measurement",
        )
    return Feature(name, kind, values=uses, trials=tuple(trials))


def trial(
    dimension: str,
    against: str,
    passed: bool = True,
    contact: float | None = None,
    stand_off: float | None = None,
    hearsay: bool = False,
) -> Trial:
    """A trial, its stand-off good to u = 0.05 mm."""
    basis = Basis.AS_ASSEMBLED if dimension == "assembled-with" else Basis.TRIAL
    use = Use("TEST/T-1", dimension, "as entered", None, None, basis, source="shop card 4", hearsay=hearsay)
    off = None
    if stand_off is not None:
        off = Use("TEST/T-1", "stand-off", stand_off, 0.05, "mm", Basis.TRIAL, source="shop card 4")
    return Trial(dimension, passed, against, contact, off, use)


def changed(one: Feature, dimension: str, **changes: Any) -> Feature:
    """The feature with one of its values changed."""
    return replace(one, values={**one.values, dimension: replace(one.values[dimension], **changes)})


def without(one: Feature, *dimensions: str) -> Feature:
    """The feature without these values."""
    return replace(one, values={key: use for key, use in one.values.items() if key not in dimensions})


def setting(count: int = 4000, limits: dict[str, float] | None = None, **facts: str) -> Setting:
    """A setting with the default limits but for those given."""
    table = default_limits()
    for name, value in (limits or {}).items():
        table[name] = replace(table[name], value=value, overridden=True)
    return Setting(table, Draws(count), facts)


def by_rule(findings: list[Finding]) -> dict[str, Finding]:
    """Findings by rule; each rule answers once."""
    found = {finding.rule: finding for finding in findings}
    assert len(found) == len(findings)
    return found
