"""Add the one address at which phones find the shop."""

import sqlalchemy as sa
from alembic import op

revision = "0035"
down_revision = "0034"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "home_address",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("host", sa.String(length=253), nullable=False),
        sa.Column("port", sa.Integer(), nullable=False),
        sa.Column("set_at", sa.DateTime(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_home_address_only_one")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_home_address")),
    )


def downgrade() -> None:
    op.drop_table("home_address")
