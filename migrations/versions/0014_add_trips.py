"""Add trips with their pieces, own mileage rates and the year of the car."""

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None


def upgrade() -> None:
    _add_trip()
    _add_trip_piece()
    _add_mileage_rate()
    _add_car_year()


def downgrade() -> None:
    op.drop_table("car_year")
    op.drop_table("mileage_rate")
    op.drop_index(op.f("ix_trip_piece_piece_id"), table_name="trip_piece")
    op.drop_table("trip_piece")
    op.drop_index(op.f("ix_trip_on_date"), table_name="trip")
    op.drop_table("trip")


def _add_trip() -> None:
    op.create_table(
        "trip",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("capture_id", sa.String(length=36), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("purpose", sa.String(length=32), nullable=False),
        sa.Column("purpose_words", sa.String(length=200), nullable=False),
        sa.Column("from_place", sa.String(length=120), nullable=False),
        sa.Column("to_place", sa.String(length=120), nullable=False),
        sa.Column("distance_hundredths", sa.BigInteger(), nullable=False),
        sa.Column("distance_unit", sa.String(length=32), nullable=False),
        sa.Column("counts_as", sa.String(length=32), nullable=False),
        sa.Column("rate_hundredths", sa.Integer(), nullable=True),
        sa.Column("rate_unit", sa.String(length=32), nullable=True),
        sa.Column("extra_cents", sa.BigInteger(), nullable=False),
        sa.Column("actual_cents", sa.BigInteger(), nullable=False),
        sa.Column("charged_cents", sa.BigInteger(), nullable=False),
        sa.Column("by_value", sa.Boolean(), nullable=False),
        sa.Column("note", sa.String(length=200), nullable=False),
        sa.Column("receipt_photo_id", sa.Integer(), nullable=True),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("struck_at", sa.DateTime(), nullable=True),
        sa.Column("struck_reason", sa.String(length=300), nullable=True),
        sa.CheckConstraint("(rate_hundredths IS NULL) = (rate_unit IS NULL)", name=op.f("ck_trip_rate_with_unit")),
        sa.CheckConstraint("distance_hundredths > 0", name=op.f("ck_trip_goes_somewhere")),
        sa.CheckConstraint(
            "extra_cents >= 0 AND actual_cents >= 0 AND charged_cents >= 0", name=op.f("ck_trip_no_minus")
        ),
        sa.ForeignKeyConstraint(["receipt_photo_id"], ["photo.id"], name=op.f("fk_trip_receipt_photo_id_photo")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_trip")),
        sa.UniqueConstraint("capture_id", name=op.f("uq_trip_capture_id")),
    )
    op.create_index(op.f("ix_trip_on_date"), "trip", ["on_date"], unique=False)


def _add_trip_piece() -> None:
    op.create_table(
        "trip_piece",
        sa.Column("trip_id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("weight", sa.BigInteger(), nullable=False),
        sa.Column("cents", sa.BigInteger(), nullable=False),
        sa.CheckConstraint("weight >= 0 AND cents >= 0", name=op.f("ck_trip_piece_no_minus")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_trip_piece_piece_id_piece")),
        sa.ForeignKeyConstraint(["trip_id"], ["trip.id"], name=op.f("fk_trip_piece_trip_id_trip")),
        sa.PrimaryKeyConstraint("trip_id", "piece_id", name=op.f("pk_trip_piece")),
    )
    op.create_index(op.f("ix_trip_piece_piece_id"), "trip_piece", ["piece_id"], unique=False)


def _add_mileage_rate() -> None:
    op.create_table(
        "mileage_rate",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("from_date", sa.Date(), nullable=False),
        sa.Column("until_date", sa.Date(), nullable=False),
        sa.Column("rate_hundredths", sa.Integer(), nullable=False),
        sa.Column("unit", sa.String(length=32), nullable=False),
        sa.Column("source", sa.String(length=200), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("struck_at", sa.DateTime(), nullable=True),
        sa.Column("struck_reason", sa.String(length=300), nullable=True),
        sa.CheckConstraint("rate_hundredths > 0", name=op.f("ck_mileage_rate_rate_positive")),
        sa.CheckConstraint("until_date >= from_date", name=op.f("ck_mileage_rate_days_in_order")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_mileage_rate")),
    )


def _add_car_year() -> None:
    op.create_table(
        "car_year",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("year", sa.Integer(), nullable=False),
        sa.Column("unit", sa.String(length=32), nullable=False),
        sa.Column("total_hundredths", sa.BigInteger(), nullable=False),
        sa.Column("commuting_hundredths", sa.BigInteger(), nullable=False),
        sa.Column("in_service_on", sa.Date(), nullable=True),
        sa.CheckConstraint("total_hundredths >= 0 AND commuting_hundredths >= 0", name=op.f("ck_car_year_no_minus")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_car_year")),
        sa.UniqueConstraint("year", name=op.f("uq_car_year_year")),
    )
