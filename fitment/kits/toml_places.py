"""Where each key and value of a TOML text stands, which tomllib does not tell.

The text must already have been accepted by tomllib: this trusts its syntax and only walks over it (TOML 1.0.0).
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right

Path = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\n]|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_STRING = re.compile(r'"""(?:\\.|[^\\])*?"""(?!")' r"|'''.*?'''(?!')" r'|"(?:\\.|[^"\\\n])*"' r"|'[^'\n]*'", re.DOTALL)
_SCALAR = re.compile(r"[^,\]}#\n]+")


class Places:
    """Lines and columns, counted from 1, of what a text holds.

    Args:
        text: a TOML document that tomllib accepts.
    """

    def __init__(self, text: str):
        self._text = text.replace("\r\n", "\n")
        self._starts = [0, *(match.end() for match in re.finditer("\n", self._text))]
        self._at = 0
        self._arrays: dict[Path, int] = {}
        self.keys: dict[Path, tuple[int, int]] = {}
        self.values: dict[Path, tuple[int, int]] = {}
        self._document()

    def key(self, path: Path) -> tuple[int, int]:
        """Line and column of a key (of a table: in its heading); of the nearest known above it otherwise."""
        return self._known(path, self.keys)

    def value(self, path: Path) -> tuple[int, int]:
        """Line and column of a value; of the nearest known above it otherwise."""
        if path in self.values:
            return self.values[path]
        return self._known(path, self.keys)

    def _known(self, path: Path, where: dict[Path, tuple[int, int]]) -> tuple[int, int]:
        while path and path not in where:
            path = path[:-1]
        return where.get(path, (1, 1))

    def _position(self, offset: int) -> tuple[int, int]:
        line = bisect_right(self._starts, offset)
        return line, offset - self._starts[line - 1] + 1

    def _skip(self, pattern: re.Pattern[str]) -> str:
        match = pattern.match(self._text, self._at)
        if match is None:
            raise AssertionError(f"not TOML at {self._position(self._at)}")
        self._at = match.end()
        return match.group()

    def _takes(self, sign: str) -> bool:
        if not self._text.startswith(sign, self._at):
            return False
        self._at += len(sign)
        return True

    def _document(self) -> None:
        table: Path = ()
        self._skip(_BLANK)
        while self._at < len(self._text):
            if self._takes("[["):
                table = self._heading(array=True)
            elif self._takes("["):
                table = self._heading(array=False)
            else:
                self._pair(table)
            self._skip(_BLANK)

    def _heading(self, *, array: bool) -> Path:
        names = self._dotted()
        path: Path = ()
        for index, (name, position) in enumerate(names):
            path = (*path, name)
            self.keys.setdefault(path, position)
            if array and index == len(names) - 1:
                self._arrays[path] = self._arrays.get(path, -1) + 1
                path = (*path, self._arrays[path])
                self.keys[path] = position
            elif path in self._arrays:
                path = (*path, self._arrays[path])
        self._takes("]]" if array else "]")
        return path

    def _pair(self, table: Path) -> None:
        path = table
        for name, position in self._dotted():
            path = (*path, name)
            self.keys.setdefault(path, position)
        self._takes("=")
        self._skip(_SPACE)
        self._value(path)

    def _dotted(self) -> list[tuple[str, tuple[int, int]]]:
        names: list[tuple[str, tuple[int, int]]] = []
        while True:
            self._skip(_SPACE)
            position = self._position(self._at)
            if self._text[self._at] in "\"'":
                name = str(tomllib.loads(f"name = {self._skip(_STRING)}")["name"])
            else:
                name = self._skip(_BARE)
            names.append((name, position))
            self._skip(_SPACE)
            if not self._takes("."):
                return names

    def _value(self, path: Path) -> None:
        self.values[path] = self._position(self._at)
        if self._takes("["):
            index = 0
            self._skip(_BLANK)
            while not self._takes("]"):
                self._value((*path, index))
                index += 1
                self._skip(_BLANK)
                self._takes(",")
                self._skip(_BLANK)
        elif self._takes("{"):
            self._skip(_BLANK)
            while not self._takes("}"):
                self._pair(path)
                self._skip(_BLANK)
                self._takes(",")
                self._skip(_BLANK)
        elif self._text[self._at] in "\"'":
            self._skip(_STRING)
        else:
            self._skip(_SCALAR)
