"""Add corrections of closed months."""

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "adjustment",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("capture_id", sa.String(length=36), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=True),
        sa.Column("part", sa.String(length=32), nullable=False),
        sa.Column("cents", sa.BigInteger(), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("corrects_table", sa.String(length=32), nullable=False),
        sa.Column("corrects_id", sa.Integer(), nullable=False),
        sa.Column("corrects_on", sa.Date(), nullable=False),
        sa.Column("reason", sa.String(length=300), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("struck_at", sa.DateTime(), nullable=True),
        sa.Column("struck_reason", sa.String(length=300), nullable=True),
        sa.CheckConstraint("cents != 0", name=op.f("ck_adjustment_changes_something")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_adjustment_piece_id_piece")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_adjustment")),
        sa.UniqueConstraint("capture_id", name=op.f("uq_adjustment_capture_id")),
    )
    op.create_index(op.f("ix_adjustment_on_date"), "adjustment", ["on_date"], unique=False)
    op.create_index(op.f("ix_adjustment_piece_id"), "adjustment", ["piece_id"], unique=False)


def downgrade() -> None:
    op.drop_index(op.f("ix_adjustment_piece_id"), table_name="adjustment")
    op.drop_index(op.f("ix_adjustment_on_date"), table_name="adjustment")
    op.drop_table("adjustment")
