"""The first tables, and the views that people read with any database tool."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


_ONE_SUBJECT = (
    "(CASE WHEN vehicle_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN part_id IS NULL THEN 0 ELSE 1 END)"
    " + (CASE WHEN item_id IS NULL THEN 0 ELSE 1 END) = 1"
)
_VALUE = """
    SELECT p.shop || '/' || p.ref AS reference, p.name AS name, a.feature AS feature, a.dimension AS dimension,
           CASE WHEN a.gap = '' THEN a.shown ELSE 'not known' END AS shown,
           CASE WHEN a.gap = '' THEN a.number END AS value, a.u AS uncertainty, a.unit AS unit,
           a.basis AS basis, a.source AS source, a.gap AS why_not_known
    FROM adopted a JOIN part p ON p.id = a.part_id
"""
VIEWS = {
    "racks": _VALUE + "WHERE p.kind = 'rack'",
    "tie_rods": _VALUE + "WHERE p.kind IN ('tie-rod', 'inner-joint')",
    "rod_ends": _VALUE + "WHERE p.kind IN ('rod-end', 'spherical-rod-end')",
    "taper_sizes": _VALUE + "WHERE a.dimension IN ('taper', 'large', 'small', 'length', 'thick', 'opens')"
    " AND a.feature IN ('stud', 'eye', 'bore')",
    "thread_pitches": _VALUE + "WHERE a.dimension IN ('thread', 'hand', 'sex', 'od', 'minor', 'pitch', 'depth')",
    "mounting_patterns": _VALUE + "WHERE a.feature = 'mount'",
}


def upgrade() -> None:
    op.create_table(
        "catalogue",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("shop", sa.String(length=16), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_catalogue_one_row")),
        sa.CheckConstraint("revision >= 0", name=op.f("ck_catalogue_revision")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_catalogue")),
    )
    op.create_table(
        "part",
        sa.Column("kind", sa.String(length=32), nullable=False),
        sa.Column("maker", sa.Text(), nullable=False),
        sa.Column("number", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("shop", sa.String(length=16), nullable=False),
        sa.Column("ref", sa.String(length=64), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_part")),
        sa.UniqueConstraint("shop", "ref", name=op.f("uq_part_shop_ref")),
        sa.UniqueConstraint("uid", name=op.f("uq_part_uid")),
    )
    with op.batch_alter_table("part", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_part_kind"), ["kind"], unique=False)

    op.create_table(
        "report",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("kit", sa.Text(), nullable=False),
        sa.Column("kit_digest", sa.String(length=64), nullable=False),
        sa.Column("made", sa.String(length=20), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("verdict", sa.String(length=16), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_report")),
        sa.UniqueConstraint("uid", name=op.f("uq_report_uid")),
    )
    op.create_table(
        "source",
        sa.Column("kind", sa.String(length=24), nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("origin", sa.Text(), nullable=False),
        sa.Column("dated", sa.String(length=10), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("shop", sa.String(length=16), nullable=False),
        sa.Column("ref", sa.String(length=64), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_source")),
        sa.UniqueConstraint("shop", "ref", name=op.f("uq_source_shop_ref")),
        sa.UniqueConstraint("uid", name=op.f("uq_source_uid")),
    )
    op.create_table(
        "vehicle",
        sa.Column("maker", sa.Text(), nullable=False),
        sa.Column("model", sa.Text(), nullable=False),
        sa.Column("years", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("shop", sa.String(length=16), nullable=False),
        sa.Column("ref", sa.String(length=64), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_vehicle")),
        sa.UniqueConstraint("shop", "ref", name=op.f("uq_vehicle_shop_ref")),
        sa.UniqueConstraint("uid", name=op.f("uq_vehicle_uid")),
    )
    op.create_table(
        "build",
        sa.Column("kit", sa.Text(), nullable=False),
        sa.Column("vehicle_id", sa.Integer(), nullable=False),
        sa.Column("dated", sa.String(length=10), nullable=False),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("shop", sa.String(length=16), nullable=False),
        sa.Column("ref", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicle.id"], name=op.f("fk_build_vehicle_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_build")),
        sa.UniqueConstraint("shop", "ref", name=op.f("uq_build_shop_ref")),
        sa.UniqueConstraint("uid", name=op.f("uq_build_uid")),
    )
    op.create_table(
        "end_summary",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("feature", sa.String(length=32), nullable=False),
        sa.Column("kind", sa.String(length=32), nullable=False),
        sa.Column("thread", sa.String(length=32), nullable=True),
        sa.Column("hand", sa.String(length=2), nullable=True),
        sa.Column("sex", sa.String(length=8), nullable=True),
        sa.Column("taper", sa.Double(), nullable=True),
        sa.Column("large", sa.Double(), nullable=True),
        sa.Column("spline_count", sa.Integer(), nullable=True),
        sa.Column("spline_od", sa.Double(), nullable=True),
        sa.Column("pattern_x", sa.Double(), nullable=True),
        sa.Column("hole_count", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_end_summary_part_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_end_summary")),
        sa.UniqueConstraint("part_id", "feature", name=op.f("uq_end_summary_part_id_feature")),
    )
    with op.batch_alter_table("end_summary", schema=None) as batch_op:
        batch_op.create_index(
            "ix_end_summary_search",
            ["kind", "thread", "hand", "sex", "taper", "large", "spline_od", "pattern_x", "spline_count", "hole_count"],
            unique=False,
        )

    op.create_table(
        "fitted_to",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("vehicle_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_fitted_to_part_id")),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicle.id"], name=op.f("fk_fitted_to_vehicle_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_fitted_to")),
        sa.UniqueConstraint("part_id", "vehicle_id", "position", name=op.f("uq_fitted_to_part_id_vehicle_id_position")),
    )
    op.create_table(
        "item",
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("shop", sa.String(length=16), nullable=False),
        sa.Column("ref", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_item_part_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_item")),
        sa.UniqueConstraint("shop", "ref", name=op.f("uq_item_shop_ref")),
        sa.UniqueConstraint("uid", name=op.f("uq_item_uid")),
    )
    with op.batch_alter_table("item", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_item_part_id"), ["part_id"], unique=False)

    op.create_table(
        "sitting",
        sa.Column("who", sa.String(length=16), nullable=False),
        sa.Column("dated", sa.String(length=10), nullable=False),
        sa.Column("source_id", sa.Integer(), nullable=False),
        sa.Column("tool", sa.String(length=32), nullable=False),
        sa.Column("vehicle_id", sa.Integer(), nullable=True),
        sa.Column("datum", sa.Text(), nullable=False),
        sa.Column("axes", sa.Text(), nullable=False),
        sa.Column("ride_height", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("shop", sa.String(length=16), nullable=False),
        sa.Column("ref", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(["source_id"], ["source.id"], name=op.f("fk_sitting_source_id")),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicle.id"], name=op.f("fk_sitting_vehicle_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sitting")),
        sa.UniqueConstraint("shop", "ref", name=op.f("uq_sitting_shop_ref")),
        sa.UniqueConstraint("uid", name=op.f("uq_sitting_uid")),
    )
    op.create_table(
        "adopted",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("vehicle_id", sa.Integer(), nullable=True),
        sa.Column("part_id", sa.Integer(), nullable=True),
        sa.Column("item_id", sa.Integer(), nullable=True),
        sa.Column("feature", sa.String(length=32), nullable=False),
        sa.Column("dimension", sa.String(length=96), nullable=False),
        sa.Column("number", sa.Double(), nullable=True),
        sa.Column("u", sa.Double(), nullable=True),
        sa.Column("word", sa.Text(), nullable=True),
        sa.Column("unit", sa.String(length=16), nullable=False),
        sa.Column("basis", sa.String(length=16), nullable=False),
        sa.Column("gap", sa.Text(), nullable=False),
        sa.Column("hearsay", sa.Boolean(), nullable=False),
        sa.Column("assumed", sa.Boolean(), nullable=False),
        sa.Column("shape", sa.String(length=16), nullable=False),
        sa.Column("shared", sa.Text(), nullable=False),
        sa.Column("source", sa.Text(), nullable=False),
        sa.Column("shown", sa.Text(), nullable=False),
        sa.Column("readings", sa.Text(), nullable=False),
        sa.CheckConstraint(
            _ONE_SUBJECT,
            name=op.f("ck_adopted_one_subject"),
        ),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name=op.f("fk_adopted_item_id")),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_adopted_part_id")),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicle.id"], name=op.f("fk_adopted_vehicle_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_adopted")),
        sa.UniqueConstraint(
            "vehicle_id",
            "part_id",
            "item_id",
            "feature",
            "dimension",
            name=op.f("uq_adopted_vehicle_id_part_id_item_id_feature_dimension"),
        ),
    )
    with op.batch_alter_table("adopted", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_adopted_item_id"), ["item_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_adopted_part_id"), ["part_id"], unique=False)

    op.create_table(
        "build_item",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("build_id", sa.Integer(), nullable=False),
        sa.Column("item_id", sa.Integer(), nullable=False),
        sa.Column("role", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(["build_id"], ["build.id"], name=op.f("fk_build_item_build_id")),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name=op.f("fk_build_item_item_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_build_item")),
        sa.UniqueConstraint("build_id", "role", name=op.f("uq_build_item_build_id_role")),
    )
    op.create_table(
        "reading",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("vehicle_id", sa.Integer(), nullable=True),
        sa.Column("part_id", sa.Integer(), nullable=True),
        sa.Column("item_id", sa.Integer(), nullable=True),
        sa.Column("sitting_id", sa.Integer(), nullable=False),
        sa.Column("feature", sa.String(length=32), nullable=False),
        sa.Column("dimension", sa.String(length=32), nullable=False),
        sa.Column("entered", sa.Text(), nullable=False),
        sa.Column("bare_unit", sa.String(length=16), nullable=False),
        sa.Column("number", sa.Double(), nullable=True),
        sa.Column("u", sa.Double(), nullable=True),
        sa.Column("word", sa.Text(), nullable=True),
        sa.Column("tool", sa.String(length=32), nullable=False),
        sa.Column("condition", sa.String(length=16), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("occurrence", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            _ONE_SUBJECT,
            name=op.f("ck_reading_one_subject"),
        ),
        sa.CheckConstraint("number IS NOT NULL OR word IS NOT NULL", name=op.f("ck_reading_some_value")),
        sa.CheckConstraint("u IS NULL OR u >= 0", name=op.f("ck_reading_u_not_negative")),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name=op.f("fk_reading_item_id")),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_reading_part_id")),
        sa.ForeignKeyConstraint(["sitting_id"], ["sitting.id"], name=op.f("fk_reading_sitting_id")),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicle.id"], name=op.f("fk_reading_vehicle_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_reading")),
        sa.UniqueConstraint("uid", name=op.f("uq_reading_uid")),
    )
    with op.batch_alter_table("reading", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_reading_item_id"), ["item_id"], unique=False)
        batch_op.create_index(
            batch_op.f("ix_reading_part_id_feature_dimension"), ["part_id", "feature", "dimension"], unique=False
        )
        batch_op.create_index(batch_op.f("ix_reading_vehicle_id"), ["vehicle_id"], unique=False)

    op.create_table(
        "statement",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("vehicle_id", sa.Integer(), nullable=True),
        sa.Column("part_id", sa.Integer(), nullable=True),
        sa.Column("item_id", sa.Integer(), nullable=True),
        sa.Column("field", sa.String(length=24), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("dated", sa.String(length=10), nullable=False),
        sa.CheckConstraint(
            _ONE_SUBJECT,
            name=op.f("ck_statement_one_subject"),
        ),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name=op.f("fk_statement_item_id")),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_statement_part_id")),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicle.id"], name=op.f("fk_statement_vehicle_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_statement")),
        sa.UniqueConstraint("uid", name=op.f("uq_statement_uid")),
    )
    op.create_table(
        "report_reading",
        sa.Column("report_id", sa.Integer(), nullable=False),
        sa.Column("reading_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["reading_id"], ["reading.id"], name=op.f("fk_report_reading_reading_id")),
        sa.ForeignKeyConstraint(["report_id"], ["report.id"], name=op.f("fk_report_reading_report_id")),
        sa.PrimaryKeyConstraint("report_id", "reading_id", name=op.f("pk_report_reading")),
    )
    op.create_table(
        "withdrawal",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("reading_id", sa.Integer(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("who", sa.String(length=16), nullable=False),
        sa.Column("dated", sa.String(length=10), nullable=False),
        sa.Column("instead_uid", sa.String(length=36), nullable=True),
        sa.ForeignKeyConstraint(["reading_id"], ["reading.id"], name=op.f("fk_withdrawal_reading_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_withdrawal")),
        sa.UniqueConstraint("reading_id", name=op.f("uq_withdrawal_reading_id")),
    )
    for name, query in VIEWS.items():
        op.execute(f"CREATE VIEW {name} AS {query}")


def downgrade() -> None:
    for name in VIEWS:
        op.execute(f"DROP VIEW {name}")
    op.drop_table("withdrawal")
    op.drop_table("report_reading")
    op.drop_table("statement")
    with op.batch_alter_table("reading", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_reading_vehicle_id"))
        batch_op.drop_index(batch_op.f("ix_reading_part_id_feature_dimension"))
        batch_op.drop_index(batch_op.f("ix_reading_item_id"))

    op.drop_table("reading")
    op.drop_table("build_item")
    with op.batch_alter_table("adopted", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_adopted_part_id"))
        batch_op.drop_index(batch_op.f("ix_adopted_item_id"))

    op.drop_table("adopted")
    op.drop_table("sitting")
    with op.batch_alter_table("item", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_item_part_id"))

    op.drop_table("item")
    op.drop_table("fitted_to")
    with op.batch_alter_table("end_summary", schema=None) as batch_op:
        batch_op.drop_index("ix_end_summary_search")

    op.drop_table("end_summary")
    op.drop_table("build")
    op.drop_table("vehicle")
    op.drop_table("source")
    op.drop_table("report")
    with op.batch_alter_table("part", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_part_kind"))

    op.drop_table("part")
    op.drop_table("catalogue")
