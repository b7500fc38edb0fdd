"""Dataclasses whose freezing is the type checker's: in all else alike to those of the standard library."""

from __future__ import annotations

import dataclasses
import pickle
import subprocess
import sys
from dataclasses import fields, replace
from pathlib import Path
from typing import Any

import pytest

from fitment import frozen


def made(dataclass: Any, **options: Any) -> Any:
    @dataclass(frozen=True, **options)
    class Pair:
        first: int
        second: str = "b"

    return Pair


def hashed(dataclass: Any) -> Any:
    @dataclass(frozen=True)
    class Own:
        first: int

        def __hash__(self) -> int:
            return 7

    return Own


@pytest.mark.parametrize("options", [{}, {"slots": True}, {"eq": False}, {"order": True}, {"kw_only": True}])
def test_alike_to_the_library_but_for_the_freezing(options: dict[str, bool]) -> None:
    ours, theirs = made(frozen.dataclass, **options), made(dataclasses.dataclass, **options)
    one, same, other = (ours(first=number) for number in (1, 1, 2))
    this, too, another = (theirs(first=number) for number in (1, 1, 2))
    assert [field.name for field in fields(one)] == [field.name for field in fields(this)]
    assert repr(one) == repr(this)
    assert (one == same, one == other) == (this == too, this == another)
    assert (hash(one) == hash(same)) == (hash(this) == hash(too))
    assert len({one, same, other}) == len({this, too, another})
    assert hasattr(one, "__dict__") == hasattr(this, "__dict__")
    assert replace(one, second="c").second == "c"


def test_a_hash_of_its_own_stays() -> None:
    assert hash(hashed(frozen.dataclass)(1)) == hash(hashed(dataclasses.dataclass)(1)) == 7


@frozen.dataclass(frozen=True, slots=True)
class Slotted:
    first: int


def test_slots_are_pickled() -> None:
    assert pickle.loads(pickle.dumps(Slotted(1))) == Slotted(1)


def test_the_type_checker_refuses_an_assignment(tmp_path: Path) -> None:
    file = tmp_path / "changed.py"
    file.write_text(
        "from fitment.frozen import dataclass\n\n@dataclass(frozen=True)\nclass One:\n    size: float\n\n"
        "one = One(1.0)\none.size = 2.0\n",
        encoding="utf-8",
    )
    cache = str(tmp_path / "cache")
    told = subprocess.run(
        [sys.executable, "-m", "mypy", "--strict", "--cache-dir", cache, str(file)], capture_output=True, text=True
    )
    assert 'Property "size" defined in "One" is read-only' in told.stdout
    assert told.returncode == 1
