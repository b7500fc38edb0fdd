"""``fitment steer --svg`` and ``--png``: files as asked for, whole, and never over something else."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from fitment.cli.new_file import write_new
from fitment.errors import DataFault, StorageFault
from tests.cli.test_steer import asked, shop

__all__ = ["shop"]


def test_the_page_is_written_beside_the_answer(shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    svg, png = tmp_path / "page.svg", tmp_path / "page.png"
    assert asked(shop, "rebuilt.toml", "--svg", str(svg), "--png", str(png)) == 0
    out, err = capsys.readouterr()
    assert "Bump and rebound" in out
    assert f"drawn in {svg}" in err
    assert f"drawn in {png}" in err
    assert svg.read_text(encoding="utf-8").startswith("<?xml")
    assert png.read_bytes().startswith(b"\x89PNG")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["page.png", "page.svg"]
    # the same page over itself is no harm
    assert asked(shop, "rebuilt.toml", "--svg", str(svg)) == 0


def test_nothing_is_written_over_something_else(shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    svg, png = tmp_path / "page.svg", tmp_path / "page.png"
    png.write_text("mine")
    assert asked(shop, "rebuilt.toml", "--svg", str(svg), "--png", str(png)) == 65
    out, err = capsys.readouterr()
    assert out == ""
    assert err == (
        f"fitment: {png}: there is a file of that name already [export-01]\n  name another, or take it away\n"
    )
    assert png.read_text() == "mine"
    assert not svg.exists()


def test_two_forms_do_not_go_into_one_file(shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    page = str(tmp_path / "page")
    assert asked(shop, "rebuilt.toml", "--svg", page, "--png", page) == 2
    assert "--svg and --png name one file [steer-04]" in capsys.readouterr().err
    assert not Path(page).exists()


def test_no_page_where_no_curve_can_be_worked_out(
    shop: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    png = tmp_path / "page.png"
    assert asked(shop, "bare.toml", "--png", str(png)) == 4
    assert f"{png} not drawn: no curve can be worked out" in capsys.readouterr().err
    assert not png.exists()


def test_a_folder_that_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(StorageFault, match="cannot be written: No such file or directory"):
        write_new({tmp_path / "none" / "page.svg": b"x"})


def test_no_half_file_is_left(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(self: Path, target: Path) -> Path:
        raise OSError(28, os.strerror(28))

    monkeypatch.setattr(Path, "replace", broken)
    with pytest.raises(StorageFault):
        write_new({tmp_path / "page.svg": b"x"})
    assert list(tmp_path.iterdir()) == []


def test_a_folder_of_that_name_is_kept(tmp_path: Path) -> None:
    with pytest.raises(DataFault):
        write_new({tmp_path: b"x"})
