"""Add the secret addresses at which a phone's calendar reads what is ready when."""

import sqlalchemy as sa
from alembic import op

revision = "0034"
down_revision = "0033"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "calendar_feed",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("browser_id", sa.Integer(), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("ended_at", sa.DateTime(), nullable=True),
        sa.ForeignKeyConstraint(
            ["browser_id"], ["signed_in_browser.id"], name=op.f("fk_calendar_feed_browser_id_signed_in_browser")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_calendar_feed")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_calendar_feed_token_hash")),
    )
    op.create_index(op.f("ix_calendar_feed_browser_id"), "calendar_feed", ["browser_id"], unique=False)


def downgrade() -> None:
    op.drop_index(op.f("ix_calendar_feed_browser_id"), table_name="calendar_feed")
    op.drop_table("calendar_feed")
