"""Writing of what is ready while more is made ready: one piece of work at a time, in a second thread.

SQLite writes without holding up Python, so that a large import takes a fifth less time on two processors. A connection
is used by one thread at a time: a statement of any other, and a rollback, waits for the work.
"""

from __future__ import annotations

import threading
from collections.abc import Callable

import sqlalchemy as sa
from sqlalchemy.engine import Connection


class Beside:
    """Does work on a connection in another thread, until something else is asked of the connection.

    Args:
        connection: statements of others on it wait for the work, and so does its rollback; who commits waits first.
    """

    def __init__(self, connection: Connection):
        self._working: tuple[threading.Thread, threading.Event] | None = None
        self._fault: BaseException | None = None
        sa.event.listen(connection, "before_cursor_execute", lambda *_: self.wait())
        sa.event.listen(connection, "rollback", lambda *_: self._join())  # something has been raised already

    def do(self, work: Callable[[], None]) -> None:
        """Begins a piece of work, after the one before; where there is no thread to be had it is done here.

        Raises:
            Exception: what that one raised.
        """
        self.wait()
        go = threading.Event()
        thread = threading.Thread(target=self._run, args=(work, go), name="writing", daemon=True)
        try:
            thread.start()
        except RuntimeError:
            work()
            return
        # whoever is interrupted before this line leaves a thread that never goes, and after it one that is waited for
        self._working = thread, go
        go.set()

    def wait(self) -> None:
        """Waits for the work, if there is any.

        Raises:
            Exception: what it raised.
        """
        if not self._join():
            return
        fault, self._fault = self._fault, None
        if fault is not None:
            raise fault

    def _run(self, work: Callable[[], None], go: threading.Event) -> None:
        go.wait()
        try:
            work()
        except BaseException as fault:
            self._fault = fault

    def _join(self) -> bool:
        """Waits for the work, unless it is the work itself that asks; whether there was any."""
        if self._working is None or self._working[0] is threading.current_thread():
            return False
        thread, go = self._working
        go.set()
        thread.join()
        self._working = None
        return True
