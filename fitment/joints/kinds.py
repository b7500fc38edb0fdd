"""Every kind of joint and every rule there is; a new kind of joint is one module and one line here."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from importlib import import_module

from fitment.joints.registration import JointKind, Rule

#: name of a kind -> module and name of its registration; a module is loaded when its kind is asked for
_PLACES = {
    "thread": "thread_to_thread.KIND",
    "stud-in-eye": "stud_in_eye.KIND",
    "spline": "spline_to_spline.KIND",
    "pattern": "pattern_to_pattern.KIND",
    "clamp": "clamp_on_tube.KIND",
    "clamp-bolts": "clamp_bolts.KIND",
    "bolt-in-eye": "bolt_in_eye.KIND",
    "boot-housing": "boot.HOUSING",
    "boot-rod": "boot.ROD",
    "sleeve": "sleeve_in_eye.KIND",
}


class _Kinds(Mapping[str, JointKind]):
    """The kinds by name, in the order of the table."""

    def __getitem__(self, name: str) -> JointKind:
        module, _, registration = _PLACES[name].partition(".")
        kind: JointKind = getattr(import_module(f"fitment.joints.{module}"), registration)
        return kind

    def __contains__(self, name: object) -> bool:
        return name in _PLACES

    def __iter__(self) -> Iterator[str]:
        return iter(_PLACES)

    def __len__(self) -> int:
        return len(_PLACES)


_KINDS = _Kinds()


def joint_kinds() -> Mapping[str, JointKind]:
    """Every kind of joint by its name; each loads its module when it is taken."""
    return _KINDS


@cache
def all_rules() -> dict[str, Rule]:
    """Every rule of every kind of joint by its code."""
    return {rule.code: rule for kind in _KINDS.values() for rule in kind.rules}
