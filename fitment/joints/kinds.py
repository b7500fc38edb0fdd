"""Every kind of joint and every rule there is; a new kind of joint is one module and one line here."""

from __future__ import annotations

from functools import cache

from fitment.joints import stud_in_eye, thread_to_thread
from fitment.joints.registration import JointKind, Rule

_KINDS = (thread_to_thread.KIND, stud_in_eye.KIND)


@cache
def joint_kinds() -> dict[str, JointKind]:
    """Every kind of joint by its name."""
    return {kind.name: kind for kind in _KINDS}


@cache
def all_rules() -> dict[str, Rule]:
    """Every rule of every kind of joint by its code."""
    return {rule.code: rule for kind in _KINDS for rule in kind.rules}
