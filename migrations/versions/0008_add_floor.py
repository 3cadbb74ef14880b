"""Add channels, listings, asking prices and holds."""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    _add_channel()
    _add_hold()
    _add_listing()
    _add_asking_price()
    _add_listing_channel()


def downgrade() -> None:
    op.drop_table("listing_channel")
    op.drop_index(op.f("ix_asking_price_listing_id"), table_name="asking_price")
    op.drop_table("asking_price")
    op.drop_index(
        "uq_listing_piece_id_open",
        table_name="listing",
        sqlite_where=sa.text("ended_on IS NULL"),
        postgresql_where=sa.text("ended_on IS NULL"),
    )
    op.drop_index(op.f("ix_listing_piece_id"), table_name="listing")
    op.drop_table("listing")
    op.drop_index(
        "uq_hold_piece_id_standing",
        table_name="hold",
        sqlite_where=sa.text("lifted_at IS NULL"),
        postgresql_where=sa.text("lifted_at IS NULL"),
    )
    op.drop_index(op.f("ix_hold_piece_id"), table_name="hold")
    op.drop_table("hold")
    op.drop_table("channel")


def _add_channel() -> None:
    op.create_table(
        "channel",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("percent_hundredths", sa.Integer(), nullable=False),
        sa.Column("fixed_cents", sa.BigInteger(), nullable=False),
        sa.Column("is_put_away", sa.Boolean(), nullable=False),
        sa.CheckConstraint("fixed_cents >= 0", name=op.f("ck_channel_fixed_not_negative")),
        sa.CheckConstraint("percent_hundredths BETWEEN 0 AND 10000", name=op.f("ck_channel_percent_in_range")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_channel")),
        sa.UniqueConstraint("name", name=op.f("uq_channel_name")),
    )


def _add_hold() -> None:
    op.create_table(
        "hold",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("held_for", sa.String(length=80), nullable=False),
        sa.Column("until", sa.Date(), nullable=False),
        sa.Column("note", sa.String(length=200), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("lifted_at", sa.DateTime(), nullable=True),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_hold_piece_id_piece")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_hold")),
    )
    op.create_index(op.f("ix_hold_piece_id"), "hold", ["piece_id"], unique=False)
    op.create_index(
        "uq_hold_piece_id_standing",
        "hold",
        ["piece_id"],
        unique=True,
        sqlite_where=sa.text("lifted_at IS NULL"),
        postgresql_where=sa.text("lifted_at IS NULL"),
    )


def _add_listing() -> None:
    op.create_table(
        "listing",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("listed_on", sa.Date(), nullable=False),
        sa.Column("ended_on", sa.Date(), nullable=True),
        sa.Column("ended_by", sa.String(length=20), nullable=True),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_listing_piece_id_piece")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_listing")),
    )
    op.create_index(op.f("ix_listing_piece_id"), "listing", ["piece_id"], unique=False)
    op.create_index(
        "uq_listing_piece_id_open",
        "listing",
        ["piece_id"],
        unique=True,
        sqlite_where=sa.text("ended_on IS NULL"),
        postgresql_where=sa.text("ended_on IS NULL"),
    )


def _add_asking_price() -> None:
    op.create_table(
        "asking_price",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("listing_id", sa.Integer(), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("cents", sa.BigInteger(), nullable=False),
        sa.Column("note", sa.String(length=200), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.CheckConstraint("cents > 0", name=op.f("ck_asking_price_asks_something")),
        sa.ForeignKeyConstraint(["listing_id"], ["listing.id"], name=op.f("fk_asking_price_listing_id_listing")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_asking_price")),
    )
    op.create_index(op.f("ix_asking_price_listing_id"), "asking_price", ["listing_id"], unique=False)


def _add_listing_channel() -> None:
    op.create_table(
        "listing_channel",
        sa.Column("listing_id", sa.Integer(), nullable=False),
        sa.Column("channel_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["channel_id"], ["channel.id"], name=op.f("fk_listing_channel_channel_id_channel")),
        sa.ForeignKeyConstraint(["listing_id"], ["listing.id"], name=op.f("fk_listing_channel_listing_id_listing")),
        sa.PrimaryKeyConstraint("listing_id", "channel_id", name=op.f("pk_listing_channel")),
    )
