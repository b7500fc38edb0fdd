"""Parts named on the spot: ``stud taper=1:10 large=14.0 length=20 thread=M12x1.25``, or a bare thread,
taper or spline name, alone or with dimensions after it: ``M14x1.5-RH depth=20``.

What is typed takes the road of the catalogue's readings (dictionary, tool, doubt, adoption), but nothing is kept. A
number is a measurement; a name (a thread, a taper, a word) is stated. Neither is hearsay.
"""

from __future__ import annotations

import re
from dataclasses import replace

from fitment.catalogue.adopt import AdoptedValue, Evidence
from fitment.catalogue.adopt_features import adopted_values
from fitment.catalogue.dictionary import Dimension, find_dimension, part_kinds
from fitment.catalogue.values import StoredValue, bare_unit, read_values
from fitment.errors import DataFault, Faults, FitmentError
from fitment.finding import Use
from fitment.frozen import dataclass
from fitment.joints.registration import Feature
from fitment.quantity.written import quoted
from fitment.standards.splines import trade_splines
from fitment.standards.thread_names import parse_thread

#: kind of feature -> the part and feature of the dictionary whose dimensions it has
_LIKE = {
    "stud": ("rod-end", "stud"),
    "eye": ("knuckle", "eye"),
    "thread-end": ("rod-end", "shank"),
    "bar-end": ("rack", "bar-end.left"),
    "spline-end": ("intermediate-shaft", "upper"),
}

#: trade word -> kind of feature, and the sex that the word says; "" where it says none
_WORDS: dict[str, tuple[str, str]] = {
    **dict.fromkeys(("stud", "ball stud", "taper stud", "tapered stud"), ("stud", "")),
    **dict.fromkeys(("eye", "tapered eye", "arm eye", "steering arm eye", "steering arm"), ("eye", "")),
    **dict.fromkeys(("thread", "thread end", "threaded end"), ("thread-end", "")),
    **dict.fromkeys(("shank", "rod", "bolt", "screw"), ("thread-end", "male")),
    **dict.fromkeys(("nut", "sleeve", "adjuster"), ("thread-end", "female")),
    **dict.fromkeys(("bar end", "rack bar end"), ("bar-end", "")),
    **dict.fromkeys(("shaft", "spline", "spline end"), ("spline-end", "male")),
    **dict.fromkeys(("bore", "yoke"), ("spline-end", "female")),
}

# u= belongs to the value before it
_KEY = re.compile(r"(?:^|(?<=\s))(?!u\s*=)(?P<key>[A-Za-z][\w.-]*)\s*=\s*")
_TAPER = re.compile(r":|\b(?:incl|included|half)\b|/\s*f", re.IGNORECASE)

#: kinds of source that what is typed counts as: a number is read, a name is said
_READ, _SAID = "own-measurement", "drawing"

#: where a word comes from
NAMED, ASSUMED = "named at the bench", "taken for granted at the bench"

#: what is told of a bare thread name without a hand
RIGHT_BY_STANDARD = "no hand is marked: its standard means right hand by that, a part proves nothing by it"


@dataclass(frozen=True)
class Spot:
    """A part as named on the spot.

    Attributes:
        letter: "A" or "B".
        entered: as typed.
        title: what it is called in sentences: the bare name, or the word before the dimensions.
        kind: kind of feature; "taper" for a bare taper, which is a stud or an eye by what it is to go with.
        bare: whether it is a bare name, without dimensions.
        named: whether a bare name stands for the end, with or without dimensions.
        evidence: what was typed, dimension by dimension.
        assumed: what is taken for granted, in sentences.
    """

    letter: str
    entered: str
    title: str
    kind: str
    bare: bool
    evidence: tuple[Evidence, ...]
    assumed: tuple[str, ...] = ()
    named: bool = False

    def says(self, dimension: str) -> str | None:
        """The word or text of a dimension, None where it says none."""
        return next((one.word for one in self.evidence if one.dimension == dimension), None)


def spot(text: str, letter: str, system: str) -> Spot:
    """What a text names.

    Args:
        text: as typed.
        letter: "A" or "B".
        system: "mm" or "inch", for bare numbers.

    Raises:
        DataFault, Faults: it names nothing that is known here, or dimensions that cannot be read.
    """
    plain = " ".join(text.split())
    first = _KEY.search(plain)
    if first is None:
        return _bare(plain, letter)
    end = plain[: first.start()].strip()
    word = " ".join(re.sub("[-_]", " ", end.casefold()).split())
    if word not in _WORDS:
        return _with_dimensions(_end_named(end, letter), plain, system)
    kind, sex = _WORDS[word]
    evidence = _evidence(plain, letter, kind, system)
    sexed, assumed = _sex_said(letter, kind, sex, evidence)
    return Spot(letter, plain, word, kind, False, (*evidence, *sexed), assumed)


def _sex_said(
    letter: str, kind: str, sex: str, evidence: list[Evidence]
) -> tuple[tuple[Evidence, ...], tuple[str, ...]]:
    """The sex of an end by its word `sex`, else by the diameter that was read, and what is taken for granted."""
    names = {one.dimension for one in evidence}
    if kind not in ("thread-end", "bar-end", "spline-end") or "sex" in names:
        return (), ()
    if sex:
        return (said(letter, "sex", sex),), ()
    if kind == "spline-end" or ("od" in names) == ("minor" in names):
        return (), ()
    sex, which = ("male", "outside") if "od" in names else ("female", "minor")
    return (said(letter, "sex", sex, ASSUMED),), (f"{sex}, as its {which} diameter was read",)


