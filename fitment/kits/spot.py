"""Parts named on the spot: ``stud taper=1:10 large=14.0 length=20 thread=M12x1.25``, or a bare thread,
taper or spline name.

What is typed takes the road of the catalogue's readings (dictionary, tool, doubt, adoption), but nothing is kept. A
number is a measurement; a name (a thread, a taper, a word) is stated. Neither is hearsay.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from fitment.catalogue.adopt import AdoptedValue, Evidence
from fitment.catalogue.adopt_features import adopted_values
from fitment.catalogue.dictionary import Dimension, find_dimension, part_kinds
from fitment.catalogue.values import StoredValue, bare_unit, read_values
from fitment.errors import DataFault, Faults, FitmentError, nearest
from fitment.finding import Use
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
        bare: whether it is a bare name.
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
    word = " ".join(re.sub("[-_]", " ", plain[: first.start()].casefold()).split())
    if word not in _WORDS:
        raise DataFault(
            f"{quoted(plain[: first.start()].strip())} is no end that can be named here",
            place=letter,
            mending=nearest(word, _WORDS),
            code="spot-01",
        )
    kind, sex = _WORDS[word]
    evidence = _evidence(plain, letter, kind, system)
    assumed = []
    names = {one.dimension for one in evidence}
    if kind in ("thread-end", "bar-end", "spline-end") and "sex" not in names:
        if not sex and kind != "spline-end" and ("od" in names) != ("minor" in names):
            sex = "male" if "od" in names else "female"
            assumed.append(f"{sex}, as its {'outside' if sex == 'male' else 'minor'} diameter was read")
        if sex:
            evidence.append(said(letter, "sex", sex, ASSUMED if assumed else NAMED))
    return Spot(letter, plain, word, kind, False, tuple(evidence), tuple(assumed))


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
        return Spot(letter, plain, plain, "taper", True, tuple(_read(letter, "stud", "taper", plain, "mm")))
    spline = next((one.name for one in trade_splines() if one.name.casefold() == plain.casefold()), None)
    if spline is not None:
        return Spot(letter, plain, plain, "spline-end", True, (said(letter, "name", spline),))
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
    return Spot(letter, plain, plain, "thread-end", True, evidence, assumed)


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
