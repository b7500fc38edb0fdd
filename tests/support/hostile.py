"""Inputs that mean harm, or that a slip of the hand makes, put to everything that reads what users give.

A target takes bytes and may answer or raise a `FitmentError`, nothing else, within `LONGEST` seconds. Seeds are kept in
tests/corpus/TARGET.txt, a Python bytes literal a line: what people write, and what was once answered wrongly.
"""

from __future__ import annotations

import ast
import io
import json
import os
import random
import signal
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from pathlib import Path
from typing import Any

from fitment.errors import FitmentError

CORPUS = Path(__file__).parents[1] / "corpus"
#: seconds of processor time that any input may take: a busy machine is no fault of the input
LONGEST = 5.0

#: what has broken readers of text before: signs of formulas, of SQL, of paths, of markup; other digits; halves of pairs
NASTY = [
    *"0123456789-+±.,:;/=*^%#'\"()[]{}<>|\\@!?&$~`_ \t\n\r\0",
    *"½⅛٣\uff14°µ\u00d7\u2212\u2013\u2032\u2033\u202e\ufeff\u00a0\u2028é🔩\udc80",
    *[
        "1e999",
        "1e-999",
        "9" * 400,
        "0." + "0" * 400 + "1",
        "nan",
        "inf",
        "-0",
        "1/0",
        "0/0",
        "1_000",
        "0x10",
        "1,000.5",
    ],
    *["mm", "in", "deg", "M14x1.5", "LH", "u=", "±", "1:10", "per foot", "turns"],
    *[
        "=1+1",
        "@SUM(A1)",
        "+cmd|'/c x'!A0",
        "-2+3",
        "' OR 1=1 --",
        "; DROP TABLE reading",
        "../../etc/passwd",
        "/dev/zero",
    ],
    *["${7*7}", "{{7*7}}", "<script>", "%s%n", "\x1b[31m", "\\N", "A" * 3000, "(" * 300, "[" * 300, "a," * 300],
]


class Slow(BaseException):
    """An input took too long; not an `Exception`, so that nothing on the way takes it for one of its own."""


@contextmanager
def within(seconds: float) -> Iterator[None]:
    """Ends what takes longer.

    Raises:
        Slow: it did.
    """

    def late(_signal: int, _frame: Any) -> None:
        raise Slow(f"longer than {seconds} s")

    before = signal.signal(signal.SIGPROF, late)
    signal.setitimer(signal.ITIMER_PROF, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)


def text_of(content: bytes) -> str:
    """As the command line gives an argument: what is no UTF-8 comes as halves of pairs."""
    return content.decode("utf-8", "surrogateescape")


def quantity(content: bytes) -> None:
    from fitment.quantity.parse import parse_quantity
    from fitment.quantity.units import KINDS

    kinds = sorted(set(KINDS) - {"taper"})
    choice = sum(content)
    bare = (None, "mm", "in")[choice % 3] if kinds[choice % len(kinds)] == "length" else None
    parse_quantity(text_of(content), kinds[choice % len(kinds)], bare)


def taper(content: bytes) -> None:
    from fitment.quantity.parse import parse_taper

    parse_taper(text_of(content))


def thread(content: bytes) -> None:
    from fitment.standards.thread_names import parse_thread

    parse_thread(text_of(content))


def spot(content: bytes) -> None:
    from fitment.kits.spot import spot as read

    read(text_of(content), "A", ("mm", "inch")[len(content) % 2])


def windows(content: bytes) -> None:
    from fitment.catalogue.dictionary import part_kinds
    from fitment.catalogue.windows import read_windows

    read_windows(part_kinds()["rod-end"], text_of(content).split("|"), "mm")


def wants(content: bytes) -> None:
    from fitment.kits.propose.wants import read_wants

    read_wants(text_of(content))


def kit(content: bytes) -> None:
    from fitment.kits.kit_file import read_kit

    read_kit(content, "kit.toml")


def _file(content: bytes, ending: str) -> Path:
    path = Path(os.environ["FITMENT_FUZZ"]) / f"hostile{ending}"
    path.write_bytes(content)
    return path


def sheet(content: bytes) -> None:
    from fitment.catalogue.importing import sort_of
    from fitment.catalogue.sheet_text import read_sheets

    for one in read_sheets(_file(content, ".csv"))[0]:
        sort_of(one)


def workbook(content: bytes) -> None:
    from fitment.catalogue.workbook_reading import parse_workbook

    parse_workbook(content, "hostile.xlsx")


def exchange(content: bytes) -> None:
    from fitment.catalogue.exchange.files import read_file

    read_file(_file(content, ".jsonl"))


def forged(content: bytes) -> None:
    """An exchange file whose lines are sealed again after they were changed, taken in by the command line."""
    from fitment.catalogue.exchange.files import Header, Line, file_text
    from fitment.catalogue.exchange.form import of_all

    lines = []
    for piece in content.split(b"\n")[1:]:
        try:
            said = json.loads(piece)
            sort = said.pop("sort")
            said = {name: value for name, value in said.items() if name not in ("uid", "digest")}
            line = Line(sort, said, "")
            line.text.encode()
            lines.append(line)
        except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
            continue  # that it is no JSON is the other target's
    first = json.loads(seeds("exchange")[0].split(b"\n")[0])
    first.pop("format")
    header = Header(**{**first, "records": len(lines), "content": of_all([line.digest for line in lines])})
    _answered("import", str(_file(file_text(header, lines), ".jsonl")), "--db", _catalogue(), "--dry-run")


