"""Add the places sales tax is for, and what a sale says of its tax."""

import sqlalchemy as sa
from alembic import op

revision = "0016"
down_revision = "0015"
branch_labels = None
depends_on = None


def upgrade() -> None:
    _add_tax_place()
    _add_tax_rate()
    _tell_tax_of_sales()


def downgrade() -> None:
    op.drop_index(op.f("ix_sale_tax_place_id"), table_name="sale")
    op.drop_column("sale", "untaxed_reason")
    op.drop_column("sale", "channel_tax_cents")
    op.drop_column("sale", "tax_basis")
    op.drop_column("sale", "tax_rate_ppm")
    op.drop_column("sale", "tax_place_id")
    op.drop_index(
        "uq_tax_rate_place_id_from_date_counting",
        table_name="tax_rate",
        sqlite_where=sa.text("struck_at IS NULL"),
        postgresql_where=sa.text("struck_at IS NULL"),
    )
    op.drop_index(op.f("ix_tax_rate_place_id"), table_name="tax_rate")
    op.drop_table("tax_rate")
    op.drop_table("tax_place")


def _add_tax_place() -> None:
    op.create_table(
        "tax_place",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("basis", sa.String(length=32), nullable=False),
        sa.Column("is_put_away", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tax_place")),
        sa.UniqueConstraint("name", name=op.f("uq_tax_place_name")),
    )


def _add_tax_rate() -> None:
    op.create_table(
        "tax_rate",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("place_id", sa.Integer(), nullable=False),
        sa.Column("from_date", sa.Date(), nullable=False),
        sa.Column("rate_ppm", sa.Integer(), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("struck_at", sa.DateTime(), nullable=True),
        sa.Column("struck_reason", sa.String(length=300), nullable=True),
        sa.CheckConstraint("rate_ppm BETWEEN 0 AND 1000000", name=op.f("ck_tax_rate_rate_in_range")),
        sa.ForeignKeyConstraint(["place_id"], ["tax_place.id"], name=op.f("fk_tax_rate_place_id_tax_place")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_tax_rate")),
    )
    op.create_index(op.f("ix_tax_rate_place_id"), "tax_rate", ["place_id"], unique=False)
    op.create_index(
        "uq_tax_rate_place_id_from_date_counting",
        "tax_rate",
        ["place_id", "from_date"],
        unique=True,
        sqlite_where=sa.text("struck_at IS NULL"),
        postgresql_where=sa.text("struck_at IS NULL"),
    )


def _tell_tax_of_sales() -> None:
    # A key to another table cannot be added to a table of SQLite but together with its column.
    op.execute(
        "ALTER TABLE sale ADD COLUMN tax_place_id INTEGER"
        " CONSTRAINT fk_sale_tax_place_id_tax_place REFERENCES tax_place (id)"
    )
    op.add_column("sale", sa.Column("tax_rate_ppm", sa.Integer(), nullable=True))
    op.add_column("sale", sa.Column("tax_basis", sa.String(length=32), nullable=True))
    op.add_column("sale", sa.Column("channel_tax_cents", sa.BigInteger(), server_default="0", nullable=False))
    op.add_column("sale", sa.Column("untaxed_reason", sa.String(length=200), server_default="", nullable=False))
    op.create_index(op.f("ix_sale_tax_place_id"), "sale", ["tax_place_id"], unique=False)
