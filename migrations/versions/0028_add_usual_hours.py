"""Add the usual hours for the bench."""

import sqlalchemy as sa
from alembic import op

revision = "0028"
down_revision = "0027"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "usual_hours",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("weekday", sa.Integer(), nullable=False),
        sa.Column("from_minute", sa.Integer(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "from_minute >= 0 AND minutes > 0 AND from_minute + minutes <= 1440",
            name=op.f("ck_usual_hours_spell_in_day"),
        ),
        sa.CheckConstraint("weekday BETWEEN 0 AND 6", name=op.f("ck_usual_hours_weekday_in_week")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_usual_hours")),
    )


def downgrade() -> None:
    op.drop_table("usual_hours")
