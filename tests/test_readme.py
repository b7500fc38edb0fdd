"""The README's tour is what the program prints, and its commands are those that work."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from fitment.cli.main import answer

README = (Path(__file__).parents[1] / "README.md").read_text(encoding="utf-8")
TOUR = re.findall(r"^```console\n\$ fitment (?P<command>.*)\n(?P<output>(?:.*\n)*?)```$", README, re.MULTILINE)

#: files that the tour has its reader write: ```toml kit.toml
FILES = re.findall(r"^```\w+ (?P<name>\S+)\n(?P<text>(?:.*\n)*?)```$", README, re.MULTILINE)


def test_the_tour_prints_what_the_readme_shows(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1780000000")
    assert len(TOUR) >= 5
    for name, text in FILES:
        (tmp_path / name).write_text(text, encoding="utf-8")
    for command, shown in TOUR:
        answer(shlex.split(command))
        out = capsys.readouterr().out
        assert _own(out.rstrip()) == _own(shown.rstrip()), command
        (tmp_path / "sheets").mkdir(exist_ok=True)


def _own(text: str) -> str:
    """The text without the uid that a catalogue is given when it is made."""
    return re.sub(r"^Catalogue [0-9a-f]{8} ", "Catalogue ", text, flags=re.MULTILINE)


def test_every_command_is_mentioned(capsys: pytest.CaptureFixture[str]) -> None:
    answer(["--help"])
    listed = capsys.readouterr().out.split("Commands:\n")[1]
    for name in re.findall(r"^  (\w+) ", listed, re.MULTILINE):
        assert f"`fitment {name}" in README or f"$ fitment {name}" in README, name
