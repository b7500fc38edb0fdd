"""What the car will do: the steering as it came, and each proposed one, in the same results."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from fitment.catalogue.found import CameWith, CarBook, FoundPart, FoundVehicle
from fitment.doubt import Draws
from fitment.errors import DataFault, FitmentError, UsageFault
from fitment.finding import Gap, Work
from fitment.frozen import dataclass
from fitment.joints.answering import Size, fixed
from fitment.joints.kinds import joint_kinds
from fitment.kits.assembly import assemble
from fitment.kits.car_model import original, proposed
from fitment.kits.card_geometry import Reach, Survey
from fitment.kits.check import check
from fitment.kits.kit import Kit
from fitment.kits.steering_doubt import FromAdopted
from fitment.kits.steering_results import Result, SteeringResult, steering_result
from fitment.quantity.parse import parse_quantity

#: samples behind every doubt, the adopted values apart
SAMPLES = 500

#: kinds of part that make a steering, from the rack to the knuckles
_BETWEEN = ("rack", "inner-joint", "tie-rod", "rod-end")

CAUTIONS = (
    "Dimensional compatibility only; not an approval. A model of rigid links and free joints: bushes, play and tyres"
    " are not in it. A lock ends at the first stop on record, the rack's or a knuckle's.",
    "The outer balls are where the survey has them: a rod end with a taller stud, an eye reamed, a sleeve, a spacer or"
    " the other side of the arm moves them, and that is counted only where a note says so (ball-off-eye of the car's"
    " corners, height of the stud).",
    "Which way it steers is told by fitment check, and is to be confirmed on the bench and on the car.",
)


@dataclass(frozen=True)
class Asked:
    """What a kit that names only its target asks for: where inner joints would give the least bump steer.

    Attributes:
        toe_limit: toe change of one wheel, deg, over `card_geometry.TRAVEL` mm of bump or rebound.
        spacing, height: of the inner joints; None where `gaps` say what is not surveyed.
        gaps: what is not surveyed.
    """

    toe_limit: float
    spacing: Reach | None
    height: Reach | None
    gaps: tuple[Gap, ...]


@dataclass(frozen=True)
class Steered:
    """One steering of the comparison.

    Attributes:
        name: ``original``, or the kit's name.
        kit_file: path of the kit file; "" for the original.
        kit_digest: SHA-256 of it; "" for the original.
        told: results and curves.
        asked: for a kit that names only its target; None else.
        verdict: what `fitment check` says of the kit; "" for the original.
        work: operations that the check found.
    """

    name: str
    kit_file: str
    kit_digest: str
    told: SteeringResult
    asked: Asked | None = None
    verdict: str = ""
    work: tuple[Work, ...] = ()


@dataclass(frozen=True)
class Comparison:
    """The original and the proposed steerings of one car.

    Attributes:
        vehicle: the car.
        original, proposals: the steerings.
        samples, seed: of the doubt.
        cautions: standing ones.
    """

    vehicle: FoundVehicle
    original: Steered
    proposals: tuple[Steered, ...]
    samples: int
    seed: int
    cautions: tuple[str, ...]

    @property
    def steerings(self) -> tuple[Steered, ...]:
        """The original, then the proposed ones."""
        return (self.original, *self.proposals)

    @property
    def anything(self) -> bool:
        """Whether anything at all could be worked out of how the car steers."""
        counted = ("mass", "price", "work")
        return any(
            (one.asked is not None and one.asked.spacing is not None)
            or any(name not in counted for name in one.told.results)
            for one in self.steerings
        )


def steer(kits: Sequence[Kit], book: CarBook, toe_limit: float, draws: FromAdopted | None = None) -> Comparison:
    """The original steering of the kits' target, and what each kit makes of it.

    Args:
        kits: as their files state them, all for one target.
        book: the catalogue.
        toe_limit: for kits that name only the target, deg in 25 mm of travel.
        draws: samples; None for the usual number and seed.

    Raises:
        UsageFault: the kits are for several targets.
        NotFoundFault, DataFault, Faults: a kit names what is not there, or in the wrong role.
    """
    draws = draws or FromAdopted(SAMPLES)
    vehicle = _target(kits, book)
    came = book.came_with(vehicle)
    told = steering_result(original(vehicle, came.parts, draws), draws)
    told = _counted(told, _set_of(came.parts), came.prices, None)
    proposals = tuple(_proposal(kit, book, came, toe_limit, draws) for kit in kits)
    cautions = (*vehicle.cautions, *CAUTIONS)
    return Comparison(vehicle, Steered("original", "", "", told), proposals, draws.count - 1, draws.seed, cautions)


def _target(kits: Sequence[Kit], book: CarBook) -> FoundVehicle:
    """The one vehicle that all kits are for."""
    found = []
    for kit in kits:
        try:
            found.append(book.find_vehicle(kit.target))
        except FitmentError as fault:
            raise fault.at(kit.target_place) from None
        if found[-1].name != found[0].name:
            raise UsageFault(
                f"{kit.path} is for {found[-1].name}, and {kits[0].path} for {found[0].name}",
                mending="compare kits for one car at a time",
                code="steer-01",
            )
    return found[0]


def _proposal(kit: Kit, book: CarBook, came: CameWith, toe_limit: float, draws: FromAdopted) -> Steered:
    assembly = assemble(kit, book, joint_kinds())
    if not kit.parts:
        asked = _asked(assembly.target, toe_limit, draws)
        return Steered(kit.name, kit.path, kit.digest, SteeringResult({}, {}, {}), asked)
    report = check(kit, book)
    work = tuple(dict.fromkeys(one for finding in report.findings for one in finding.work))
    told = steering_result(proposed(kit, assembly, came.own, _toes(kit), draws), draws)
    parts = [part for part in assembly.found.values() if part.kind in _BETWEEN or part.name not in came.own]
    told = _counted(told, parts, came.prices, len(work))
    return Steered(kit.name, kit.path, kit.digest, told, verdict=str(report.verdict), work=work)


def _asked(vehicle: FoundVehicle, toe_limit: float, draws: Draws) -> Asked:
    survey = Survey(vehicle.features, toe_limit, draws)
    return Asked(toe_limit, survey.spacing(), survey.height(), tuple(survey.suspension_gaps))


def _toes(kit: Kit) -> tuple[Size | None, Size | None]:
    """The toe of each wheel that the kit wants its rods set to."""
    if "toe" not in kit.wanted:
        return None, None
    try:
        value = fixed(parse_quantity(kit.wanted["toe"], "angle", "deg").value)
    except DataFault as fault:
        raise DataFault(
            fault.message,
            place=f"{kit.path} [wanted] toe",
            mending='write the toe-in of one wheel, toe = "0.1 deg"',
            code="steer-02",
        ) from None
    return value, value


def _set_of(fitted: Sequence[FoundPart]) -> list[FoundPart]:
    """One rack and a pair of everything else between it and the knuckles, out of all that were ever fitted to a car."""
    found: list[FoundPart] = []
    for kind in _BETWEEN:
        found += [part for part in fitted if part.kind == kind][:1] * (1 if kind == "rack" else 2)
    return found


def _counted(
    told: SteeringResult, parts: Sequence[FoundPart], prices: Mapping[str, str], work: int | None
) -> SteeringResult:
    """The result with mass, price and work, as far as they are on record, and what is not."""
    results, gaps = dict(told.results), dict(told.gaps)
    # like with like: of the original too only what lies between rack and knuckles is counted
    between = [part for part in parts if part.kind in (*_BETWEEN, "spherical-rod-end")]
    weighed = [use for part in between if (use := part.features["body"].get("mass")) is not None]
    if weighed:
        u = sum((use.u or 0.0) ** 2 for use in weighed) ** 0.5
        results["mass"] = Result(sum(use.number for use in weighed), u, tuple(weighed))
    unweighed = [part for part in between if part.features["body"].get("mass") is None]
    if unweighed:
        gaps["mass"] = tuple(dict.fromkeys(part.features["body"].gap("mass") for part in unweighed))
    priced = [float(prices[part.name]) for part in parts if _is_number(prices.get(part.name, ""))]
    if priced:
        results["price"] = Result(sum(priced), None)
    unpriced = [part.name for part in parts if not _is_number(prices.get(part.name, ""))]
    if unpriced:
        gaps["price"] = tuple(Gap(name, "price", "none on record") for name in dict.fromkeys(unpriced))
    if work is not None:
        results["work"] = Result(float(work), None)
    return replace(told, results=results, gaps=gaps)


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True
