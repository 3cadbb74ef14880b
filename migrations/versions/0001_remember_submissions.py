"""Remember which forms were saved, so that none is saved twice."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "submission",
        sa.Column("token", sa.String(length=36), nullable=False),
        sa.Column("fingerprint", sa.String(length=64), nullable=False),
        sa.Column("location", sa.String(length=500), nullable=False),
        sa.Column("saved_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("token", name=op.f("pk_submission")),
    )


def downgrade() -> None:
    op.drop_table("submission")
