"""The scrapyard card: what a rack must read to be worth taking home for one target, each with its "stop if".

Everything comes from the target's survey and from the parts that were fitted to it; what they do not hold is said in
the row that lacks it. A card is an aid to choosing; the kit's check decides.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from fitment.catalogue.found import FoundPart, FoundVehicle
from fitment.doubt import Draws
from fitment.finding import Gap
from fitment.frozen import dataclass
from fitment.kits.card_geometry import TRAVEL, Reach, Survey
from fitment.kits.card_row import CardRow, of_rack, rack_row
from fitment.kits.card_words import direction, hand, room, spline, threads

#: toe change of one wheel in 25 mm of bump or droop, deg: the good band of our own choice, no authority behind it
TOE_LIMIT = 0.06
#: how far the lock of the inner wheel may differ from the present one, deg; our own choice
LOCK_SPREAD = 2.0

CAUTIONS = (
    "Dimensional compatibility only; not an approval. Nothing here says whether a part is sound.",
    "Which way it steers is to be confirmed on the bench before it is bought and on the car before it is driven.",
    "Rods, bars and housings are not to be cut, welded, bent or heated to meet a window; overall length over the outer"
    " joints says nothing of inner-joint spacing.",
    "Makers changed parts within a model's years: take the readings on the very one.",
)


@dataclass(frozen=True)
class Card:
    """The card of one target."""

    vehicle: FoundVehicle
    rows: tuple[CardRow, ...]
    cautions: tuple[str, ...]

    @property
    def search(self) -> list[str]:
        """The windows as ``DIM=RANGE`` in mm, for a search over the catalogue."""
        words = []
        for row in self.rows:
            if not row.dimension or not row.known:
                continue
            if row.kind == "word":
                words.append(f"{row.dimension}={row.word}")
            else:
                low, high = ("" if x is None else f"{x:.1f}" for x in (row.low, row.high))
                words.append(f"{row.dimension}={low}..{high}")
        return words


def rack_card(
    vehicle: FoundVehicle,
    fitted: Sequence[FoundPart],
    toe_limit: float,
    turns: tuple[float | None, float | None] | None,
    draws: Draws,
) -> Card:
    """The card of the rack that a target wants.

    Args:
        vehicle: the target with its survey.
        fitted: parts that were fitted to it.
        toe_limit: toe change of one wheel in 25 mm of bump or droop, degrees.
        turns: wanted turns lock to lock, least and most; None where not said.
        draws: samples of the surveyed values.
    """
    survey = Survey(vehicle.features, toe_limit, draws)
    stroke = survey.stroke(LOCK_SPREAD)
    body = vehicle.features["body"]
    rows = (
        _spacing(survey, toe_limit),
        _height(survey, toe_limit, vehicle.datums),
        _stroke(survey, stroke),
        _speed(stroke, turns),
        hand(body),
        *direction(survey, body),
        threads(fitted),
        spline(fitted),
        *room(body, fitted),
    )
    rows = tuple(_weak(row) for row in rows)
    return Card(vehicle, rows, (*vehicle.cautions, *CAUTIONS))


def _weak(row: CardRow) -> CardRow:
    """A window that rests on hearsay, or on the left side alone, says so."""
    weak = [use for use in row.uses if use.hearsay or use.assumed]
    if not weak:
        return row
    told = ", ".join(f"{use.feature} {use.dimension}" for use in weak)
    kind = "hearsay" if any(use.hearsay for use in weak) else "an assumption"
    return replace(row, rests_on=f"{row.rests_on}; on {kind} ({told}): measure the car first")


def _told(reach: Reach, more: Iterable[str]) -> str:
    leading = reach.leading
    doubt = f"survey, u {reach.u:.1f} mm"
    if leading is not None:
        doubt += f", most of it from {leading.feature} {leading.dimension}"
    return "; ".join((doubt, *more, *reach.notes))


def _windowed(row: CardRow, reach: Reach | None, gaps: Iterable[Gap], more: Iterable[str]) -> CardRow:
    if reach is None:
        gaps = tuple(gaps)
        return replace(
            row, gaps=gaps, rests_on="" if gaps else "the surveyed points do not close: check them on the car"
        )
    row = replace(row, ideal=reach.value, u=reach.u, uses=reach.uses, rests_on=_told(reach, more))
    # tenths of a millimetre are as fine as a rule is read; rounded inwards
    low = None if reach.low is None else math.ceil(reach.low * 10) / 10
    high = math.floor(reach.high * 10) / 10
    if low is not None and low > high:
        return replace(row, rests_on=f"no window: the survey leaves more doubt than the limit; {row.rests_on}")
    return replace(row, low=low, high=high)


def _limit(toe_limit: float) -> str:
    whose = " (our own choice)" if toe_limit == TOE_LIMIT else ""
    return f"toe change of {toe_limit:g} deg{whose} per wheel in {TRAVEL:g} mm of travel, half of it for this"


def _spacing(survey: Survey, toe_limit: float) -> CardRow:
    row = rack_row(
        "inner-joint spacing",
        "inner-spacing",
        "toe would change more than that over bumps, and other rods or outer joints do not mend it",
    )
    came = survey.as_it_came()
    more = (_limit(toe_limit), *((f"{came:.0f} mm as the car came",) if came else ()))
    return _windowed(row, survey.spacing(), survey.suspension_gaps, more)


def _height(survey: Survey, toe_limit: float, datums: Sequence[str]) -> CardRow:
    above = f"above {' / '.join(datums)}" if datums else "above the survey's datum"
    row = CardRow(
        "height of the inner joints",
        "",
        "length",
        f"on the car, {above}: bar axis over the mounting face (read it on the rack) plus the face's own height",
        of_rack("axis-height").tool,
        "no mount within reach puts the bar there; a shim is easier than another rack",
    )
    return _windowed(row, survey.height(), survey.suspension_gaps, (_limit(toe_limit), "at the ideal spacing"))


def _stroke(survey: Survey, stroke: Reach | None) -> CardRow:
    row = rack_row("rack travel", "travel", "less and the car turns wider than now, more and it needs lock stops")
    more = (f"lock of the inner wheel as now, give or take {LOCK_SPREAD:g} deg (our own choice)",)
    return _windowed(row, stroke, survey.lock_gaps, more)


def _speed(stroke: Reach | None, turns: tuple[float | None, float | None] | None) -> CardRow:
    row = rack_row("rack speed", "speed", "the turns lock to lock would not be those wanted")
    if turns is None:
        return replace(row, word="free", dimension="", stop="it is not written down", rests_on="say --turns to have it")
    if stroke is None:
        return replace(row, gaps=(Gap("the survey", "rack travel", "see the row above"),))
    least, most = turns
    return replace(
        row,
        low=stroke.value / most if most else None,
        high=stroke.value / least if least else None,
        rests_on=f"travel of {stroke.value:.0f} mm over the turns wanted",
        uses=stroke.uses,
    )
