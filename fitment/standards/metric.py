"""Limits of ISO metric threads: short tables of grade 6 and the R40 steps between the grades (ISO 965-1)."""

from __future__ import annotations

from functools import cache

from fitment.errors import DataFault
from fitment.frozen import dataclass
from fitment.standards.table_files import rows
from fitment.standards.thread_classes import ThreadClass
from fitment.standards.thread_sizes import ExternalLimits, InternalLimits
from fitment.standards.threads import Thread, all_threads

#: preferred numbers of the series R40, one decade (ISO 3)
R40 = (
    *(1.00, 1.06, 1.12, 1.18, 1.25, 1.32, 1.40, 1.50, 1.60, 1.70, 1.80, 1.90, 2.00, 2.12, 2.24, 2.36, 2.50, 2.65, 2.80),
    *(3.00, 3.15, 3.35, 3.55, 3.75, 4.00, 4.25, 4.50, 4.75, 5.00, 5.30, 5.60, 6.00, 6.30, 6.70, 7.10, 7.50, 8.00, 8.50),
    *(9.00, 9.50),
)

#: places in R40 from one grade to the next, and from a bolt's pitch-diameter tolerance to the nut's of grade 6
_PLACES_PER_GRADE = 4
_PLACES_TO_NUT = 5

# of the pitch, over 1e3 to give micrometres from mm (ISO 68-1, ISO 724; the root from ASME B1.13M)
_PITCH_DIAMETER = 649.519
_MINOR_DIAMETER = 1082.532
_ROUNDED_ROOT = 616.025


def r40_step(value_um: float, places: int) -> int:
    """The preferred number so many places up (or down) the R40 list, micrometres; 90, 112, 140 are 4 places apart.

    Args:
        value_um: a number of the list, from 10 to below 10000.
        places: how many places up; negative for down.
    """
    scale: float = 10.0 ** (len(str(int(value_um))) - 1)
    decade, index = divmod(R40.index(round(value_um / scale, 2)) + places, len(R40))
    return round(R40[index] * scale * 10.0**decade)


@dataclass(frozen=True)
class _ByPitch:
    """Deviations and grade 6 crest tolerances of one pitch, micrometres; None where no value is held."""

    deviations: dict[str, int | None]
    Td6: int
    TD1_6: int | None
    coarsest: int


@dataclass(frozen=True)
class _ByRange:
    """Grade 6 pitch-diameter tolerance of a bolt in one range of diameters and one pitch, micrometres."""

    over: float
    to: float
    pitch: float
    Td2_6: int
    nut_coarsest: int
    bolt_coarsest: int


@cache
def _by_pitch() -> dict[float, _ByPitch]:
    def whole(cell: str) -> int | None:
        return int(cell) if cell else None

    return {
        float(row["pitch_mm"]): _ByPitch(
            {position: whole(row[f"{position}_um"]) for position in "gef"},
            int(row["Td6_um"]),
            whole(row["TD1_6_um"]),
            int(row["coarsest_grade"]),
        )
        for row in rows("threads_iso965_by_pitch")
    }


@cache
def _by_range() -> tuple[_ByRange, ...]:
    return tuple(
        _ByRange(
            float(row["d_over_mm"]),
            float(row["d_to_mm"]),
            float(row["pitch_mm"]),
            int(row["Td2_6_um"]),
            int(row["nut_coarsest_grade"]),
            int(row["bolt_coarsest_grade"]),
        )
        for row in rows("threads_iso965_pitch_diameter")
    )


def _missing(what: str, thread_text: str) -> DataFault:
    return DataFault(
        f"no {what} for {thread_text} in the tables of ISO 965-1 held here",
        mending="use 6g and 6H, or measure the part's diameters and give them",
        code="thread-limits-01",
    )


def fundamental_deviation(pitch: float, position: str) -> int:
    """Distance of a tolerance zone from the basic size, micrometres: negative for e f g, positive for G, 0 for h H.

    Source: ISO 965-1 table 1; e and f from memory.

    Args:
        pitch: mm.
        position: one of e f g h G H.

    Raises:
        DataFault: no value is held for this pitch.
    """
    if position in "hH":
        return 0
    row = _by_pitch().get(pitch)
    value = row.deviations[position.lower()] if row else None
    if value is None:
        raise _missing(f"deviation {position}", f"a pitch of {pitch:g} mm")
    return value if position.isupper() else -value


def crest_tolerance(pitch: float, grade: int, side: str) -> int:
    """Tolerance of a bolt's major diameter (Td) or a nut's minor diameter (TD1), micrometres.

    Source: ISO 965-1; grades other than 6 by R40 steps, which its tables follow without exception.

    Args:
        pitch: mm.
        grade: 4, 6 or 8 for a bolt, 4 to 8 for a nut.
        side: "bolt" or "nut".

    Raises:
        DataFault: the standard has no such grade for this pitch, or it is not held.
    """
    row = _by_pitch().get(pitch)
    value = None if row is None or grade > row.coarsest else row.Td6 if side == "bolt" else row.TD1_6
    if value is None:
        raise _missing(f"crest tolerance of grade {grade}", f"a pitch of {pitch:g} mm")
    return r40_step(value, _PLACES_PER_GRADE * (grade - 6))


