"""A smaller doubt about the same value never turns "does not fit" into "fits"."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitment.doubt import Draws, judged, margin_of
from fitment.finding import Basis, Use, Verdict
from fitment.joints.kinds import joint_kinds
from fitment.joints.registration import Feature
from tests.support.features import by_rule, feature, setting

FITS, DOES_NOT_FIT = Verdict.FITS, Verdict.DOES_NOT_FIT


def tightened(one: Feature, factor: float) -> Feature:
    """The feature with every doubt smaller by a factor, every value held."""
    uses = {name: replace(use, u=None if use.u is None else use.u * factor) for name, use in one.values.items()}
    return replace(one, values=uses)


@given(
    st.floats(-0.5, 0.5),
    st.floats(0.001, 0.3),
    st.floats(0.0, 1.0),
    st.sampled_from(["normal", "rectangular", "t3", "t4.5"]),
)
def test_of_a_margin(over: float, u: float, factor: float, shape: str) -> None:
    def verdict(doubt: float) -> Verdict:
        use = Use("TEST/RE-1 stud", "large", 15.0 + over, doubt, "mm", Basis.MEASURED, shape=shape)
        return judged(margin_of(Draws(500).of(use) - 15.0, "mm"))

    if verdict(u) is DOES_NOT_FIT:
        assert verdict(u * factor) is not FITS


@given(
    large=st.floats(14.0, 16.0),
    taper=st.sampled_from([0.1, 0.105, 0.125]),
    thick=st.floats(8.0, 24.0),
    u=st.floats(0.003, 0.2),
    factor=st.floats(0.01, 1.0),
)
def test_of_every_rule_of_a_stud_in_an_eye(large: float, taper: float, thick: float, u: float, factor: float) -> None:
    stud = feature(
        "TEST/RE-1 stud",
        "stud",
        u=u,
        taper_u=u / 20,
        **{"large": 15.0, "taper": 0.1, "length": 17.5, "thread": "M12x1.25", "thread_start": 17.8, "end": 38.0},
    )
    eye = feature(
        "TEST/KN-1 eye", "eye", u=u, taper_u=u / 20, **{"large": large, "taper": taper, "thick": thick, "opens": "down"}
    )
    kind = joint_kinds()["stud-in-eye"]

    def verdicts(*pair: Feature) -> dict[str, Verdict]:
        found = by_rule(kind.check(*pair, setting(400, enters="below", nut="DIN 935")))
        return {code: finding.verdict for code, finding in found.items()}

    before, after = verdicts(stud, eye), verdicts(tightened(stud, factor), tightened(eye, factor))
    turned = [code for code in before.keys() & after.keys() if (before[code], after[code]) == (DOES_NOT_FIT, FITS)]
    assert turned == []


@pytest.mark.parametrize("over", [-0.3, -0.05])
def test_it_may_turn_not_known_into_does_not_fit(over: float) -> None:
    wide, narrow = (
        judged(margin_of(Draws(2000).of(Use("TEST/RE-1 stud", "large", over, u, "mm", Basis.MEASURED)), "mm"))
        for u in (0.5, 0.01)
    )
    assert (wide, narrow) == (Verdict.NOT_KNOWN, DOES_NOT_FIT)
