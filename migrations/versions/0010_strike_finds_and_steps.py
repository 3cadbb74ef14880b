"""Let a find and a step be struck out."""

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None

TABLES = ("piece", "step")


def upgrade() -> None:
    for table in TABLES:
        op.add_column(table, sa.Column("struck_at", sa.DateTime(), nullable=True))
        op.add_column(table, sa.Column("struck_reason", sa.String(length=300), nullable=True))


def downgrade() -> None:
    for table in TABLES:
        op.drop_column(table, "struck_reason")
        op.drop_column(table, "struck_at")
