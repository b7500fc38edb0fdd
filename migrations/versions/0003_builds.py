"""Builds with their kit, sittings, reports and papers; kept reports with what it takes to print them again."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

#: new columns: table -> name and type; the rows that are there have nothing to say
COLUMNS: dict[str, dict[str, sa.types.TypeEngine[str]]] = {
    "build": {
        "kit_file": sa.Text(),
        "kit_digest": sa.String(64),
        "kit_text": sa.Text(),
        "who": sa.String(16),
        "note": sa.Text(),
    },
    "report": {"program": sa.String(64), "kit_text": sa.Text(), "fitted": sa.Text(), "shown": sa.Text()},
}


def upgrade() -> None:
    for table, columns in COLUMNS.items():
        for name, kind in columns.items():
            empty = "{}" if name == "fitted" else ""
            op.add_column(table, sa.Column(name, kind, nullable=False, server_default=empty))
    for name, other in (("build_sitting", "sitting"), ("build_report", "report")):
        op.create_table(
            name,
            sa.Column("build_id", sa.Integer(), nullable=False),
            sa.Column(f"{other}_id", sa.Integer(), nullable=False),
            sa.ForeignKeyConstraint(["build_id"], ["build.id"], name=op.f(f"fk_{name}_build_id")),
            sa.ForeignKeyConstraint([f"{other}_id"], [f"{other}.id"], name=op.f(f"fk_{name}_{other}_id")),
            sa.PrimaryKeyConstraint("build_id", f"{other}_id", name=op.f(f"pk_{name}")),
        )
    op.create_table(
        "paper",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sitting_id", sa.Integer(), nullable=True),
        sa.Column("build_id", sa.Integer(), nullable=True),
        sa.Column("path", sa.Text(), nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.CheckConstraint("(sitting_id IS NULL) <> (build_id IS NULL)", name=op.f("ck_paper_one_owner")),
        sa.ForeignKeyConstraint(["build_id"], ["build.id"], name=op.f("fk_paper_build_id")),
        sa.ForeignKeyConstraint(["sitting_id"], ["sitting.id"], name=op.f("fk_paper_sitting_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_paper")),
        sa.UniqueConstraint("sitting_id", "path", "digest", name=op.f("uq_paper_sitting_id_path_digest")),
        sa.UniqueConstraint("build_id", "path", "digest", name=op.f("uq_paper_build_id_path_digest")),
    )


def downgrade() -> None:
    for name in ("paper", "build_report", "build_sitting"):
        op.drop_table(name)
    for table, columns in COLUMNS.items():
        for name in columns:
            op.drop_column(table, name)
