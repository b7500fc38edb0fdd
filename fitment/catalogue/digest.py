"""The digest of what is known: the readings in force, what was decided between them, which parts were joined.

It is the sum of the SHA-256 of each one's uid, modulo 2^256, so that what is added or withdrawn changes it by one term
and nothing is ever read through for it. It tells two states apart that differ by chance or error; the sum is no defence
against somebody who makes up readings to match. `catalogue verify` sums it anew.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue.schema import CatalogueRow, DecisionRow, PartJoin, Reading, Withdrawal, table_of

_MODULUS = 1 << 256
_READINGS = (
    sa.select(Reading.uid)
    .outerjoin(Withdrawal, Withdrawal.reading_id == Reading.id)
    .where(Withdrawal.id.is_(None))
    .execution_options(yield_per=10_000)
)
_DECISIONS = sa.select(DecisionRow.uid)
_JOINS = sa.select(PartJoin.uid)
_CATALOGUE = table_of(CatalogueRow)


def term(sort: str, uid: str) -> int:
    """What one record adds to the digest.

    Args:
        sort: ``reading``, ``decision`` or ``join``.
        uid: its uid.
    """
    return int.from_bytes(hashlib.sha256(f"{sort} {uid}".encode()).digest(), "big")


def moved(digest: str, by: int) -> str:
    """The digest, 64 hexadecimal digits, after terms were added or (negative) taken away."""
    return f"{(int(digest, 16) + by) % _MODULUS:064x}"


def recounted(connection: Connection) -> str:
    """The digest, summed over every reading in force, every decision and every word on joining parts."""
    return moved(
        "0",
        _sum("reading", connection.execute(_READINGS).scalars())
        + _sum("decision", connection.execute(_DECISIONS).scalars())
        + _sum("join", connection.execute(_JOINS).scalars()),
    )


def _sum(sort: str, uids: Iterable[str]) -> int:
    return sum(term(sort, uid) for uid in uids)


def stored(connection: Connection) -> str:
    """The digest as the catalogue keeps it."""
    return str(connection.execute(sa.select(_CATALOGUE.c.digest)).scalar_one())


def store(connection: Connection, digest: str) -> None:
    """Keeps the digest."""
    connection.execute(sa.update(_CATALOGUE).values(digest=digest))
