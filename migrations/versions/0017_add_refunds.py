"""Add refunds on sales that stand."""

import sqlalchemy as sa
from alembic import op

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "sale_refund",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("capture_id", sa.String(length=36), nullable=False),
        sa.Column("sale_id", sa.Integer(), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("refund_cents", sa.BigInteger(), nullable=False),
        sa.Column("tax_refunded_cents", sa.BigInteger(), nullable=False),
        sa.Column("fees_back_cents", sa.BigInteger(), nullable=False),
        sa.Column("reason", sa.String(length=300), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("struck_at", sa.DateTime(), nullable=True),
        sa.Column("struck_reason", sa.String(length=300), nullable=True),
        sa.CheckConstraint("refund_cents > 0", name=op.f("ck_sale_refund_gives_something")),
        sa.CheckConstraint("tax_refunded_cents >= 0 AND fees_back_cents >= 0", name=op.f("ck_sale_refund_no_minus")),
        sa.ForeignKeyConstraint(["sale_id"], ["sale.id"], name=op.f("fk_sale_refund_sale_id_sale")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sale_refund")),
        sa.UniqueConstraint("capture_id", name=op.f("uq_sale_refund_capture_id")),
    )
    op.create_index(op.f("ix_sale_refund_on_date"), "sale_refund", ["on_date"], unique=False)
    op.create_index(op.f("ix_sale_refund_sale_id"), "sale_refund", ["sale_id"], unique=False)


def downgrade() -> None:
    op.drop_index(op.f("ix_sale_refund_sale_id"), table_name="sale_refund")
    op.drop_index(op.f("ix_sale_refund_on_date"), table_name="sale_refund")
    op.drop_table("sale_refund")
