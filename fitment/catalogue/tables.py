"""Light table clauses instead of the models: a search need not load the ORM. A test holds them to the models."""

from __future__ import annotations

import sqlalchemy as sa

PART = sa.table("part", *map(sa.column, ("id", "shop", "ref", "kind", "maker", "number", "name")))
ITEM = sa.table("item", *map(sa.column, ("id", "shop", "ref", "part_id")))
VEHICLE = sa.table("vehicle", *map(sa.column, ("id", "shop", "ref", "maker", "model", "years")))
FITTED = sa.table("fitted_to", *map(sa.column, ("part_id", "vehicle_id", "position")))
STATEMENT = sa.table("statement", *map(sa.column, ("id", "item_id", "field", "text")))
ADOPTED = sa.table(
    "adopted",
    *map(sa.column, ("vehicle_id", "part_id", "item_id", "feature", "dimension")),
    *map(sa.column, ("number", "u", "word", "unit", "basis", "gap")),
    sa.column("hearsay", sa.Boolean),
    sa.column("assumed", sa.Boolean),
    *map(sa.column, ("shape", "shared", "source", "shown", "readings")),
)
END = sa.table(
    "end_summary",
    *map(sa.column, ("part_id", "feature", "kind", "near_key", "far_key", "size", "size_u", "taper")),
    *map(sa.column, ("thread", "hand", "sex")),
)
