"""Add closed months."""

import sqlalchemy as sa
from alembic import op

revision = "0011"
down_revision = "0010"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "closed_month",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("month", sa.String(length=7), nullable=False),
        sa.Column("profit_cents", sa.BigInteger(), nullable=False),
        sa.Column("cash_cents", sa.BigInteger(), nullable=False),
        sa.Column("stock_cents", sa.BigInteger(), nullable=False),
        sa.Column("shelf_cents", sa.BigInteger(), nullable=False),
        sa.Column("deposits_cents", sa.BigInteger(), nullable=False),
        sa.Column("closed_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_closed_month")),
        sa.UniqueConstraint("month", name=op.f("uq_closed_month_month")),
    )


def downgrade() -> None:
    op.drop_table("closed_month")
