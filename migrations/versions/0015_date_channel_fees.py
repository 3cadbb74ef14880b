"""Add what a channel takes from a day on."""

import sqlalchemy as sa
from alembic import op

revision = "0015"
down_revision = "0014"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "channel_fee",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("channel_id", sa.Integer(), nullable=False),
        sa.Column("from_date", sa.Date(), nullable=False),
        sa.Column("percent_hundredths", sa.Integer(), nullable=False),
        sa.Column("fixed_cents", sa.BigInteger(), nullable=False),
        sa.Column("note", sa.String(length=200), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("struck_at", sa.DateTime(), nullable=True),
        sa.Column("struck_reason", sa.String(length=300), nullable=True),
        sa.CheckConstraint("fixed_cents >= 0", name=op.f("ck_channel_fee_fixed_not_negative")),
        sa.CheckConstraint("percent_hundredths BETWEEN 0 AND 10000", name=op.f("ck_channel_fee_percent_in_range")),
        sa.ForeignKeyConstraint(["channel_id"], ["channel.id"], name=op.f("fk_channel_fee_channel_id_channel")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_channel_fee")),
    )
    op.create_index(op.f("ix_channel_fee_channel_id"), "channel_fee", ["channel_id"], unique=False)
    op.create_index(
        "uq_channel_fee_channel_id_from_date_counting",
        "channel_fee",
        ["channel_id", "from_date"],
        unique=True,
        sqlite_where=sa.text("struck_at IS NULL"),
        postgresql_where=sa.text("struck_at IS NULL"),
    )


def downgrade() -> None:
    op.drop_index(
        "uq_channel_fee_channel_id_from_date_counting",
        table_name="channel_fee",
        sqlite_where=sa.text("struck_at IS NULL"),
        postgresql_where=sa.text("struck_at IS NULL"),
    )
    op.drop_index(op.f("ix_channel_fee_channel_id"), table_name="channel_fee")
    op.drop_table("channel_fee")
