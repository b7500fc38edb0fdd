"""What a corrected reading changes: every kept report that used it beside the same kit checked as it now stands."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from fitment.catalogue.corrected import Correction
from fitment.catalogue.found import CatalogueStamp, PartsBook
from fitment.catalogue.kept import KeptLine, KeptText
from fitment.errors import FitmentError
from fitment.finding import Margin, Verdict
from fitment.frozen import dataclass
from fitment.kits.as_built import as_built
from fitment.kits.check import check
from fitment.kits.kit_file import read_kit
from fitment.kits.report_json import report_object

#: a rule on a joint: id of the joint, code of the rule
Key = tuple[str, str]


@dataclass(frozen=True)
class RuleThenNow:
    """What one rule said of one joint, then and now; None where it said nothing.

    Attributes:
        joint: title of the joint, ``left rod end stud in knuckle eye``.
        rule: its code.
        used: whether it used the corrected reading, then.
        because: its sentence now; the one of then where it says nothing now.
    """

    joint: str
    rule: str
    used: bool
    then: Verdict | None
    now: Verdict | None
    margin_then: Margin | None
    margin_now: Margin | None
    because: str


@dataclass(frozen=True)
class Rechecked:
    """A kept report beside its kit as it now stands.

    Attributes:
        kept: the kept report.
        target: the vehicle it is for.
        then, now: verdicts; `now` is None where the kit cannot be checked again, and `why` says why.
        value_then, value_now: what was and is in force for the corrected dimension, or why nothing was; "" where the
            report names none.
        rules: those whose verdict changed, and those that used the reading; worst first.
        asks: what is not known now and was not missing then.
    """

    kept: KeptLine
    target: str
    then: Verdict
    now: Verdict | None
    why: str
    value_then: str
    value_now: str
    rules: tuple[RuleThenNow, ...]
    asks: tuple[str, ...]

    @property
    def changed(self) -> tuple[RuleThenNow, ...]:
        """The rules whose verdict changed."""
        return tuple(one for one in self.rules if one.then is not one.now)


@dataclass(frozen=True)
class Notice:
    """A correction notice: what was corrected, what used it, and what it says now.

    Attributes:
        correction: the reading and what became of it.
        reports: in the order of their keeping.
        catalogue: its state, now.
        program: that checked again.
        dated: of the notice, ISO 8601.
    """

    correction: Correction
    reports: tuple[Rechecked, ...]
    catalogue: CatalogueStamp
    program: str
    dated: str

    @property
    def builds(self) -> tuple[str, ...]:
        """Builds whose reports used the reading, and those that it is of."""
        return tuple(sorted({*self.correction.builds, *(one for kept in self.reports for one in kept.kept.builds)}))

    @property
    def anything(self) -> bool:
        """Whether any kept report or build is affected."""
        return bool(self.reports or self.builds)


def notice(correction: Correction, book: PartsBook, program: str, dated: str) -> Notice:
    """Checks the kit of every kept report that used the reading again, as the catalogue now stands."""
    again: dict[tuple[str, str], dict[str, Any] | FitmentError] = {}
    found = []
    for kept in correction.reports:
        key = (kept.kit_text, repr(sorted(kept.fitted.items())))
        if key not in again:
            again[key] = _checked(kept, book)
        found.append(_rechecked(kept, again[key], correction))
    return Notice(correction, tuple(found), book.stamp(), program, dated)


def _checked(kept: KeptText, book: PartsBook) -> dict[str, Any] | FitmentError:
    path = kept.body["kit_file"]["path"]
    try:
        return report_object(check(as_built(read_kit(kept.kit_text.encode(), path), kept.fitted), book))
    except FitmentError as fault:
        return fault


def _rechecked(kept: KeptText, now: dict[str, Any] | FitmentError, correction: Correction) -> Rechecked:
    uid = correction.reading.uid[:8]
    fault = now if isinstance(now, FitmentError) else None
    body: Mapping[str, Any] = {"findings": [], "unknowns": {}} if isinstance(now, FitmentError) else now
    used = [use for finding in kept.body["findings"] for use in finding["uses"] if uid in use["readings"]]
    names = {(use["feature"], use["dimension"]) for use in used}
    gap = "" if used else _gap(kept.body, correction)
    if gap:
        names = _names(correction)
    same = [
        use for finding in body["findings"] for use in finding["uses"] if (use["feature"], use["dimension"]) in names
    ]
    why = ""
    if fault is not None:
        why = fault.message if kept.kit_text else "its kit file was not kept"
    return Rechecked(
        kept=kept.line,
        target=kept.body["target"]["reference"],
        then=Verdict(kept.line.verdict),
        now=None if fault else Verdict(body["verdict"]),
        why=why,
        value_then=gap or _values(used),
        value_now=_values(same),
        rules=() if fault else tuple(_rules(kept.body, body, uid)),
        asks=tuple(sorted(_gaps(body) - _gaps(kept.body))),
    )


def _names(correction: Correction) -> set[tuple[str, str]]:
    """Features and dimension that the reading speaks for."""
    reading = correction.reading
    return {(f"{thing} {reading.feature}", correction.decided or reading.dimension) for thing in correction.things}


def _gap(body: Mapping[str, Any], correction: Correction) -> str:
    """Why a report had no value where the reading speaks: it was in conflict, say; "" where it missed none there."""
    names = _names(correction)
    missed = (gap for gaps in body["unknowns"].values() for gap in gaps)
    return next((gap["why"] for gap in missed if (gap["feature"], gap["dimension"]) in names), "")


def _values(uses: Iterable[Mapping[str, Any]]) -> str:
    return "; ".join(dict.fromkeys(use["shown"] or str(use["value"]) for use in uses))


def _gaps(body: Mapping[str, Any]) -> set[str]:
    return {f"{gap['feature']} {gap['dimension']}: {gap['why']}" for gaps in body["unknowns"].values() for gap in gaps}


def _by_rule(body: Mapping[str, Any]) -> dict[Key, list[dict[str, Any]]]:
    found: dict[Key, list[dict[str, Any]]] = {}
    for finding in body["findings"]:
        found.setdefault((finding["joint_id"], finding["rule"]), []).append(finding)
    return found


def _rules(then: Mapping[str, Any], now: Mapping[str, Any], uid: str) -> list[RuleThenNow]:
    before, after = _by_rule(then), _by_rule(now)
    rows = []
    for key in dict.fromkeys((*after, *before)):
        old, new = before.get(key, []), after.get(key, [])
        used = any(uid in use["readings"] for finding in old for use in finding["uses"])
        first, second = _worst(old), _worst(new)
        told = second or first
        if told is not None and (used or _verdict(first) is not _verdict(second)):
            rows.append(
                RuleThenNow(
                    joint=told["title"],
                    rule=key[1],
                    used=used,
                    then=_verdict(first),
                    now=_verdict(second),
                    margin_then=_margin(first),
                    margin_now=_margin(second),
                    because=told["because"],
                )
            )
    return sorted(rows, key=lambda row: (row.then is row.now, (row.now or row.then or Verdict.FITS).rank))


def _worst(findings: list[dict[str, Any]]) -> dict[str, Any] | None:
    return min(findings, key=lambda one: Verdict(one["verdict"]).rank, default=None)


def _verdict(finding: dict[str, Any] | None) -> Verdict | None:
    return Verdict(finding["verdict"]) if finding else None


def _margin(finding: dict[str, Any] | None) -> Margin | None:
    """The margin of a finding's object; None where it has none, or no finite one."""
    if finding is None or finding["margin"] is None or None in finding["margin"].values():
        return None
    return Margin(**finding["margin"])
