"""The sentences of a correction notice, the same on the screen, in the text and on the page."""

from __future__ import annotations

from fitment.catalogue.listing import ReadingLine
from fitment.finding import Margin, Verdict
from fitment.kits.correction import Notice, Rechecked
from fitment.kits.report import STANDING_CAUTIONS
from fitment.sheets.finding_text import margin_text

CAUTIONS = ("The kept reports are as they were given; this notice does not change them.", *STANDING_CAUTIONS)
#: columns of the rules, then and now
HEADINGS = ("joint", "rule", "then", "now")


def title(notice: Notice) -> str:
    """``Correction notice: NORTH/RE-1 stud large``."""
    reading = notice.correction.reading
    what = "Correction notice" if notice.correction.corrected else "Reading in force"
    return f"{what}: {reading.of} {reading.feature} {reading.dimension}"


def entered(reading: ReadingLine) -> str:
    """A reading in one line: the value as written, who, when, with what, from where, and its id."""
    value = " ".join(filter(None, (reading.entered, reading.bare_unit)))
    how = ", ".join(filter(None, (reading.who, reading.dated, reading.tool, reading.source, reading.sitting)))
    return f"{value} ({how}; reading {reading.uid[:8]})"


def correction_pairs(notice: Notice) -> list[tuple[str, str]]:
    """What was corrected: name and text pairs."""
    one = notice.correction
    if not one.corrected:
        return [("value", entered(one.reading)), ("state", "in force: nothing is corrected yet")]
    by = ", ".join(filter(None, (one.who, one.dated)))
    reason = ("reason", f"{one.reason}{f' ({by})' if by else ''}")
    held = "; ".join(map(entered, one.instead))
    if one.decided:
        return [("set aside", entered(one.reading)), ("holds", held), reason]
    return [("old value", entered(one.reading)), ("new value", held or "none: no reading takes its place"), reason]


def affected(notice: Notice) -> list[tuple[str, str]]:
    """What it touches: name and text pairs."""
    kits = dict.fromkeys(one.kept.kit for one in notice.reports)
    reports = [f"{one.kept.uid[:8]} of {one.kept.made}" for one in notice.reports]
    return [
        ("parts", ", ".join(notice.correction.things)),
        ("kits", ", ".join(kits) or "none"),
        ("builds", ", ".join(notice.builds) or "none"),
        ("reports", ", ".join(reports) or "none"),
    ]


def heading(one: Rechecked) -> str:
    """Which report: its id, date, kit, car and builds."""
    builds = f"; build {', '.join(one.kept.builds)}" if one.kept.builds else ""
    return f"Report {one.kept.uid[:8]} of {one.kept.made}: kit {one.kept.kit}, for {one.target}{builds}"


def verdicts(one: Rechecked) -> list[tuple[str, str]]:
    """Verdict and value in force, then and now: name and text pairs."""
    pairs = [
        ("verdict then", str(one.then)),
        ("verdict now", str(one.now) if one.now else f"cannot be checked again: {one.why}"),
    ]
    if one.value_then or one.value_now:
        pairs.append(("value then", one.value_then or "none used"))
        if one.now:
            pairs.append(("value now", one.value_now or "none used"))
    elif one.changed:
        rules = ", ".join(dict.fromkeys(rule.rule for rule in one.changed))
        pairs.append(
            ("used by", f"a value of a part of the kit; rules whose verdict changed with it, or since: {rules}")
        )
    else:
        pairs.append(("used by", "no rule; it stood behind a value of a part of the kit"))
    return pairs


def rows(one: Rechecked, system: str) -> list[tuple[str, str, str, str]]:
    """A row for each rule whose verdict changed or that used the reading, under `HEADINGS`."""
    return [
        (
            rule.joint,
            rule.rule,
            _said(rule.then, rule.margin_then, system),
            _said(rule.now, rule.margin_now, system),
        )
        for rule in one.rules
    ]


def _said(verdict: Verdict | None, margin: Margin | None, system: str) -> str:
    if verdict is None:
        return "said nothing"
    return f"{verdict}, {margin_text(margin, system)}" if margin else str(verdict)


def what_to_do(one: Rechecked, corrected: bool) -> list[str]:
    """What to do about one report, a sentence or two each; nothing is ordered that a certifier decides.

    Args:
        one: the report.
        corrected: whether the reading is; while it is in force nothing follows from it.
    """
    if not corrected:
        return []
    told = []
    if one.now is None:
        told.append("Treat the old verdict as open until the kit is checked again.")
    elif one.now.rank < one.then.rank:
        told.append("The old verdict no longer stands. Tell whoever holds the report.")
    elif one.now.rank > one.then.rank:
        told.append("What was chosen or machined by the old value is to be measured as it is now.")
    elif one.changed:
        told.append("The verdict of the kit is the same, but not that of the rules above: read them again.")
    else:
        told.append("The verdicts are the same with the values in force now. Put this notice with the report.")
    told += [f"Measure {ask}." for ask in one.asks]
    if one.kept.builds and (one.now is None or one.changed):
        told.append(
            "A car was built to it: tell its owner and its certifier, who decides whether it is driven before the "
            "joints above are measured again."
        )
    return told


def unreported(notice: Notice) -> str:
    """Builds that the reading is of though no kept report of theirs used it; "" where there are none."""
    reported = {build for one in notice.reports for build in one.kept.builds}
    names = [build for build in notice.builds if build not in reported]
    if not names:
        return ""
    return (
        f"The reading is of what was fitted in {', '.join(names)}, but no kept report used it: "
        "fitment build check REF --keep keeps one."
    )


def stamp(notice: Notice) -> str:
    """With what, and on which state of the catalogue, it was checked again; another program may judge otherwise."""
    programs = sorted({one.kept.program or "a version that was not recorded" for one in notice.reports})
    others = [name for name in programs if name != notice.program]
    told = f"Checked again on {notice.dated} by {notice.program}, catalogue {notice.catalogue.id[:8]}"
    told += f" revision {notice.catalogue.revision}, readings {notice.catalogue.digest[:12]}"
    return told + (f"; reports kept by {', '.join(others)}, whose rules may differ" if others else "")
