"""Ends of parts by key and size, under covering indexes; a digest of the readings in force; indexes by subject."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

#: index -> its columns, on the new summary of ends
ENDS = {
    "ix_end_summary_keys": ["kind", "feature", "far_key", "near_key", "size", "taper", "part_id"],
    "ix_end_summary_sizes": ["kind", "feature", "near_key", "size", "taper", "part_id"],
}
#: what is looked up by its subject: table -> columns
BY_SUBJECT = {
    "fitted_to": ["vehicle_id"],
    "decision": ["vehicle_id", "part_id", "item_id"],
    "statement": ["vehicle_id", "part_id", "item_id"],
}


def _common() -> list[sa.schema.SchemaItem]:
    return [
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("feature", sa.String(length=32), nullable=False),
        sa.Column("kind", sa.String(length=32), nullable=False),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_end_summary_part_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_end_summary")),
        sa.UniqueConstraint("part_id", "feature", name=op.f("uq_end_summary_part_id_feature")),
    ]


def upgrade() -> None:
    # derived rows: the program makes them anew after a migration
    op.drop_table("end_summary")
    op.create_table(
        "end_summary",
        *_common(),
        sa.Column("near_key", sa.String(length=48), nullable=True),
        sa.Column("far_key", sa.String(length=48), nullable=True),
        sa.Column("size", sa.Double(), nullable=True),
        sa.Column("size_u", sa.Double(), nullable=True),
        sa.Column("taper", sa.Double(), nullable=True),
        sa.Column("thread", sa.String(length=32), nullable=True),
        sa.Column("hand", sa.String(length=2), nullable=True),
        sa.Column("sex", sa.String(length=8), nullable=True),
        sa.Column("spline_count", sa.Integer(), nullable=True),
        sa.Column("hole_count", sa.Integer(), nullable=True),
    )
    for name, columns in ENDS.items():
        op.create_index(name, "end_summary", columns)
    for table, columns in BY_SUBJECT.items():
        for column in columns:
            op.create_index(op.f(f"ix_{table}_{column}"), table, [column])
    op.add_column("catalogue", sa.Column("digest", sa.String(length=64), nullable=False, server_default="0" * 64))


def downgrade() -> None:
    op.drop_column("catalogue", "digest")
    for table, columns in BY_SUBJECT.items():
        for column in columns:
            op.drop_index(op.f(f"ix_{table}_{column}"), table_name=table)
    op.drop_table("end_summary")
    op.create_table(
        "end_summary",
        *_common(),
        sa.Column("thread", sa.String(length=32), nullable=True),
        sa.Column("hand", sa.String(length=2), nullable=True),
        sa.Column("sex", sa.String(length=8), nullable=True),
        sa.Column("taper", sa.Double(), nullable=True),
        sa.Column("large", sa.Double(), nullable=True),
        sa.Column("spline_count", sa.Integer(), nullable=True),
        sa.Column("spline_od", sa.Double(), nullable=True),
        sa.Column("pattern_x", sa.Double(), nullable=True),
        sa.Column("hole_count", sa.Integer(), nullable=True),
    )
    op.create_index(
        "ix_end_summary_search",
        "end_summary",
        ["kind", "thread", "hand", "sex", "taper", "large", "spline_od", "pattern_x", "spline_count", "hole_count"],
    )
