"""Add sales and returns."""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    _add_sale()
    _add_sale_return()


def downgrade() -> None:
    op.drop_index(
        "uq_sale_return_sale_id_counting",
        table_name="sale_return",
        sqlite_where=sa.text("struck_at IS NULL"),
        postgresql_where=sa.text("struck_at IS NULL"),
    )
    op.drop_index(op.f("ix_sale_return_sale_id"), table_name="sale_return")
    op.drop_index(op.f("ix_sale_return_returned_on"), table_name="sale_return")
    op.drop_table("sale_return")
    op.drop_index(op.f("ix_sale_sold_on"), table_name="sale")
    op.drop_index(op.f("ix_sale_piece_id"), table_name="sale")
    op.drop_index(op.f("ix_sale_channel_id"), table_name="sale")
    op.drop_table("sale")


def _add_sale() -> None:
    op.create_table(
        "sale",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("capture_id", sa.String(length=36), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("listing_id", sa.Integer(), nullable=True),
        sa.Column("channel_id", sa.Integer(), nullable=True),
        sa.Column("sold_on", sa.Date(), nullable=False),
        sa.Column("price_cents", sa.BigInteger(), nullable=False),
        sa.Column("delivery_charged_cents", sa.BigInteger(), nullable=False),
        sa.Column("delivery_paid_cents", sa.BigInteger(), nullable=False),
        sa.Column("fees_cents", sa.BigInteger(), nullable=False),
        sa.Column("tax_cents", sa.BigInteger(), nullable=False),
        sa.Column("buyer_name", sa.String(length=80), nullable=False),
        sa.Column("note", sa.String(length=200), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("struck_at", sa.DateTime(), nullable=True),
        sa.Column("struck_reason", sa.String(length=300), nullable=True),
        sa.CheckConstraint(
            "price_cents >= 0 AND delivery_charged_cents >= 0 AND delivery_paid_cents >= 0"
            " AND fees_cents >= 0 AND tax_cents >= 0",
            name=op.f("ck_sale_no_minus"),
        ),
        sa.ForeignKeyConstraint(["channel_id"], ["channel.id"], name=op.f("fk_sale_channel_id_channel")),
        sa.ForeignKeyConstraint(["listing_id"], ["listing.id"], name=op.f("fk_sale_listing_id_listing")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_sale_piece_id_piece")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sale")),
        sa.UniqueConstraint("capture_id", name=op.f("uq_sale_capture_id")),
    )
    op.create_index(op.f("ix_sale_channel_id"), "sale", ["channel_id"], unique=False)
    op.create_index(op.f("ix_sale_piece_id"), "sale", ["piece_id"], unique=False)
    op.create_index(op.f("ix_sale_sold_on"), "sale", ["sold_on"], unique=False)


def _add_sale_return() -> None:
    op.create_table(
        "sale_return",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("sale_id", sa.Integer(), nullable=False),
        sa.Column("returned_on", sa.Date(), nullable=False),
        sa.Column("refund_cents", sa.BigInteger(), nullable=False),
        sa.Column("tax_refunded_cents", sa.BigInteger(), nullable=False),
        sa.Column("fees_back_cents", sa.BigInteger(), nullable=False),
        sa.Column("delivery_back_cents", sa.BigInteger(), nullable=False),
        sa.Column("reason", sa.String(length=300), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("struck_at", sa.DateTime(), nullable=True),
        sa.Column("struck_reason", sa.String(length=300), nullable=True),
        sa.CheckConstraint(
            "refund_cents >= 0 AND tax_refunded_cents >= 0 AND fees_back_cents >= 0 AND delivery_back_cents >= 0",
            name=op.f("ck_sale_return_no_minus"),
        ),
        sa.ForeignKeyConstraint(["sale_id"], ["sale.id"], name=op.f("fk_sale_return_sale_id_sale")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sale_return")),
    )
    op.create_index(op.f("ix_sale_return_returned_on"), "sale_return", ["returned_on"], unique=False)
    op.create_index(op.f("ix_sale_return_sale_id"), "sale_return", ["sale_id"], unique=False)
    op.create_index(
        "uq_sale_return_sale_id_counting",
        "sale_return",
        ["sale_id"],
        unique=True,
        sqlite_where=sa.text("struck_at IS NULL"),
        postgresql_where=sa.text("struck_at IS NULL"),
    )
