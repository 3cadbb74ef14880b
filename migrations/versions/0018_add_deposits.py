"""Add deposits and what became of them."""

import sqlalchemy as sa
from alembic import op

revision = "0018"
down_revision = "0017"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "deposit",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("capture_id", sa.String(length=36), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("payer", sa.String(length=80), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("amount_cents", sa.BigInteger(), nullable=False),
        sa.Column("note", sa.String(length=200), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("struck_at", sa.DateTime(), nullable=True),
        sa.Column("struck_reason", sa.String(length=300), nullable=True),
        sa.CheckConstraint("amount_cents > 0", name=op.f("ck_deposit_amount_positive")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_deposit_piece_id_piece")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_deposit")),
        sa.UniqueConstraint("capture_id", name=op.f("uq_deposit_capture_id")),
    )
    op.create_index(op.f("ix_deposit_on_date"), "deposit", ["on_date"], unique=False)
    op.create_index(op.f("ix_deposit_piece_id"), "deposit", ["piece_id"], unique=False)
    op.create_table(
        "deposit_end",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("deposit_id", sa.Integer(), nullable=False),
        sa.Column("how", sa.String(length=32), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("cents", sa.BigInteger(), nullable=False),
        sa.Column("sale_id", sa.Integer(), nullable=True),
        sa.Column("reason", sa.String(length=300), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("struck_at", sa.DateTime(), nullable=True),
        sa.Column("struck_reason", sa.String(length=300), nullable=True),
        sa.CheckConstraint("cents > 0", name=op.f("ck_deposit_end_cents_positive")),
        sa.ForeignKeyConstraint(["deposit_id"], ["deposit.id"], name=op.f("fk_deposit_end_deposit_id_deposit")),
        sa.ForeignKeyConstraint(["sale_id"], ["sale.id"], name=op.f("fk_deposit_end_sale_id_sale")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_deposit_end")),
    )
    op.create_index(op.f("ix_deposit_end_deposit_id"), "deposit_end", ["deposit_id"], unique=False)
    op.create_index(op.f("ix_deposit_end_on_date"), "deposit_end", ["on_date"], unique=False)
    op.create_index(op.f("ix_deposit_end_sale_id"), "deposit_end", ["sale_id"], unique=False)


def downgrade() -> None:
    op.drop_index(op.f("ix_deposit_end_sale_id"), table_name="deposit_end")
    op.drop_index(op.f("ix_deposit_end_on_date"), table_name="deposit_end")
    op.drop_index(op.f("ix_deposit_end_deposit_id"), table_name="deposit_end")
    op.drop_table("deposit_end")
    op.drop_index(op.f("ix_deposit_piece_id"), table_name="deposit")
    op.drop_index(op.f("ix_deposit_on_date"), table_name="deposit")
    op.drop_table("deposit")
