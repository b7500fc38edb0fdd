"""What shops give each other: joined parts, codes of shops, permissions, further withdrawals; turns of what is said."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

#: what is said again and again of one subject: table -> columns that say of what, beside the subject
SAID = {"statement": ("field",), "decision": ("feature", "dimension")}


def upgrade() -> None:
    for table, of in SAID.items():
        op.add_column(table, sa.Column("turn", sa.Integer(), nullable=False, server_default="1"))
        same = "".join(f" AND earlier.{column} = {table}.{column}" for column in of)
        for subject in ("vehicle_id", "part_id", "item_id"):
            # the order of the rows was the order of what was said
            op.execute(
                f"UPDATE {table} SET turn = (SELECT count(*) FROM {table} AS earlier"
                f" WHERE earlier.{subject} = {table}.{subject}{same} AND earlier.id <= {table}.id)"
                f" WHERE {subject} IS NOT NULL"
            )
    op.create_table(
        "part_join",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("part_id", sa.Integer(), nullable=False),
        sa.Column("other_id", sa.Integer(), nullable=False),
        sa.Column("undone", sa.Boolean(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("who", sa.String(length=16), nullable=False),
        sa.Column("dated", sa.String(length=10), nullable=False),
        sa.Column("turn", sa.Integer(), nullable=False),
        sa.CheckConstraint("part_id <> other_id", name=op.f("ck_part_join_two_parts")),
        sa.ForeignKeyConstraint(["other_id"], ["part.id"], name=op.f("fk_part_join_other_id")),
        sa.ForeignKeyConstraint(["part_id"], ["part.id"], name=op.f("fk_part_join_part_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_part_join")),
        sa.UniqueConstraint("uid", name=op.f("uq_part_join_uid")),
    )
    op.create_table(
        "shop",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(length=16), nullable=False),
        sa.Column("catalogue_uid", sa.String(length=36), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shop")),
        sa.UniqueConstraint("code", name=op.f("uq_shop_code")),
    )
    op.create_table(
        "permission",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("shop", sa.String(length=16), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("dated", sa.String(length=10), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_permission")),
        sa.UniqueConstraint("uid", name=op.f("uq_permission_uid")),
    )
    op.create_table(
        "further_withdrawal",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(length=36), nullable=False),
        sa.Column("reading_id", sa.Integer(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("who", sa.String(length=16), nullable=False),
        sa.Column("dated", sa.String(length=10), nullable=False),
        sa.Column("instead_uid", sa.String(length=36), nullable=True),
        sa.ForeignKeyConstraint(["reading_id"], ["reading.id"], name=op.f("fk_further_withdrawal_reading_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_further_withdrawal")),
        sa.UniqueConstraint("uid", name=op.f("uq_further_withdrawal_uid")),
    )


def downgrade() -> None:
    for table in ("further_withdrawal", "permission", "shop", "part_join"):
        op.drop_table(table)
    for table in SAID:
        op.drop_column(table, "turn")
