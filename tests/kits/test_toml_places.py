"""Lines and columns of keys and values, held against tomllib on texts of every shape."""

from __future__ import annotations

import tomllib
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from fitment.kits.toml_places import Path, Places

TEXT = '''# a comment with [brackets] and "quotes"
name = "a # b"   # behind
"quoted key".sub = 'literal \\'

[rack]
position = {x = "0 mm", y = "1 mm"}
[left]
list = [
  "a, ]", # comment
  ["b"],
]
long = """
two " lines
"""
[[adapter]]
part = "A"
[[adapter]]
part = 1979-05-27 07:32:00
ends = [1, 2.5, true]
[adapter.deep]
x = 1
'''


def test_keys_and_values_are_found_where_they_stand() -> None:
    places = Places(TEXT)
    assert places.key(("name",)) == (2, 1)
    assert places.value(("name",)) == (2, 8)
    assert places.value(("quoted key", "sub")) == (3, 20)
    assert places.key(("quoted key", "sub")) == (3, 14)
    assert places.key(("rack",)) == (5, 2)
    assert places.key(("rack", "position", "y")) == (6, 25)
    assert places.value(("rack", "position", "y")) == (6, 29)
    assert places.value(("left", "list", 0)) == (9, 3)
    assert places.value(("left", "list", 1, 0)) == (10, 4)
    assert places.key(("left", "long")) == (12, 1)
    assert places.key(("adapter", 0)) == (15, 3)
    assert places.value(("adapter", 1, "part")) == (18, 8)
    assert places.value(("adapter", 1, "ends", 2)) == (19, 17)
    assert places.key(("adapter", 1, "deep", "x")) == (21, 1)


def test_what_is_not_there_is_placed_at_the_nearest_above_it() -> None:
    places = Places(TEXT)
    assert places.key(("rack", "sits")) == (5, 2)
    assert places.value(("rack", "sits")) == (5, 2)
    assert places.key(()) == (1, 1)


def test_windows_line_ends_count_as_one() -> None:
    assert Places('a = 1\r\nb = "x"\r\n').value(("b",)) == (2, 5)


def paths(value: Any, above: Path = ()) -> set[Path]:
    below = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return {above}.union(*(paths(inner, (*above, name)) for name, inner in below)) - {()}


def test_every_path_of_the_text_is_placed() -> None:
    places = Places(TEXT)
    assert paths(tomllib.loads(TEXT)) == places.keys.keys() | places.values.keys()


KEYS = st.text("ab-_1", min_size=1, max_size=4)
STRINGS = st.text("ab #[]{},=\"'\\\n", max_size=8).map(
    lambda text: '"' + text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n") + '"'
)
SCALARS = st.one_of(STRINGS, st.sampled_from(["1", "-2.5", "true", "1979-05-27", "'lit\"'", '"""x\n"" y"""']))
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(lambda items: "[" + ", ".join(items) + "]"),
        st.lists(inner, max_size=3).map(lambda items: "[ # c\n" + "".join(f" {item},\n" for item in items) + "]"),
        st.dictionaries(KEYS, inner, max_size=3).map(
            lambda pairs: "{" + ", ".join(f"{key} = {value}" for key, value in pairs.items()) + "}"
        ),
    ),
    max_leaves=8,
)


@given(st.dictionaries(KEYS, VALUES, max_size=4))
def test_paths_agree_with_tomllib(pairs: dict[str, str]) -> None:
    text = "".join(f"{key} = {value} # end\n" for key, value in pairs.items())
    places = Places(text)
    assert paths(tomllib.loads(text)) == places.keys.keys() | places.values.keys()
    lines = text.split("\n")
    for key, value in pairs.items():
        line, column = places.value((key,))
        assert "\n".join(lines[line - 1 :])[column - 1 :].startswith(value)
