"""Decisions between readings in conflict."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

_ONE_SUBJECT = (
    "(CASE WHEN vehicle_id IS NULL THEN 0 ELSE 1 END) + (CASE WHEN part_id IS NULL THEN 0 ELSE 1 END)"
    " + (CASE WHEN item_id IS NULL THEN 0 ELSE 1 END) = 1"
)


def upgrade() -> None:
    op.create_table(
        "decision",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("vehicle_id", sa.Integer(), nullable=True),
        sa.Column("part_id", sa.Integer(), nullable=True),
        sa.Column("item_id", sa.Integer(), nullable=True),
        sa.Column("feature", sa.String(length=32), nullable=False),
        sa.Column("dimension", sa.String(length=32), nullable=False),
        sa.Column("taken", sa.Text(), nullable=False),
        sa.Column("over", sa.Text(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("who", sa.String(length=16), nullable=False),
        sa.Column("dated", sa.String(length=10), nullable=False),
        sa.CheckConstraint(_ONE_SUBJECT, name=op.f("ck_decision_one_subject")),
        sa.ForeignKeyConstraint(["item_id"], ["item.id"], name=op.f("fk_decision_item_id")),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_decision_part_id")),
        sa.ForeignKeyConstraint(["vehicle_id"], ["vehicle.id"], name=op.f("fk_decision_vehicle_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_decision")),
        sa.UniqueConstraint("uid", name=op.f("uq_decision_uid")),
    )


def downgrade() -> None:
    op.drop_table("decision")
