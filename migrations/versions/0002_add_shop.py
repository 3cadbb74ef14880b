"""Add the shop's own facts."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "shop",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("currency", sa.String(length=3), nullable=False),
        sa.Column("time_zone", sa.String(length=64), nullable=False),
        sa.Column("units", sa.String(length=32), nullable=False),
        sa.Column("started_on", sa.Date(), nullable=False),
        sa.Column("sits_too_long_days", sa.Integer(), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_shop_only_one")),
        sa.CheckConstraint("sits_too_long_days > 0", name=op.f("ck_shop_threshold_positive")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shop")),
    )


def downgrade() -> None:
    op.drop_table("shop")
