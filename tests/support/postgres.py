"""A PostgreSQL server of the tests' own: found, started on a private socket, stopped; one fresh database at a time.

Nothing here touches a server that is already on the machine. PostgreSQL refuses to run as root, so that root lends the
server's files and process to an unprivileged user; everybody else runs it as themselves.
"""

from __future__ import annotations

import importlib.util
import itertools
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

OLDEST = 15
SUPERUSER = "fitment"

# Linguistic sorting, as most servers have it and SQLite has not: an order left to the database shows up in a test.
LOCALE = ("--encoding=UTF8", "--locale=C", "--locale-provider=icu", "--icu-locale=en-GB")
NEW_CLUSTER = (*LOCALE, "--auth=trust", "--no-sync", "--no-instructions")

# Nothing in these databases outlives its test, so that nothing needs to reach the disk.
SETTINGS = """
listen_addresses = ''
unix_socket_directories = '{folder}'
unix_socket_permissions = 0700
fsync = off
synchronous_commit = off
full_page_writes = off
shared_buffers = 32MB
max_connections = 50
"""


def server_binaries() -> Path | None:
    """The folder that holds `initdb` and `pg_ctl` of the newest PostgreSQL that is new enough, or None."""
    folders = list(Path("/usr/lib/postgresql").glob("*/bin"))
    if on_path := shutil.which("initdb"):
        folders.append(Path(on_path).resolve().parent)
    versions = {folder: _version(folder) for folder in folders}
    newest = max(folders, key=versions.__getitem__, default=None)
    return newest if newest and versions[newest] >= OLDEST else None


def _version(folder: Path) -> int:
    """The major version of the server programs in `folder`; 0 where they are not all there."""
    if not all((folder / program).exists() for program in ("initdb", "pg_ctl", "postgres")):
        return 0
    said = subprocess.run([folder / "initdb", "--version"], capture_output=True, text=True, check=True).stdout
    number = re.search(r"\d+", said)
    return int(number[0]) if number else 0


def what_is_missing() -> str | None:
    """Why no server can be started here, in a few words; None if one can."""
    if sys.platform == "win32":
        return "the tests start a server on Linux and macOS only"
    if importlib.util.find_spec("psycopg") is None:
        return "psycopg is not installed"
    if server_binaries() is None:
        return "no server binaries found"
    return None


class Server:
    """A running server; its databases are made empty and dropped with all that is in them."""

    def __init__(self, folder: Path):
        import psycopg

        self.folder = folder
        self._names = (f"fitment_{number}" for number in itertools.count(1))
        self._connection = psycopg.connect(host=str(folder), user=SUPERUSER, dbname="postgres", autocommit=True)

    @contextmanager
    def fresh_database(self) -> Iterator[str]:
        """The URL, as SQLAlchemy reads it, of an empty database that is gone afterwards."""
        from psycopg import sql

        name = next(self._names)
        self._connection.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
        try:
            yield f"postgresql+psycopg://{SUPERUSER}@/{name}?host={self.folder}"
        finally:
            # FORCE: a test that failed half-way may have left a connection open.
            self._connection.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name)))

    def close(self) -> None:
        self._connection.close()


@contextmanager
def running_server() -> Iterator[Server]:
    """A server started in a folder of its own, and stopped and removed whatever happens in between."""
    binaries = server_binaries()
    if binaries is None:
        raise FileNotFoundError("no PostgreSQL server binaries")
    # Not the user's temporary folder: it may be closed to the unprivileged user, and too long a path for a socket.
    folder = Path(tempfile.mkdtemp(prefix="fitment-pg-", dir="/tmp"))
    data = folder / "data"
    as_user = _unprivileged(folder)
    try:
        _run([binaries / "initdb", "-D", data, "-U", SUPERUSER, *NEW_CLUSTER], as_user)
        with (data / "postgresql.conf").open("a", encoding="utf-8") as settings:
            settings.write(SETTINGS.format(folder=folder))
        log = folder / "log"
        _run([binaries / "pg_ctl", "-D", data, "-l", log, "-w", "-t", "60", "start"], as_user, log)
        try:
            server = Server(folder)
            try:
                yield server
            finally:
                server.close()
        finally:
            _run([binaries / "pg_ctl", "-D", data, "-m", "immediate", "-w", "stop"], as_user)
    finally:
        shutil.rmtree(folder)


def _unprivileged(folder: Path) -> dict[str, Any]:
    """What `subprocess` needs to run a program where the server may run; gives `folder` to that user."""
    settings: dict[str, Any] = {"cwd": folder}
    if os.geteuid() == 0:
        import pwd

        known = {entry.pw_name: entry for entry in pwd.getpwall()}
        user = known.get("postgres") or known["nobody"]
        os.chown(folder, user.pw_uid, user.pw_gid)
        settings |= {"user": user.pw_uid, "group": user.pw_gid, "extra_groups": []}
    return settings


def _run(command: list[Any], as_user: dict[str, Any], log: Path | None = None) -> None:
    """Runs a program of the server; what it said is in the error if it failed."""
    done = subprocess.run(command, text=True, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, **as_user)
    if done.returncode:
        logged = log.read_text(encoding="utf-8") if log and log.exists() else ""
        raise RuntimeError(f"{command[0]} failed with {done.returncode}:\n{done.stdout}{logged}")