def _answered(*words: str) -> None:
    """A whole command; our own fault is one that is raised here.

    Raises:
        AssertionError: the program called something its own fault, or gave no answer.
    """
    from fitment.cli.main import answer

    out = io.TextIOWrapper(io.BytesIO(), encoding="utf-8", errors="strict")
    err = io.TextIOWrapper(io.BytesIO(), encoding="utf-8", errors="backslashreplace")
    with redirect_stdout(out), redirect_stderr(err):
        code = answer([*words])
    err.flush()
    said = err.buffer.getvalue().decode()
    assert code in (0, 1, 2, 3, 4, 65, 66, 74), f"exit {code}: {said}"
    assert "Traceback" not in said, said


def _catalogue() -> str:
    return str(Path(os.environ["FITMENT_FUZZ"]) / "shop.sqlite")


def imported(content: bytes) -> None:
    _answered("import", str(_file(content, ".csv")), "--db", _catalogue(), "--dry-run")


def page(content: bytes) -> None:
    _answered("reading", "add", "--from", str(_file(content, ".txt")), "--db", _catalogue(), "--dry-run")


def arguments(content: bytes) -> None:
    _answered(*[word for word in text_of(content).split("\n") if word != "--db"], "--db", _catalogue())


#: target -> (what is called, its share of a run)
TARGETS: dict[str, tuple[Callable[[bytes], None], float]] = {
    "quantity": (quantity, 0.332),
    "taper": (taper, 0.15),
    "thread": (thread, 0.20),
    "spot": (spot, 0.07),
    "windows": (windows, 0.08),
    "wants": (wants, 0.05),
    "kit": (kit, 0.05),
    "sheet": (sheet, 0.05),
    "exchange": (exchange, 0.01),
    "workbook": (workbook, 0.003),
    "imported": (imported, 0.001),
    "forged": (forged, 0.001),
    "page": (page, 0.001),
    "arguments": (arguments, 0.001),
}


def seeds(target: str) -> list[bytes]:
    """The kept inputs of a target; a workbook's are made."""
    if target == "workbook":
        return [workbook_of("rod-end,name,shank.thread\nRE-1,x,M14x1.5\n"), b"PK\x03\x04", b"PK\x05\x06" + b"\0" * 18]
    target = {"forged": "exchange", "imported": "sheet"}.get(target, target)
    lines = (CORPUS / f"{target}.txt").read_text(encoding="utf-8").splitlines()
    return [ast.literal_eval(line) for line in lines if line]


def workbook_of(text: str) -> bytes:
    """A workbook of a sheet's text."""
    from openpyxl import Workbook

    book = Workbook()
    for line in text.splitlines():
        book.worksheets[0].append(line.split(","))
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def put(target: str, content: bytes) -> str | None:
    """Puts an input to a target; what is wrong with the answer, None where nothing is."""
    try:
        with within(LONGEST):
            TARGETS[target][0](content)
    except FitmentError:
        return None
    except (Exception, Slow, RecursionError) as error:
        return f"{type(error).__name__}: {str(error)[:300]}"
    return None


def mutated(draw: random.Random, target: str, kept: list[bytes]) -> bytes:
    """A seed with one to five changes."""
    content = draw.choice(kept)
    if target == "forged" and draw.random() < 0.8:
        return _revalued(draw, kept[0])
    for _ in range(draw.randint(1, 5)):
        content = _changed(draw, content, kept)
    if target == "workbook" and content[:2] == b"PK" and draw.random() < 0.7:
        content = _rezipped(draw, draw.choice(kept[:1]))
    return content[:60_000]


def _changed(draw: random.Random, content: bytes, kept: list[bytes]) -> bytes:
    at = draw.randint(0, len(content))
    end = min(len(content), at + draw.choice((0, 1, 1, 2, 5, 20)))
    match draw.randrange(6):
        case 0:
            return content[:at] + content[end:]
        case 1:
            return content[:at] + content[at:end] * draw.choice((2, 3, 50)) + content[end:]
        case 2:
            return content[:at] + bytes([draw.randrange(256)]) + content[end:]
        case 3:
            other = draw.choice(kept)
            return content[:at] + other[draw.randint(0, len(other)) :]
        case _:
            return content[:at] + draw.choice(NASTY).encode("utf-8", "surrogateescape") + content[end:]


def _revalued(draw: random.Random, whole: bytes) -> bytes:
    """An exchange file with some fields of its lines saying something else."""
    lines = [json.loads(line) for line in whole.splitlines()]
    for _ in range(draw.randint(1, 3)):
        line = draw.choice(lines[1:])
        name = draw.choice([name for name in line if name not in ("sort", "uid", "digest")])
        other = draw.choice([*NASTY, *draw.choice(lines[1:]).values(), None, True, -1, 10**400, 1e308, [], {}, [[0]]])
        line[name] = other
    return "\n".join(json.dumps(line) for line in lines).encode()


def _rezipped(draw: random.Random, whole: bytes) -> bytes:
    """A workbook with one of its parts changed, so that the zip around it is sound."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(whole)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        hit = draw.choice(old.namelist())
        for name in old.namelist():
            part = old.read(name)
            if name == hit:
                for _ in range(draw.randint(1, 3)):
                    part = _changed(draw, part, [part])
            new.writestr(name, part)
    return out.getvalue()
