"""Several who write to one catalogue at once: nothing is lost, nothing doubled, the revision grows by each."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import sqlalchemy as sa

from fitment.catalogue.database import create, open_engine
from fitment.catalogue.verifying import verify

ROOT = Path(__file__).parents[2]
WRITERS, TIMES = 8, 4


def test_eight_at_once(database_url: str) -> None:
    create(database_url, "NORTH").dispose()
    words = [sys.executable, "-m", "tests.support.writer", database_url]
    running = [
        subprocess.Popen(
            [*words, str(number), str(TIMES)], cwd=ROOT, text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE
        )
        for number in range(WRITERS)
    ]
    told = [one.communicate(timeout=300) for one in running]
    assert [one.returncode for one in running] == [0] * WRITERS, [err for _, err in told]
    seen = [[int(line) for line in out.split()] for out, _ in told]
    assert all(len(one) == TIMES and sorted(set(one)) == one for one in seen)
    engine = open_engine(database_url)
    assert verify(engine) == []
    with engine.connect() as connection:

        def count(what: str) -> int:
            found: int = connection.execute(sa.text(f"SELECT count(*) FROM {what}")).scalar_one()
            return found

        assert connection.execute(sa.text("SELECT revision FROM catalogue")).scalar_one() == WRITERS * TIMES
        assert max(map(max, seen)) == WRITERS * TIMES
        assert count("part") == WRITERS * TIMES + 1
        assert count("sitting") == WRITERS + 1
        assert count("reading") == 2 * WRITERS * TIMES + 1
        shared = "adopted JOIN part ON part.id = adopted.part_id WHERE part.ref = 'RE-shared'"
        assert count(shared) == 1
    engine.dispose()
