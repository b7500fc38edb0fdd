"""A proposal as text: kits with their ledgers, how far they are proven, or why there is none in numbered sentences."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence

from fitment.kits.propose.ledger import STEP, Entry
from fitment.kits.propose.proposal import Bottleneck, Opens, PartOfKit, Proposal, ProposedKit, WhyNone
from fitment.kits.report import STANDING_CAUTIONS

_POINTS = (
    "Points are our own weights, no source: they put kits in order and say nothing of how good one is. fitment check "
    "on a kit file (--into writes them) shows its margins, its cautions and what was not checked."
)
#: parts named of those that cannot be looked up
_NAMED = 4


def propose_text(proposal: Proposal, width: int) -> str:
    """The whole answer, summary first."""
    blocks = [_head(proposal, width)]
    if proposal.left_out and proposal.kits:
        blocks.append(_list("What is left out of every kit, proposed and checked without it", proposal.left_out, width))
    blocks += [_kit(number, kit, width) for number, kit in enumerate(proposal.kits, 1)]
    if proposal.why_none is not None:
        blocks.append(_why(proposal.why_none, width))
    if proposal.unkeyed:
        blocks.append(_list(_unkeyed_title(proposal), list(_unkeyed(proposal)), width))
    blocks.append(_list("Cautions", STANDING_CAUTIONS, width))
    if proposal.kits:
        blocks.append(_wrap(_POINTS, width))
    return "\n\n".join(blocks) + "\n"


def _wrap(text: str, width: int, first: str = "", hang: str = "") -> str:
    return textwrap.fill(text, width, initial_indent=first, subsequent_indent=hang, break_on_hyphens=False)


def _list(title: str, lines: Sequence[str], width: int) -> str:
    return "\n".join([_wrap(title, width), *(_wrap(line, width, "- ", "  ") for line in lines)])


def _head(proposal: Proposal, width: int) -> str:
    lines = [_wrap(f"Kits for {proposal.vehicle.name} {proposal.vehicle.title}", width)]
    many = len(proposal.kits)
    if many:
        lines.append(_wrap(f"{_kits(many)}, worst verdict first and then by points: {_proof(proposal)}", width))
    else:
        lines.append(_wrap(f"No kit{_asked(proposal)}: {_none_proof(proposal)}", width))
    counts = ", ".join(f"{count} {role}" for role, count in proposal.candidates if count)
    if counts:
        lines.append(_wrap(f"Looked at: {counts}; {proposal.tests} whole kits checked", width, "", "  "))
    return "\n".join(lines)


def _kits(count: int) -> str:
    return "1 kit" if count == 1 else f"{count} kits"


def _asked(proposal: Proposal) -> str:
    asked = proposal.asked
    told = [f"{asked.adapters} adapters" if asked.adapters else "", "no machining" if asked.wants.no_work else ""]
    told += [f"{asked.unknown} readings lacking" if asked.unknown else ""]
    return f" ({', '.join(filter(None, told))})" if any(told) else ""


def _stopped(proposal: Proposal) -> str:
    return "interrupted" if proposal.stopped == "interrupted" else "the search was given up"


def _proof(proposal: Proposal) -> str:
    if proposal.proven:
        return "proven the best that the catalogue has"
    if proposal.least is None:
        return f"not proven ({_stopped(proposal)})"
    gap = f"; the last kit listed may be beaten by {proposal.gap:.2f} points" if proposal.gap else ""
    return (
        f"not proven ({_stopped(proposal)}): what was not looked at is no better than '{proposal.least.verdict}' at "
        f"{proposal.least.cost:.2f} points{gap}"
    )


def _none_proof(proposal: Proposal) -> str:
    if proposal.proven:
        return "proven, nothing in the catalogue makes one"
    return f"none found, and that is not proven ({_stopped(proposal)})"


def _kit(number: int, kit: ProposedKit, width: int) -> str:
    lines = [_wrap(f"{number}. {kit.report.first_line}; {kit.cost:.2f} points", width, "", "   ")]
    for title, parts in _paired(kit.parts):
        lines.append(_wrap(f"{title}: {parts}", width, "   ", "     "))
    lines += [_wrap(f"lacks {feature} {dimension}", width, "   ", "     ") for feature, dimension in kit.lacks]
    if unchecked := dict.fromkeys(line.partition(":")[0] for line in kit.report.not_checked):
        lines.append(_wrap(f"not checked: {'; '.join(unchecked)}", width, "   ", "     "))
    for work in dict.fromkeys(work for finding in kit.report.findings for work in finding.work):
        lines.append(_wrap(f"work: {work.operation} {work.part}: {work.detail}", width, "   ", "     "))
    lines.append("   ledger")
    lines += [_wrap(_line(entry), width, "   ", "     ") for entry in kit.ledger]
    return "\n".join(lines)


def _line(entry: Entry) -> str:
    weight = entry.weight
    amount = f"{entry.amount:.3g}" if entry.amount != int(entry.amount) else f"{entry.amount:g}"
    unit = f" {weight.unit}" if weight.unit else ""
    return f"{entry.cost / STEP:8.2f}  {weight.title}: {amount}{unit} at {weight.weight:g}"


def _paired(parts: Sequence[PartOfKit]) -> Iterator[tuple[str, str]]:
    """Roles with their parts, the left and the right one on one line where they are one design."""
    told: dict[str, list[PartOfKit]] = {}
    for part in parts:
        told.setdefault(part.role.removeprefix("left ").removeprefix("right "), []).append(part)
    for title, found in told.items():
        names = dict.fromkeys(_named(part) for part in found)
        yield title, " and ".join(names) + (", both sides" if len(found) == 2 and len(names) == 1 else "")


def _named(part: PartOfKit) -> str:
    donors = list(dict.fromkeys(vehicle for vehicle, _ in part.stocked.fitted))
    came = "the car's own" if part.own else f"of {', '.join(donors)}" if donors else "no donor on record"
    return f"{part.stocked.part.name} {part.stocked.part.title} ({came})"


def _unkeyed_title(proposal: Proposal) -> str:
    count = len({name for one in proposal.unkeyed for name in one.parts})
    verb = "lacks" if count == 1 else "lack"
    admitted = proposal.asked.unknown
    told = (
        f"in a kit only with --unknown, here up to {admitted} readings"
        if admitted
        else "left out; --unknown admits them"
    )
    return f"{count} part{'' if count == 1 else 's'} {verb} what an end would be looked up by ({told})"


def _unkeyed(proposal: Proposal) -> Iterator[str]:
    for one in proposal.unkeyed:
        more = f" and {len(one.parts) - _NAMED} more" if len(one.parts) > _NAMED else ""
        yield f"{one.kind} {one.feature} {one.dimension}: {len(one.parts)} ({', '.join(one.parts[:_NAMED])}{more})"


def _why(why: WhyNone, width: int) -> str:
    told = [*why.lacks, *map(_bottleneck, why.bottlenecks)]
    if (far := why.out_of_reach) is not None:
        told.append(
            f"of {far.of} racks that rods and rod ends go onto by their threads, {far.racks} ask for a length that "
            "none of these can be set to"
        )
    pairs = [one for one in why.refusals if one.pairs]
    if pairs:
        listed = ", ".join(f"{one.title} {one.count}" for one in pairs)
        told.append(
            f"of pairs of parts that agree by their keys, these did not go, counted by the outer part: {listed}"
        )
    mixes = [one for one in why.refusals if not one.pairs]
    if mixes:
        listed = ", ".join(f"{one.title} {one.count}" for one in mixes[:6])
        told.append(f"of whole kits that go together pair by pair, these checks refused: {listed}")
    lines = ["Why there is none"]
    lines += [_wrap(f"{number}. {sentence}", width, "", "   ") for number, sentence in enumerate(told, 1)]
    if why.openings:
        lines += ["", _wrap("What would open one, the cheapest first", width)]
        start = len(told) + 1
        lines += [_wrap(f"{number}. {_opens(one)}", width, "", "   ") for number, one in enumerate(why.openings, start)]
    return "\n".join(lines)


def _bottleneck(one: Bottleneck) -> str:
    def told(keys: Sequence[tuple[str, int]]) -> str:
        return ", ".join(f"{key} ({count})" for key, count in keys) or "nothing"

    return f"{one.where} no chain gets further: {told(one.arriving)} comes to it, {told(one.accepted)} is taken there"


def _opens(one: Opens) -> str:
    kits = f"{'at least ' if one.capped else ''}{_kits(one.count)}"
    what = " and ".join(one.changes)
    if one.sort == "reading":
        taking = f", {one.minutes:g} min" if one.minutes is not None else ""
        return (
            f"measure {what}{taking}: {kits} lack{'s' if one.count == 1 else ''} nothing else; whether it opens "
            f"{'it' if one.count == 1 else 'them'} depends on what is read. The cheapest is {one.cost:.2f} points"
        )
    if one.sort == "join":
        return f"{what} (an adapter or a part that does so): {kits} would go by their keys, not checked otherwise"
    return f"{what}: opens {kits}, the cheapest of {one.cost:.2f} points"
