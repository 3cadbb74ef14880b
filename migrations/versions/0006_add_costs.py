"""Add cost lines."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "cost_line",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("capture_id", sa.String(length=36), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=True),
        sa.Column("kind", sa.String(length=32), nullable=False),
        sa.Column("amount_cents", sa.BigInteger(), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("bought_at", sa.String(length=80), nullable=False),
        sa.Column("note", sa.String(length=200), nullable=False),
        sa.Column("receipt_photo_id", sa.Integer(), nullable=True),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("struck_at", sa.DateTime(), nullable=True),
        sa.Column("struck_reason", sa.String(length=300), nullable=True),
        sa.CheckConstraint("amount_cents > 0", name=op.f("ck_cost_line_amount_positive")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_cost_line_piece_id_piece")),
        sa.ForeignKeyConstraint(["receipt_photo_id"], ["photo.id"], name=op.f("fk_cost_line_receipt_photo_id_photo")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_cost_line")),
        sa.UniqueConstraint("capture_id", name=op.f("uq_cost_line_capture_id")),
    )
    op.create_index(op.f("ix_cost_line_on_date"), "cost_line", ["on_date"], unique=False)
    op.create_index(op.f("ix_cost_line_piece_id"), "cost_line", ["piece_id"], unique=False)


def downgrade() -> None:
    op.drop_index(op.f("ix_cost_line_piece_id"), table_name="cost_line")
    op.drop_index(op.f("ix_cost_line_on_date"), table_name="cost_line")
    op.drop_table("cost_line")
