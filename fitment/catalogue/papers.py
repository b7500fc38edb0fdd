"""Photographs and papers of a sitting or a build: where each is, and the SHA-256 of what it held when it was named.

The file itself stays where it is. A path below the catalogue's folder is kept relative to it, so that both can move.
"""

from __future__ import annotations

import hashlib
from pathlib import Path

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue.place import sqlite_file
from fitment.catalogue.records import Pen
from fitment.catalogue.schema import Build, BuildSitting, Paper, Sitting
from fitment.errors import NotFoundFault, StorageFault
from fitment.frozen import dataclass


@dataclass(frozen=True)
class PaperLine:
    """One photograph or paper; `state` is ``as it was``, ``changed`` or ``not there``."""

    of: str
    path: str
    digest: str
    state: str


def put_paper(pen: Pen, path: Path, owner: Sitting | Build) -> None:
    """Names a file as a paper of a sitting or a build, unless just that is on record.

    Raises:
        NotFoundFault: there is no such file.
        StorageFault: it cannot be read.
    """
    connection = pen.session.connection()
    digest = _digest(path)
    if digest is None:
        raise NotFoundFault("there is no such file", place=str(path), mending="name an existing one", code="paper-01")
    whole = path.resolve()
    folder = _folder(connection)
    stored = whole.relative_to(folder) if folder and whole.is_relative_to(folder) else whole
    said = {_column(owner): owner.id, "path": stored.as_posix(), "digest": digest}
    if pen.session.execute(sa.select(Paper.id).filter_by(**said)).first() is None:
        pen.session.add(Paper(**said))
        pen.session.flush()
        pen.added["paper"] += 1


def papers(connection: Connection, build_id: int | None = None) -> list[PaperLine]:
    """Every paper, or those of one build and of the sittings of its as-built readings, each looked at as it is now."""
    query = sa.select(
        Paper.path,
        Paper.digest,
        sa.func.coalesce(Build.shop, Sitting.shop).label("shop"),
        sa.func.coalesce(Build.ref, Sitting.ref).label("ref"),
        Paper.build_id,
    ).outerjoin(Build, Paper.build_id == Build.id)
    query = query.outerjoin(Sitting, Paper.sitting_id == Sitting.id).order_by(Paper.id)
    if build_id is not None:
        sittings = sa.select(BuildSitting.sitting_id).where(BuildSitting.build_id == build_id)
        query = query.where(sa.or_(Paper.build_id == build_id, Paper.sitting_id.in_(sittings)))
    folder = _folder(connection)
    return [
        PaperLine(
            f"{'sitting' if row.build_id is None else 'build'} {row.shop}/{row.ref}",
            row.path,
            row.digest,
            _state(folder / row.path if folder else Path(row.path), row.digest),
        )
        for row in connection.execute(query)
    ]


def changed_papers(connection: Connection) -> list[str]:
    """A line for each paper whose file is there and no longer holds what it held; one that is away is no fault."""
    return [
        f"{one.path} of {one.of} no longer holds what it held when it was named (SHA-256 {one.digest[:12]})"
        for one in papers(connection)
        if one.state == "changed"
    ]


def _column(owner: Sitting | Build) -> str:
    return "build_id" if isinstance(owner, Build) else "sitting_id"


def _folder(connection: Connection) -> Path | None:
    """The folder of a catalogue that is a file."""
    file = sqlite_file(str(connection.engine.url))
    return file.resolve().parent if file else None


def _digest(path: Path) -> str | None:
    """The SHA-256 of a file; None if it is not there.

    Raises:
        StorageFault: it cannot be read.
    """
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise StorageFault(
            f"cannot be read: {error.strerror}", place=str(path), mending="name a file you may read", code="paper-02"
        ) from None


def _state(path: Path, digest: str) -> str:
    try:
        now = _digest(path)
    except StorageFault:
        now = None
    return "not there" if now is None else "as it was" if now == digest else "changed"
