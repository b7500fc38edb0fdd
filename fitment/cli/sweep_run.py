"""How a sweep is run: on the cores of this machine or on a Dask cluster; its journal, from which it goes on."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import IO, Any

from fitment.errors import DataFault, FitmentError, StorageFault, UsageFault
from fitment.kits.sweep import Stamp, Sweep, row_of

#: a row with its number among the pairs, and the state of the catalogue behind it
Made = tuple[int, Stamp, tuple[str, ...]]
#: makes the rows of some pairs, given their numbers, in any order
Engine = Callable[[str | None, Sweep, Sequence[int]], Iterator[Made]]


def made(place: str | None, asked: Sweep, number: int) -> Made:
    """The row of a pair by its number; what other processes run."""
    stamp, row = row_of(place, asked, *asked.pairs[number])
    return number, stamp, row


def on_cores(workers: int) -> Engine:
    """Runs on this machine, in so many processes."""

    def run(place: str | None, asked: Sweep, numbers: Sequence[int]) -> Iterator[Made]:
        from concurrent.futures import ProcessPoolExecutor, as_completed
        from concurrent.futures.process import BrokenProcessPool
        from multiprocessing import get_context

        pool = ProcessPoolExecutor(min(workers, len(numbers)), get_context("spawn"), initializer=_end_with_parent)
        with pool:
            waiting = [pool.submit(made, place, asked, number) for number in numbers]
            try:
                for one in as_completed(waiting):
                    yield one.result()
            except BrokenProcessPool:
                raise StorageFault(
                    "a process of the sweep was ended from outside, or had no memory left",
                    mending="--resume goes on from there, with fewer --workers if memory was short",
                    code="sweep-04",
                ) from None
            finally:
                pool.shutdown(wait=True, cancel_futures=True)

    return run


def _end_with_parent() -> None:
    """A worker whose parent was killed would wait for work for ever."""
    import threading
    from multiprocessing import parent_process

    def watch() -> None:
        if parent := parent_process():
            parent.join()
            os._exit(1)

    threading.Thread(target=watch, daemon=True).start()


def on_cluster(address: str) -> Engine:
    """Runs on the Dask cluster whose scheduler has this address; its workers reach the catalogue by the same name."""

    def run(place: str | None, asked: Sweep, numbers: Sequence[int]) -> Iterator[Made]:
        try:
            import distributed
        except ModuleNotFoundError:
            raise UsageFault(
                "--scheduler needs the extra cluster", mending='pip install "fitment[cluster]"', code="sweep-05"
            ) from None
        dask: Any = distributed
        try:
            client = dask.Client(address, timeout="10s", set_as_default=False)
        except (OSError, ValueError) as error:
            raise StorageFault(
                f"no scheduler answers at {address} ({type(error).__name__})",
                mending="start one, or look at the address: tcp://HOST:8786",
                code="sweep-06",
            ) from None
        with client:
            # what was swept before may have met another catalogue under the same name: nothing is taken from the cache
            waiting = [client.submit(made, place, asked, number, pure=False) for number in numbers]
            try:
                for one in dask.as_completed(waiting, loop=client.loop):
                    yield _answer(one)
            finally:
                client.cancel(waiting)

    return run


def _answer(future: Any) -> Made:
    """What a worker of a cluster made.

    Raises:
        FitmentError: as the worker; whatever else goes wrong on another machine is a fault of the cluster.
    """
    try:
        made_there: Made = future.result()
    except FitmentError:
        raise
    except Exception as error:
        first = (str(error).splitlines() or [""])[0]
        raise StorageFault(
            f"a worker of the cluster failed ({type(error).__name__}: {first})",
            mending="look whether every worker has this fitment and reaches the catalogue; then --resume",
            code="sweep-13",
        ) from None
    return made_there


class Journal:
    """Rows as they are made, beside the output, each line whole; taken away when the output is written.

    Attributes:
        path: the journal of an output.
        rows: the rows that it holds, by number.
    """

    def __init__(self, output: Path, heading: dict[str, Any]):
        self.path = output.with_name(f"{output.name}.journal")
        self._heading = json.loads(json.dumps(heading))
        self.rows: dict[int, tuple[str, ...]] = {}

    def read(self, resume: bool) -> None:
        """Takes up what an earlier run left.

        Raises:
            UsageFault: there is a journal and nobody asked to go on.
            DataFault: it is of another question or another state of the catalogue, or damaged.
        """
        if not self.path.exists():
            return
        if not resume:
            raise UsageFault(
                "a sweep was broken off here",
                place=str(self.path),
                mending="go on with --resume, or take the file away to begin anew",
                code="sweep-07",
            )
        # a kill may leave half of the last line, and a line is nothing without its end
        lines = self.path.read_bytes().split(b"\n")[:-1]
        for number, line in enumerate(lines, 1):
            try:
                self._take(json.loads(line), number)
            except (ValueError, TypeError, KeyError, AttributeError):
                raise self._fault("this line is no line of a journal", number) from None

    def _take(self, told: Any, number: int) -> None:
        if number == 1:
            if told != self._heading:
                differing = sorted(name for name in self._heading if told.get(name) != self._heading[name])
                raise self._fault(f"the journal is of another sweep; differing: {', '.join(differing)}", 1)
            return
        self.rows[int(told["pair"])] = tuple(map(str, told["row"]))

    def _fault(self, message: str, line: int) -> DataFault:
        return DataFault(
            message,
            place=f"{self.path}:{line}",
            mending="ask as before, or take the file away to begin anew",
            code="sweep-08",
        )

    @contextmanager
    def writing(self) -> Iterator[IO[str]]:
        """The journal, open for further lines.

        Raises:
            StorageFault: it cannot be written.
        """
        try:
            whole = [self._heading, *({"pair": number, "row": row} for number, row in self.rows.items())]
            with self.path.open("w", encoding="utf-8") as file:
                file.writelines(map(_line, whole))
                file.flush()
                yield file
        except OSError as error:
            raise StorageFault(
                f"cannot be written: {error.strerror}",
                place=str(self.path),
                mending="make room, or name a folder of yours; then --resume",
                code="sweep-09",
            ) from None

    def add(self, file: IO[str], number: int, row: tuple[str, ...]) -> None:
        """Keeps a row."""
        self.rows[number] = row
        file.write(_line({"pair": number, "row": row}))
        file.flush()


def _line(told: dict[str, Any]) -> str:
    return json.dumps(told, ensure_ascii=False) + "\n"


def swept(
    place: str | None,
    asked: Sweep,
    stamp: Stamp,
    engine: Engine,
    journal: Journal,
    tell: Callable[[str, int, int], None],
) -> list[tuple[str, ...]]:
    """Every row in the order of the pairs; those of the journal are not made again.

    Raises:
        StorageFault: the catalogue changed meanwhile, or as the engine.
    """
    pairs = asked.pairs
    numbers = [number for number in range(len(pairs)) if number not in journal.rows]
    if numbers:
        with journal.writing() as file:
            tell("pairs", len(journal.rows), len(pairs))
            for number, found, row in engine(place, asked, numbers):
                if tuple(found) != stamp:
                    raise StorageFault(
                        "the catalogue was changed during the sweep",
                        mending="take the journal away and begin anew while nobody writes, or sweep a copy",
                        code="sweep-10",
                    )
                journal.add(file, number, row)
                tell("pairs", len(journal.rows), len(pairs))
    return [journal.rows[number] for number in range(len(pairs))]
