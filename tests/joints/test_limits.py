"""The limits file, and the pages of the rules that hold margins against it."""

from __future__ import annotations

import re

import pytest

from fitment.errors import DataFault
from fitment.joints.kinds import all_rules, joint_kinds
from fitment.joints.limits import default_limits, limit_range


def test_every_limit_says_what_it_rests_on() -> None:
    limits = default_limits()
    assert limits
    for name, limit in limits.items():
        assert limit.name == name
        assert limit.title
        # none of them has an authority behind it, and each must say so
        assert "no source" in limit.source
        assert not limit.overridden


def test_the_values_of_the_trade() -> None:
    values = {name: limit.value for name, limit in default_limits().items()}
    assert values["engagement_factor"] == 1.0  # steel in steel 1 d: common practice, no source
    assert values["adjuster_factor"] == 1.5  # steering adjusters 1.5 d: common practice, no source
    assert values["contact_fraction"] == 0.75  # blueing over 75 %: common practice, no source
    assert values["nut_reserve_pitches"] == 1.0  # one pitch under the nut: common practice, no source
    assert values["wall_ratio"] == 0.5  # wall half the large end: common practice, no source
    assert 1.5 <= values["sleeve_wall"] <= 2.0  # trade floor 1.5 to 2 mm: common practice, no source
    assert values["eye_oval"] == 0.05  # below 0.05 mm: common practice, no source
    assert values["draw_up"] == pytest.approx(0.248, abs=0.003)  # 40 N·m on M12 at 1:10: computed


def test_every_limit_has_a_range_that_holds_its_value() -> None:
    for name, limit in default_limits().items():
        low, high = limit_range(name)
        assert low <= limit.value <= high
        assert low < high
    # own reasoning, no source
    assert (limit_range("contact_fraction"), limit_range("stand_off_min")) == ((0.5, 1.0), (-2.0, 20.0))
    with pytest.raises(DataFault, match="there is no limit 'wall_ration'"):
        limit_range("wall_ration")


def test_a_caller_may_override_without_changing_the_defaults() -> None:
    mine = default_limits()
    mine.clear()
    assert default_limits()


def test_every_rule_has_a_full_page_and_names_only_limits_that_exist() -> None:
    words = {name: name for name in default_limits()}
    counts = {"thread": 8, "cone": 9, "spline": 10, "pattern": 6}
    expected = {name: [f"{name}-{n:02}" for n in range(count)] for name, count in counts.items()}
    found = {name: [code for code in all_rules() if code.startswith(f"{name}-")] for name in counts}
    assert found == expected
    for code, rule in all_rules().items():
        assert rule.code == code
        for page in (rule.title, rule.checks, rule.formula, rule.source, rule.limits, rule.leaves_out):
            assert page, code
        for word in re.findall(r"[a-z]+(?:_[a-z]+)+", rule.limits):
            assert word in words, (code, word)


def test_kinds_are_found_by_name() -> None:
    assert all(name == kind.name for name, kind in joint_kinds().items())
    assert {"thread", "stud-in-eye", "spline"} <= set(joint_kinds())
