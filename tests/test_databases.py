"""The databases that the tests run on: empty for each test, on both kinds, and never quietly left out."""

from __future__ import annotations

from pathlib import Path

import pytest
from sqlalchemy import create_engine, inspect, text

from tests.support import postgres

pytest_plugins = ["pytester"]

NOT_RUN = (
    "NOT RUN: 2 PostgreSQL tests (no server binaries found). "
    "To run them: install Debian's postgresql package (or PostgreSQL 15+) and run again."
)


@pytest.mark.parametrize("turn", ["first", "second"])
def test_each_test_gets_an_empty_database_of_the_kind_it_asked_for(
    database_url: str, turn: str, request: pytest.FixtureRequest
) -> None:
    engine = create_engine(database_url)
    assert inspect(engine).get_table_names() == []
    with engine.begin() as connection:
        connection.execute(text("CREATE TABLE left_over (number INTEGER)"))
    assert inspect(engine).get_table_names() == ["left_over"]
    assert engine.dialect.name in request.node.callspec.id
    engine.dispose()


@pytest.mark.server
def test_the_server_runs_as_an_ordinary_user_and_sorts_as_people_do(postgres_server: postgres.Server) -> None:
    assert (postgres_server.folder / "data").stat().st_uid != 0
    with postgres_server.fresh_database() as url:
        engine = create_engine(url)
        with engine.connect() as connection:
            words = "SELECT word FROM (VALUES ('b'), ('A'), ('a'), ('B')) AS words (word) ORDER BY word"
            assert connection.execute(text(words)).scalars().all() == ["a", "A", "b", "B"]
        engine.dispose()


@pytest.fixture
def two_server_tests(pytester: pytest.Pytester, monkeypatch: pytest.MonkeyPatch) -> pytest.Pytester:
    """A run of one test on both kinds of database and one on PostgreSQL alone, where there are no server binaries."""
    monkeypatch.setattr(postgres, "server_binaries", lambda: None)
    pytester.makeini("[pytest]\nmarkers = server")
    pytester.makeconftest((Path(__file__).parent / "conftest.py").read_text(encoding="utf-8"))
    pytester.makepyfile(
        """
        import pytest

        def test_on_both(database_url):
            pass

        @pytest.mark.server
        def test_on_server(postgres_server):
            pass
        """
    )
    return pytester


def test_without_a_server_a_newcomer_passes_and_is_told(
    two_server_tests: pytest.Pytester, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("CI", raising=False)
    result = two_server_tests.runpytest_inprocess()
    result.assert_outcomes(passed=1, deselected=2)
    assert result.ret == 0
    assert result.outlines.count(NOT_RUN) == 1


def test_without_a_server_continuous_integration_fails(
    two_server_tests: pytest.Pytester, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CI", "true")
    result = two_server_tests.runpytest_inprocess()
    assert result.ret == 1
    assert result.outlines.count(NOT_RUN) == 1


def test_server_tests_that_nobody_asked_for_are_not_missed(
    two_server_tests: pytest.Pytester, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CI", "true")
    result = two_server_tests.runpytest_inprocess("-m", "not server")
    assert result.ret == 0
    assert "NOT RUN" not in result.stdout.str()