def pitch_tolerance(nominal: float, pitch: float, grade: int, side: str) -> int:
    """Tolerance of the pitch diameter, Td2 of a bolt or TD2 of a nut, micrometres.

    Source: ISO 965-1; a nut's grade 6 is five R40 places above a bolt's, each grade is four places.

    Args:
        nominal, pitch: mm.
        grade: 4 to 8.
        side: "bolt" or "nut".

    Raises:
        DataFault: the standard has no such grade here, or the pitch is not held in this range of diameters.
    """
    for row in _by_range():
        if row.over < nominal <= row.to and row.pitch == pitch:
            if grade > (row.bolt_coarsest if side == "bolt" else row.nut_coarsest):
                break
            places = _PLACES_PER_GRADE * (grade - 6) + (0 if side == "bolt" else _PLACES_TO_NUT)
            return r40_step(row.Td2_6, places)
    raise _missing(f"pitch-diameter tolerance of grade {grade}", f"M{nominal:g}x{pitch:g}")


def metric_external(thread: Thread, limits_class: ThreadClass) -> ExternalLimits:
    """Limits of a bolt thread, mm; basic sizes are rounded to 0.001 first, as all printed limits are (ISO 965-1)."""
    grade, position = limits_class.pitch or (6, "g")
    crest_grade, crest_position = limits_class.crest or (6, "g")
    basic, pitch_basic, minor_basic = _basic(thread)
    es = fundamental_deviation(thread.pitch, crest_position)
    es_pitch = fundamental_deviation(thread.pitch, position)
    d_max, d2_max = basic + es, pitch_basic + es_pitch
    d2_min = d2_max - pitch_tolerance(thread.nominal, thread.pitch, grade, "bolt")
    return ExternalLimits(
        d_max=d_max / 1e3,
        d_min=(d_max - crest_tolerance(thread.pitch, crest_grade, "bolt")) / 1e3,
        d2_max=d2_max / 1e3,
        d2_min=d2_min / 1e3,
        d1_max=(minor_basic + es_pitch) / 1e3,
        d3_min=round(d2_min - _ROUNDED_ROOT * thread.pitch) / 1e3,
    )


def metric_internal(thread: Thread, limits_class: ThreadClass) -> InternalLimits:
    """Limits of a nut thread, mm (ISO 965-1)."""
    grade, position = limits_class.pitch or (6, "H")
    crest_grade, crest_position = limits_class.crest or (6, "H")
    basic, pitch_basic, minor_basic = _basic(thread)
    D2_min = pitch_basic + fundamental_deviation(thread.pitch, position)
    D1_min = minor_basic + fundamental_deviation(thread.pitch, crest_position)
    return InternalLimits(
        D_min=(basic + fundamental_deviation(thread.pitch, position)) / 1e3,
        D1_min=D1_min / 1e3,
        D1_max=(D1_min + crest_tolerance(thread.pitch, crest_grade, "nut")) / 1e3,
        D2_min=D2_min / 1e3,
        D2_max=(D2_min + pitch_tolerance(thread.nominal, thread.pitch, grade, "nut")) / 1e3,
    )


def _basic(thread: Thread) -> tuple[int, int, int]:
    """Basic major, pitch and minor diameter, whole micrometres."""
    basic = thread.nominal * 1e3
    return (
        round(basic),
        round(basic - _PITCH_DIAMETER * thread.pitch),
        round(basic - _MINOR_DIAMETER * thread.pitch),
    )


@dataclass(frozen=True)
class NormalEngagement:
    """Lengths of engagement that the tolerances are meant for (group N), mm.

    Attributes:
        over: shorter is group S (one grade finer would do).
        to: longer is group L, for which the standard recommends one grade wider, 7H and 7g6g.
        source_kind: "standard" or "memory" where tabulated, "computed" from the rule otherwise.
    """

    over: float
    to: float
    source_kind: str

    def group(self, length: float) -> str:
        """ "S", "N" or "L" for a length in mm."""
        return "S" if length <= self.over else "N" if length <= self.to else "L"


def normal_engagement(thread: Thread) -> NormalEngagement:
    """The normal lengths of engagement of a metric thread.

    Tabulated in ISO 965-1 (partly from memory); elsewhere by its rule 2.24 P d^0.2 to 6.7 P d^0.2, d being the smallest
    diameter of the range that has the pitch.

    Raises:
        DataFault: not a metric thread, or outside the ranges held here.
    """
    for row in rows("threads_iso965_lengths"):
        in_range = float(row["d_over_mm"]) < thread.nominal <= float(row["d_to_mm"])
        if thread.form == "M" and in_range and float(row["pitch_mm"]) == thread.pitch:
            return NormalEngagement(float(row["N_over_mm"]), float(row["N_to_mm"]), row["source_kind"])
    for by_range in _by_range():
        if thread.form == "M" and by_range.over < thread.nominal <= by_range.to:
            of_pitch = (other.nominal for other in all_threads() if other.form == "M" and other.pitch == thread.pitch)
            smallest = min(size for size in (*of_pitch, thread.nominal) if by_range.over < size <= by_range.to)
            scale = thread.pitch * smallest**0.2
            return NormalEngagement(2.24 * scale, 6.7 * scale, "computed")
    raise _missing("length of engagement", thread.designation)
