"""Screw threads that a standard lists: ISO metric, Unified and Whitworth form, with their basic sizes."""

from __future__ import annotations

from fractions import Fraction
from functools import cache

from fitment.frozen import dataclass
from fitment.standards.table_files import rows

MM_PER_INCH = 25.4

#: flank angle from the plane across the axis, degrees, by form (ISO 68-1, ASME B1.1; BS 84)
HALF_ANGLES = {"M": 30.0, "UN": 30.0, "W": 27.5}

#: nominal and pitch closer than this are the same thread, mm
SAME = 1e-6


@dataclass(frozen=True)
class Thread:
    """One thread of a standard: what a designation means.

    Attributes:
        designation: how it is written, ``M14x1.5``, ``9/16-18 UNF``, ``3/8-20 BSF``; coarse pitches are written out.
        form: "M" (ISO metric), "UN" (Unified inch), "W" (Whitworth).
        series: coarse, fine, UNC, UNF, UNEF, UN, UNS, BSW or BSF.
        nominal: nominal diameter, mm.
        pitch: pitch, mm.
        half_angle_deg: half of the thread angle, degrees.
        tpi: threads per inch; None for metric.
        first_choice: whether it is in the standard's selection of preferred threads (ISO 262; UNC and UNF; BSW and
            BSF); a mark for ordering guesses, no rule of fit.
        source: the standard that lists it.
        source_kind: "standard", "handbook", "library" or "memory": what the row was compared with.
        note: what else the row says, ``spark plugs only``; "" where nothing.
    """

    designation: str
    form: str
    series: str
    nominal: float
    pitch: float
    half_angle_deg: float
    tpi: float | None
    first_choice: bool
    source: str
    source_kind: str
    note: str = ""


def same_thread(a: Thread, b: Thread) -> bool:
    """Whether two designations mean one thread: form, nominal and pitch; the series only sets tolerances.

    UNC and UNF of ASME B1.1 differ from UNS of the same size and pitch in tolerance alone.
    """
    return a.form == b.form and abs(a.nominal - b.nominal) < SAME and abs(a.pitch - b.pitch) < SAME


def inch_size(text: str) -> Fraction:
    """Nominal diameter in inches of a size as the tables write it: ``9/16``, ``1-1/8``, ``0.6`` or ``#10``.

    Numbered sizes are 0.060 in for #0 and 0.013 in more for each number (ASME B1.1).
    """
    if text.startswith("#"):
        return Fraction(60 + 13 * int(text[1:]), 1000)
    whole, dash, part = text.partition("-")
    return Fraction(whole) + Fraction(part) if dash else Fraction(whole)


def size_written(size: Fraction) -> str:
    """A size in inches as the tables write it: ``9/16``, ``1-1/8``, ``0.6``; the way back from `inch_size`."""
    whole, part = divmod(size, 1)
    if 64 % size.denominator:
        return f"{float(size):g}"
    return f"{whole}-{part}" if whole and part else str(size)


def inch_thread(
    size: str, tpi: Fraction, series: str, first_choice: bool, source: str, source_kind: str, note: str = ""
) -> Thread:
    """An inch thread from its size as written (see `inch_size`) and its threads per inch."""
    form = "W" if series in {"BSW", "BSF"} else "UN"
    return Thread(
        designation=f"{size}-{float(tpi):g} {series}",
        form=form,
        series=series,
        nominal=float(inch_size(size) * Fraction(127, 5)),
        pitch=float(Fraction(127, 5) / tpi),
        half_angle_deg=HALF_ANGLES[form],
        tpi=float(tpi),
        first_choice=first_choice,
        source=source,
        source_kind=source_kind,
        note=note,
    )


@cache
def all_threads() -> tuple[Thread, ...]:
    """Every listed thread: metric M3 to M36 first, then Unified, then Whitworth; `threads_*.csv` name the sources.

    Sources: ISO 261 and ISO 262; ASME B1.1; BS 84. Rows whose `source_kind` is "memory" were compared with nothing.
    """
    metric = (
        Thread(
            designation=f"M{row['nominal_mm']}x{row['pitch_mm']}",
            form="M",
            series=row["series"],
            nominal=float(row["nominal_mm"]),
            pitch=float(row["pitch_mm"]),
            half_angle_deg=HALF_ANGLES["M"],
            tpi=None,
            first_choice=row["first_choice"] == "yes",
            source=row["source"],
            source_kind=row["source_kind"],
            note=row["note"],
        )
        for row in rows("threads_metric")
    )
    inch = (
        inch_thread(
            row["nominal_in"],
            Fraction(row["pitch_tpi"]),
            row["series"],
            row["first_choice"] == "yes",
            row["source"],
            row["source_kind"],
            row["note"],
        )
        for row in rows("threads_inch")
    )
    return (*metric, *inch)
