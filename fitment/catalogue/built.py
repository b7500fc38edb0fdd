"""Looking at builds. Reads only; `builds` writes them."""

from __future__ import annotations

import sqlalchemy as sa
from sqlalchemy.engine import Connection

from fitment.catalogue.kept import KeptLine, kept_lines
from fitment.catalogue.listing import ReadingLine, readings
from fitment.catalogue.papers import PaperLine, papers
from fitment.catalogue.schema import (
    Build,
    BuildItem,
    BuildSitting,
    CatalogueRow,
    Item,
    Part,
    Sitting,
    Vehicle,
    table_of,
)
from fitment.errors import NotFoundFault, nearest
from fitment.frozen import dataclass


@dataclass(frozen=True)
class BuildItemLine:
    """An item that was fitted, where, and the part that it is one of."""

    role: str
    item: str
    part: str


@dataclass(frozen=True)
class BuildLine:
    """A build as a list shows it; `kit_text` is the kit's file as it was."""

    reference: str
    vehicle: str
    dated: str
    who: str
    note: str
    kit: str
    kit_file: str
    kit_digest: str
    kit_text: str
    items: tuple[BuildItemLine, ...]
    reports: tuple[KeptLine, ...]
    id: int

    @property
    def fitted(self) -> dict[str, str]:
        """The items by their place in the kit."""
        return {one.role: one.item for one in self.items}


def builds(connection: Connection, reference: str | None = None) -> list[BuildLine]:
    """Every build, or the one of that reference.

    Raises:
        NotFoundFault: there is none of that reference, with the nearest.
    """
    query = sa.select(table_of(Build), Vehicle.shop.label("vs"), Vehicle.ref.label("vr"))
    query = query.join(Vehicle, Build.vehicle_id == Vehicle.id).order_by(Build.shop, Build.ref)
    rows = list(connection.execute(query))
    if reference is not None:
        own = connection.execute(sa.select(CatalogueRow.shop)).scalar_one()
        full = reference if "/" in reference else f"{own}/{reference}"
        known = [f"{row.shop}/{row.ref}" for row in rows]
        rows = [row for row in rows if f"{row.shop}/{row.ref}" == full]
        if not rows:
            mending = nearest(reference, known) if known else "there is none yet: fitment build add"
            raise NotFoundFault(f"no build {reference}", mending=mending, code="ref-02")
    reports = kept_lines(connection)
    return [
        BuildLine(
            reference=f"{row.shop}/{row.ref}",
            vehicle=f"{row.vs}/{row.vr}",
            dated=row.dated,
            who=row.who,
            note=row.note,
            kit=row.kit,
            kit_file=row.kit_file,
            kit_digest=row.kit_digest,
            kit_text=row.kit_text,
            items=_items(connection, row.id),
            reports=tuple(one for one in reports if f"{row.shop}/{row.ref}" in one.builds),
            id=row.id,
        )
        for row in rows
    ]


def _items(connection: Connection, build_id: int) -> tuple[BuildItemLine, ...]:
    query = (
        sa.select(BuildItem.role, Item.shop, Item.ref, Part.shop.label("ps"), Part.ref.label("pr"))
        .join(Item, BuildItem.item_id == Item.id)
        .join(Part, Item.part_id == Part.id)
        .where(BuildItem.build_id == build_id)
        .order_by(BuildItem.id)
    )
    return tuple(
        BuildItemLine(row.role, f"{row.shop}/{row.ref}", f"{row.ps}/{row.pr}") for row in connection.execute(query)
    )


def as_built_readings(connection: Connection, build: BuildLine) -> list[ReadingLine]:
    """The readings taken on a build's items in its sittings, withdrawn ones too."""
    query = sa.select(Sitting.shop, Sitting.ref).join(BuildSitting, BuildSitting.sitting_id == Sitting.id)
    rows = connection.execute(query.where(BuildSitting.build_id == build.id))
    sittings = {f"{row.shop}/{row.ref}" for row in rows}
    items = dict.fromkeys(one.item for one in build.items)
    return [line for item in items for line in readings(connection, item) if line.sitting in sittings]


def papers_of(connection: Connection, build: BuildLine) -> list[PaperLine]:
    """The photographs and papers of a build and of its sittings."""
    return papers(connection, build.id)
