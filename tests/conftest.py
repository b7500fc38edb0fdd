"""Shared by all tests: how hard Hypothesis tries, a database of each kind, and hands off the user's own files.

A test that takes `database_url` runs on SQLite and on PostgreSQL; one that takes `browser` opens pages in Chromium.
Where there is no PostgreSQL server or no Chromium, these tests are left out and the summary says so in one line; under
CI=true that is a failure.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

from tests.support import browser as chromium
from tests.support import postgres

# A deadline measures the machine, not the code. CI tries the same examples each time, so that a red run means a change.
settings.register_profile("default", max_examples=100, deadline=None)
settings.register_profile("ci", max_examples=200, deadline=None, derandomize=True, print_blob=True)
settings.register_profile("night", max_examples=2000, deadline=None, print_blob=True)
settings.load_profile(os.environ.get("FITMENT_HYPOTHESIS", "default"))

NOT_RUN = pytest.StashKey[list[str]]()

#: mark -> whose tests they are, what is missing for them, how to come by it
NEEDS = {
    "server": (
        "PostgreSQL",
        postgres.what_is_missing,
        f"install Debian's postgresql package (or PostgreSQL {postgres.OLDEST}+) and run again",
    ),
    "browser": (
        "browser",
        chromium.what_is_missing,
        "install Debian's chromium and chromium-driver packages and run again",
    ),
}


@pytest.fixture(scope="session", autouse=True)
def _not_the_users_own(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """No test reads or writes the catalogue, settings or history of whoever runs it, nor minds their settings."""
    with pytest.MonkeyPatch.context() as patch:
        for place in ("CONFIG", "DATA", "STATE"):
            patch.setenv(f"XDG_{place}_HOME", str(tmp_path_factory.mktemp(place.lower())))
        for name in ("FITMENT_DB", "NO_COLOR", "FORCE_COLOR", "COLUMNS"):
            patch.delenv(name, raising=False)
        yield


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[postgres.Server]:
    """The session's PostgreSQL server, started by the first test that needs it."""
    with postgres.running_server() as server:
        yield server


@pytest.fixture(scope="session")
def browser() -> Iterator[chromium.Browser]:
    """The session's browser, started by the first test that needs it; such tests are marked `browser`."""
    with chromium.running_browser() as running:
        yield running


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=pytest.mark.server)])
def database_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """The URL of an empty database of the test's own; the test runs once on each kind."""
    if request.param == "sqlite":
        yield f"sqlite:///{(tmp_path / 'catalogue.db').as_posix()}"
    else:
        with request.getfixturevalue("postgres_server").fresh_database() as url:
            yield url


@pytest.hookimpl(trylast=True)  # after -m and -k have had their say
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    for mark, (whose, what_is_missing, mending) in NEEDS.items():
        needing = [item for item in items if item.get_closest_marker(mark)]
        if needing and (missing := what_is_missing()):
            config.hook.pytest_deselected(items=needing)
            items[:] = [item for item in items if item not in needing]
            tests = "test" if len(needing) == 1 else "tests"
            told = f"NOT RUN: {len(needing)} {whose} {tests} ({missing}). To run them: {mending}."
            config.stash.setdefault(NOT_RUN, []).append(told)


@pytest.hookimpl(trylast=True)
def pytest_sessionfinish(session: pytest.Session) -> None:
    config = session.config
    if NOT_RUN not in config.stash:
        return
    if hasattr(config, "workeroutput"):  # one of several processes (pytest-xdist): the first one has the screen
        config.workeroutput["not_run"] = config.stash[NOT_RUN]
    elif os.environ.get("CI") == "true":
        session.exitstatus = pytest.ExitCode.TESTS_FAILED


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any) -> None:
    if "not_run" in getattr(node, "workeroutput", {}):
        node.config.stash[NOT_RUN] = node.workeroutput["not_run"]


def pytest_terminal_summary(terminalreporter: Any, config: pytest.Config) -> None:
    for line in config.stash.get(NOT_RUN, []):
        terminalreporter.write_line(line, red=True, bold=True)
