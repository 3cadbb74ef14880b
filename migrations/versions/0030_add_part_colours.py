"""Keep the colours of a piece's parts with it."""

import sqlalchemy as sa
from alembic import op

revision = "0030"
down_revision = "0029"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("piece", sa.Column("part_colours", sa.String(length=400), nullable=False, server_default=""))


def downgrade() -> None:
    op.drop_column("piece", "part_colours")
