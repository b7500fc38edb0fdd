"""The tool as people get it: a wheel, in an environment of its own, with no checkout beside it."""

from __future__ import annotations

import os
import subprocess
import sys
import tomllib
import venv
import zipfile
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).parents[1]
SHIPPED = {"fitment": "fitment", "migrations": "fitment/_shipped/migrations", "data/demo": "fitment/_shipped/demo"}


def run(*command: str | Path, cwd: Path) -> str:
    """What `command` printed, run outside the checkout with nothing of it on the path."""
    environment = {name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "FITMENT_"))}
    done = subprocess.run(command, cwd=cwd, env=environment, text=True, capture_output=True)
    assert done.returncode == 0, f"{command}: exit {done.returncode}\n{done.stdout}\n{done.stderr}"
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Built from the source archive, which was built from the checkout: what the archive lacks, the wheel lacks."""
    into = tmp_path_factory.mktemp("dist")
    run(sys.executable, "-m", "build", "--no-isolation", "--outdir", into, CHECKOUT, cwd=into)
    (found,) = into.glob("*.whl")
    return found


def test_wheel_holds_all_that_the_tool_needs(wheel: Path) -> None:
    names = set(zipfile.ZipFile(wheel).namelist())
    for folder, inside in SHIPPED.items():
        files = [path for path in (CHECKOUT / folder).rglob("*") if path.is_file() and "__pycache__" not in path.parts]
        assert files, folder
        wanted = {f"{inside}/{path.relative_to(CHECKOUT / folder).as_posix()}" for path in files}
        assert wanted - names == set()
    assert {name.split("/")[0] for name in names} == {"fitment", wheel.name.rpartition("-py3")[0] + ".dist-info"}


def test_installed_wheel_builds_the_demo_far_from_the_checkout(wheel: Path, tmp_path: Path) -> None:
    venv.create(tmp_path / "env", with_pip=True)
    programs = tmp_path / "env" / ("Scripts" if sys.platform == "win32" else "bin")
    run(programs / "python", "-m", "pip", "install", "-q", "-c", CHECKOUT / "requirements.lock", wheel, cwd=tmp_path)

    version = tomllib.loads((CHECKOUT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["version"]
    assert version in run(programs / "fitment", "--version", cwd=tmp_path)

    run(programs / "fitment", "demo", "--into", tmp_path / "demo", cwd=tmp_path)
    kits = list((CHECKOUT / "data" / "demo").rglob("*.toml"))
    assert kits
    reports = {path.stem for path in (tmp_path / "demo").rglob("*.txt") if path.stat().st_size}
    assert {kit.stem for kit in kits} - reports == set()
