"""Add the channels' own yearly statements."""

import sqlalchemy as sa
from alembic import op

revision = "0020"
down_revision = "0019"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "channel_statement",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("channel_id", sa.Integer(), nullable=False),
        sa.Column("year", sa.Integer(), nullable=False),
        sa.Column("gross_cents", sa.BigInteger(), nullable=False),
        sa.Column("note", sa.String(length=200), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.CheckConstraint("gross_cents >= 0", name=op.f("ck_channel_statement_gross_not_negative")),
        sa.ForeignKeyConstraint(["channel_id"], ["channel.id"], name=op.f("fk_channel_statement_channel_id_channel")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_channel_statement")),
        sa.UniqueConstraint("channel_id", "year", name=op.f("uq_channel_statement_channel_id_year")),
    )


def downgrade() -> None:
    op.drop_table("channel_statement")