def _end_named(name: str, letter: str) -> Spot:
    """The end that a bare name before dimensions stands for."""
    try:
        return _bare(name, letter)
    except FitmentError as fault:
        if fault.code not in ("spot-03", "thread-name-01"):  # no such name, or none at all
            raise
        raise DataFault(
            f"{quoted(name)} is no end that can be named here",
            place=letter,
            mending=f"write one of {', '.join(_WORDS)}; or a thread, taper or spline by its name",
            code="spot-01",
        ) from None


def _with_dimensions(bare: Spot, plain: str, system: str) -> Spot:
    """The end of a bare name with the dimensions that follow it; what is said beats what was taken for granted."""
    letter, kind = bare.letter, bare.kind
    if kind == "taper":
        ends = [end for end in ("stud", "eye") if all(_has(end, key["key"]) for key in _KEY.finditer(plain))]
        kind = "taper" if len(ends) == 2 else (*ends, "stud")[0]
    evidence = _evidence(plain, letter, "stud" if kind == "taper" else kind, system)
    sexed, assumed = _sex_said(letter, kind, "", evidence)
    names = {one.dimension for one in evidence}
    kept = tuple(one for one in bare.evidence if one.source != ASSUMED or one.dimension not in names)
    if "hand" not in names:
        assumed += bare.assumed
    return replace(bare, entered=plain, kind=kind, bare=False, evidence=(*kept, *evidence, *sexed), assumed=assumed)


def _has(kind: str, name: str) -> bool:
    """Whether an end of a kind has a dimension of this name."""
    part, feature = _LIKE[kind]
    try:
        find_dimension(part_kinds()[part], feature, name)
    except FitmentError:
        return False
    return True


def _evidence(plain: str, letter: str, kind: str, system: str) -> list[Evidence]:
    keys = list(_KEY.finditer(plain))
    ends = [key.start() for key in keys[1:]] + [len(plain)]
    faults: list[FitmentError] = []
    evidence: list[Evidence] = []
    for key, end in zip(keys, ends, strict=True):
        try:
            evidence += _read(letter, kind, key["key"], plain[key.end() : end].strip(), system)
        except FitmentError as fault:
            faults.append(fault.at(f"{letter} {key['key']}"))
    if faults:
        raise Faults(faults)
    return evidence


def _read(letter: str, kind: str, name: str, text: str, system: str) -> list[Evidence]:
    part, feature = _LIKE[kind]
    dimension = find_dimension(part_kinds()[part], feature, name)
    values = read_values(dimension, text, bare_unit(dimension, system), "", measured=True)
    if not values:
        raise DataFault(f"{name} has no value", mending=f"write {name}=VALUE", code="spot-02")
    return [_of_value(letter, dimension, value, index) for index, value in enumerate(values)]


def _of_value(letter: str, dimension: Dimension, value: StoredValue, index: int) -> Evidence:
    read = value.number is not None and (dimension.value_kind != "taper" or value.u is not None or value.tool != "")
    return Evidence(
        uid=f"{letter}-{dimension.dimension}-{index}",
        feature="it",
        dimension=dimension.dimension,
        number=value.number,
        u=value.u,
        word=value.word,
        tool=value.tool,
        condition="",
        source_kind=_READ if read else _SAID,
        source="read at the bench" if read else NAMED,
        origin="the bench",
        sitting=f"bench {letter}",
    )


def said(letter: str, dimension: str, word: str, source: str = NAMED) -> Evidence:
    """A word that is stated, or taken for granted."""
    return Evidence(
        f"{letter}-{dimension}", "it", dimension, None, None, word, "", "", _SAID, source, "the bench", "bench"
    )


def _bare(plain: str, letter: str) -> Spot:
    """A bare name stands for itself.

    A thread's without LH means right hand in its standard (ISO 965-1); on a part that proves nothing, so that hand is
    marked as taken for granted, and no verdict is to rest on it.
    """
    if _TAPER.search(plain):
        return Spot(letter, plain, plain, "taper", True, tuple(_read(letter, "stud", "taper", plain, "mm")), named=True)
    spline = next((one.name for one in trade_splines() if one.name.casefold() == plain.casefold()), None)
    if spline is not None:
        return Spot(letter, plain, plain, "spline-end", True, (said(letter, "name", spline),), named=True)
    try:
        name = parse_thread(plain)
    except FitmentError as fault:
        if fault.code != "thread-name-02":
            raise fault.at(letter) from None
        raise DataFault(
            f"{quoted(plain)} names no thread, taper or part",
            place=letter,
            mending='write M14x1.5-LH, 9/16-18, 1:8 or "stud taper=1:10 large=14.0 length=20 thread=M12x1.25"',
            code="spot-03",
        ) from None
    hand = name.hand or "RH"
    assumed = () if name.hand else (RIGHT_BY_STANDARD,)
    evidence = (
        said(letter, "thread", name.thread.designation),
        said(letter, "hand", hand, NAMED if name.hand else ASSUMED),
    )
    return Spot(letter, plain, plain, "thread-end", True, evidence, assumed, named=True)


def feature_of(part: Spot) -> Feature:
    """The feature as a joint sees it, with what its readings are identified as."""
    name = f"{part.letter} {part.title}"
    values: dict[str, Use] = {}
    gaps: dict[str, str] = {}
    for value in adopted_values({"it": part.kind}, part.evidence):
        if value.gap:
            gaps[value.dimension] = value.gap
        else:
            values[value.dimension] = _use(value, name)
    return Feature(name, part.kind, values=values, gaps=gaps)


def _use(value: AdoptedValue, name: str) -> Use:
    number = value.number
    return Use(
        feature=name,
        dimension=value.dimension,
        value=number if number is not None else value.word or "",
        u=value.u,
        unit=None if number is None else value.unit,
        basis=value.basis,
        source=value.source,
        shape=value.shape,
        shared=value.shared,
        shown=value.shown,
    )
