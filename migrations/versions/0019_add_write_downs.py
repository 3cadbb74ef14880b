"""Add write-downs."""

import sqlalchemy as sa
from alembic import op

revision = "0019"
down_revision = "0018"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "write_down",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("capture_id", sa.String(length=36), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("price_expected_cents", sa.BigInteger(), nullable=False),
        sa.Column("finish_cents", sa.BigInteger(), nullable=False),
        sa.Column("sell_cents", sa.BigInteger(), nullable=False),
        sa.Column("cost_cents", sa.BigInteger(), nullable=False),
        sa.Column("cents", sa.BigInteger(), nullable=False),
        sa.Column("reason", sa.String(length=300), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("struck_at", sa.DateTime(), nullable=True),
        sa.Column("struck_reason", sa.String(length=300), nullable=True),
        sa.CheckConstraint("cents != 0", name=op.f("ck_write_down_changes_something")),
        sa.CheckConstraint(
            "price_expected_cents >= 0 AND finish_cents >= 0 AND sell_cents >= 0 AND cost_cents >= 0",
            name=op.f("ck_write_down_no_minus"),
        ),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_write_down_piece_id_piece")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_write_down")),
        sa.UniqueConstraint("capture_id", name=op.f("uq_write_down_capture_id")),
    )
    op.create_index(op.f("ix_write_down_on_date"), "write_down", ["on_date"], unique=False)
    op.create_index(op.f("ix_write_down_piece_id"), "write_down", ["piece_id"], unique=False)


def downgrade() -> None:
    op.drop_index(op.f("ix_write_down_piece_id"), table_name="write_down")
    op.drop_index(op.f("ix_write_down_on_date"), table_name="write_down")
    op.drop_table("write_down")
