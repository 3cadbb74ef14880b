"""Know a paired phone from a browser that signed in, and what it says is waiting on it."""

import sqlalchemy as sa
from alembic import op

revision = "0032"
down_revision = "0031"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("signed_in_browser", sa.Column("is_phone", sa.Boolean(), server_default="0", nullable=False))
    op.add_column("signed_in_browser", sa.Column("waiting", sa.Integer(), nullable=True))
    op.add_column("signed_in_browser", sa.Column("waiting_since", sa.DateTime(), nullable=True))
    op.add_column("signed_in_browser", sa.Column("told_at", sa.DateTime(), nullable=True))


def downgrade() -> None:
    for name in ("told_at", "waiting_since", "waiting", "is_phone"):
        op.drop_column("signed_in_browser", name)
