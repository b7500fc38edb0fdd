"""A hardened spacer under the nut, where the stud is too long for the eye: its thickness and its bore."""

from __future__ import annotations

from dataclasses import replace

from fitment.elementwise import maximum, minimum
from fitment.finding import Figure, Finding, Verdict, Work
from fitment.joints.answering import formula, mm, size_of, spread
from fitment.joints.cone_seat import diameter_at
from fitment.joints.stud_nut_rules import nut_sizes, thread_end, washer
from fitment.joints.stud_seat_rules import Pair
from fitment.joints.stud_sizes import Seating
from fitment.joints.thread_ends import thread_of

SPACER = "spacer"

CERTIFY = "A spacer under the nut is not how its maker built the joint: let the certifier see it before it is fitted."


def with_spacer(pair: Pair, seated: Seating, findings: list[Finding]) -> list[Finding]:
    """The findings on nut and split pin, the first that fails saying what spacer would mend both.

    It stays a misfit until the kit states the spacer as its washer: one part more, not work on a part.
    """
    failing = next((one for one in findings if one.verdict is Verdict.DOES_NOT_FIT), None)
    proposal = None if failing is None else spacer_for(pair, seated)
    if failing is None or proposal is None:
        return findings
    if isinstance(proposal, str):
        told = replace(failing, cautions=(*failing.cautions, proposal))
    else:
        told = replace(failing, work=(proposal,), cautions=(*failing.cautions, CERTIFY))
    return [told if one is failing else one for one in findings]


def spacer_for(pair: Pair, seated: Seating) -> Work | str | None:
    """The spacer with which the nut bears on full thread and the split pin meets its slot.

    Thickness from max(xt + draw-up + reserve, xp + draw-up + dp/2 - m) - (H + a) to min(xp - dp/2 - w, last full
    thread - w) - (H + a), w the slot base: cone-05, cone-06 and cone-08 solved for the washer. Bore over the cone, or
    the thread, at the eye's small face.

    Returns:
        the work; why no spacer is named; None where a size is missing or known by hearsay alone.
    """
    thread = thread_of(pair.stud)
    if thread is None:
        return None
    start, hole, across = (size_of(pair.stud, name) for name in ("thread-start", "pin-hole", "pin-dia"))
    height, base, _ = nut_sizes(pair)
    H, a, draw_up = seated.eye.length, seated.stand_off, pair.limit("draw_up")
    reserve = pair.limit("nut_reserve_pitches") * thread.pitch
    least = formula(
        lambda xt, xp, dp, m, H, a: maximum(xt + reserve, xp + dp / 2 - m) + draw_up - H - a,
        *(start, hole, across, height, H, a),
    )
    most = formula(
        lambda xp, dp, last, ws, H, a: minimum(xp - dp / 2, last) - ws - H - a,
        *(hole, across, thread_end(pair, thread), base, H, a),
    )
    bore = formula(
        lambda D, C, L, H, a: maximum(diameter_at(D, C, minimum(H + a, L)), thread.nominal),
        *(seated.stud.large, seated.stud.ratio, seated.stud.length, H, a),
    )
    sizes = (least, most, bore)
    if not all(size.known for size in sizes) or any(use.hearsay or use.assumed for size in sizes for use in size.uses):
        return None
    return _named(
        pair,
        (least.central, most.central),
        (spread(least, pair.setting.draws)[1], spread(most, pair.setting.draws)[0]),
        bore.central,
    )


def _named(pair: Pair, window: tuple[float, float], sure: tuple[float, float], bore: float) -> Work | str | None:
    between = (
        f"the thread asks for {mm(window[0])} or more under the nut, the slots and the thread's end for "
        f"{mm(window[1])} or less"
    )
    if window[0] > window[1]:
        return f"No spacer under the nut of {pair.stud.name} would mend it: {between}."
    if sure[0] >= sure[1]:
        return f"Which spacer would mend the nut of {pair.stud.name} is not known, the sizes are too coarse: {between}."
    thick, now = sum(sure) / 2, washer(pair)
    if thick <= 0:
        return None
    instead = f" in place of the washer of {mm(now)}" if now else ""
    detail = (
        f"{mm(thick)} thick{instead} ({mm(sure[0])} to {mm(sure[1])} within the doubt of the readings), bore over "
        f"{mm(bore)}, hardened, in one piece, both faces flat and parallel: it must bear on the arm and the nut on it, "
        f"not on the cone; stated as the washer of this joint it is checked"
    )
    sizes = {"thick": thick, "thick_least": sure[0], "thick_most": sure[1], "bore_over": bore}
    figures = {name: Figure(value, None, "mm") for name, value in sizes.items()}
    return Work(SPACER, pair.stud.name, now, thick, "mm", None, detail, figures)
