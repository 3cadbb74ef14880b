"""Add the shelf: materials, what is bought, used and counted of them, and what it charges."""

import sqlalchemy as sa
from alembic import op

revision = "0013"
down_revision = "0012"
branch_labels = None
depends_on = None


def upgrade() -> None:
    _add_material()
    _add_shelf_purchase()
    _add_shelf_use()
    _add_shelf_count()
    _add_shelf_charge()


def downgrade() -> None:
    op.drop_index(op.f("ix_shelf_charge_use_id"), table_name="shelf_charge")
    op.drop_index(op.f("ix_shelf_charge_purchase_id"), table_name="shelf_charge")
    op.drop_index(op.f("ix_shelf_charge_piece_id"), table_name="shelf_charge")
    op.drop_index(op.f("ix_shelf_charge_on_date"), table_name="shelf_charge")
    op.drop_index(op.f("ix_shelf_charge_material_id"), table_name="shelf_charge")
    op.drop_index(op.f("ix_shelf_charge_count_id"), table_name="shelf_charge")
    op.drop_table("shelf_charge")
    op.drop_index(op.f("ix_shelf_count_on_date"), table_name="shelf_count")
    op.drop_index(op.f("ix_shelf_count_material_id"), table_name="shelf_count")
    op.drop_table("shelf_count")
    op.drop_index(op.f("ix_shelf_use_piece_id"), table_name="shelf_use")
    op.drop_index(op.f("ix_shelf_use_on_date"), table_name="shelf_use")
    op.drop_index(op.f("ix_shelf_use_material_id"), table_name="shelf_use")
    op.drop_table("shelf_use")
    op.drop_index(op.f("ix_shelf_purchase_on_date"), table_name="shelf_purchase")
    op.drop_index(op.f("ix_shelf_purchase_material_id"), table_name="shelf_purchase")
    op.drop_index(op.f("ix_shelf_purchase_from_piece_id"), table_name="shelf_purchase")
    op.drop_table("shelf_purchase")
    op.drop_table("material")


def _add_material() -> None:
    op.create_table(
        "material",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("klass", sa.String(length=32), nullable=False),
        sa.Column("unit", sa.String(length=32), nullable=False),
        sa.Column("colour", sa.String(length=7), nullable=True),
        sa.Column("sheen", sa.String(length=40), nullable=False),
        sa.Column("volume_solids_hundredths", sa.Integer(), nullable=True),
        sa.Column("reorder_milli", sa.BigInteger(), nullable=True),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("is_put_away", sa.Boolean(), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.CheckConstraint("reorder_milli >= 0", name=op.f("ck_material_reorder_not_negative")),
        sa.CheckConstraint("volume_solids_hundredths BETWEEN 0 AND 10000", name=op.f("ck_material_solids_in_range")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_material")),
        sa.UniqueConstraint("name", name=op.f("uq_material_name")),
    )


def _add_shelf_purchase() -> None:
    op.create_table(
        "shelf_purchase",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("capture_id", sa.String(length=36), nullable=False),
        sa.Column("material_id", sa.Integer(), nullable=False),
        sa.Column("from_piece_id", sa.Integer(), nullable=True),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("quantity_milli", sa.BigInteger(), nullable=False),
        sa.Column("price_cents", sa.BigInteger(), nullable=False),
        sa.Column("tax_cents", sa.BigInteger(), nullable=False),
        sa.Column("bought_at", sa.String(length=80), nullable=False),
        sa.Column("note", sa.String(length=200), nullable=False),
        sa.Column("receipt_photo_id", sa.Integer(), nullable=True),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("struck_at", sa.DateTime(), nullable=True),
        sa.Column("struck_reason", sa.String(length=300), nullable=True),
        sa.CheckConstraint("price_cents >= 0 AND tax_cents >= 0", name=op.f("ck_shelf_purchase_no_minus")),
        sa.CheckConstraint("quantity_milli > 0", name=op.f("ck_shelf_purchase_quantity_positive")),
        sa.ForeignKeyConstraint(["from_piece_id"], ["piece.id"], name=op.f("fk_shelf_purchase_from_piece_id_piece")),
        sa.ForeignKeyConstraint(["material_id"], ["material.id"], name=op.f("fk_shelf_purchase_material_id_material")),
        sa.ForeignKeyConstraint(
            ["receipt_photo_id"], ["photo.id"], name=op.f("fk_shelf_purchase_receipt_photo_id_photo")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shelf_purchase")),
        sa.UniqueConstraint("capture_id", name=op.f("uq_shelf_purchase_capture_id")),
    )
    op.create_index(op.f("ix_shelf_purchase_from_piece_id"), "shelf_purchase", ["from_piece_id"], unique=False)
    op.create_index(op.f("ix_shelf_purchase_material_id"), "shelf_purchase", ["material_id"], unique=False)
    op.create_index(op.f("ix_shelf_purchase_on_date"), "shelf_purchase", ["on_date"], unique=False)


def _add_shelf_use() -> None:
    op.create_table(
        "shelf_use",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("capture_id", sa.String(length=36), nullable=False),
        sa.Column("material_id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=True),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("quantity_milli", sa.BigInteger(), nullable=False),
        sa.Column("note", sa.String(length=200), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("struck_at", sa.DateTime(), nullable=True),
        sa.Column("struck_reason", sa.String(length=300), nullable=True),
        sa.CheckConstraint("quantity_milli > 0", name=op.f("ck_shelf_use_quantity_positive")),
        sa.ForeignKeyConstraint(["material_id"], ["material.id"], name=op.f("fk_shelf_use_material_id_material")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_shelf_use_piece_id_piece")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shelf_use")),
        sa.UniqueConstraint("capture_id", name=op.f("uq_shelf_use_capture_id")),
    )
    op.create_index(op.f("ix_shelf_use_material_id"), "shelf_use", ["material_id"], unique=False)
    op.create_index(op.f("ix_shelf_use_on_date"), "shelf_use", ["on_date"], unique=False)
    op.create_index(op.f("ix_shelf_use_piece_id"), "shelf_use", ["piece_id"], unique=False)


def _add_shelf_count() -> None:
    op.create_table(
        "shelf_count",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("capture_id", sa.String(length=36), nullable=False),
        sa.Column("material_id", sa.Integer(), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("counted_milli", sa.BigInteger(), nullable=False),
        sa.Column("note", sa.String(length=200), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("struck_at", sa.DateTime(), nullable=True),
        sa.Column("struck_reason", sa.String(length=300), nullable=True),
        sa.CheckConstraint("counted_milli >= 0", name=op.f("ck_shelf_count_not_negative")),
        sa.ForeignKeyConstraint(["material_id"], ["material.id"], name=op.f("fk_shelf_count_material_id_material")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shelf_count")),
        sa.UniqueConstraint("capture_id", name=op.f("uq_shelf_count_capture_id")),
    )
    op.create_index(op.f("ix_shelf_count_material_id"), "shelf_count", ["material_id"], unique=False)
    op.create_index(op.f("ix_shelf_count_on_date"), "shelf_count", ["on_date"], unique=False)


def _add_shelf_charge() -> None:
    op.create_table(
        "shelf_charge",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("material_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=32), nullable=False),
        sa.Column("use_id", sa.Integer(), nullable=True),
        sa.Column("purchase_id", sa.Integer(), nullable=True),
        sa.Column("count_id", sa.Integer(), nullable=True),
        sa.Column("piece_id", sa.Integer(), nullable=True),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("quantity_milli", sa.BigInteger(), nullable=False),
        sa.Column("short_milli", sa.BigInteger(), nullable=False),
        sa.Column("cents", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["count_id"], ["shelf_count.id"], name=op.f("fk_shelf_charge_count_id_shelf_count")),
        sa.ForeignKeyConstraint(["material_id"], ["material.id"], name=op.f("fk_shelf_charge_material_id_material")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_shelf_charge_piece_id_piece")),
        sa.ForeignKeyConstraint(
            ["purchase_id"], ["shelf_purchase.id"], name=op.f("fk_shelf_charge_purchase_id_shelf_purchase")
        ),
        sa.ForeignKeyConstraint(["use_id"], ["shelf_use.id"], name=op.f("fk_shelf_charge_use_id_shelf_use")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shelf_charge")),
    )
    op.create_index(op.f("ix_shelf_charge_count_id"), "shelf_charge", ["count_id"], unique=False)
    op.create_index(op.f("ix_shelf_charge_material_id"), "shelf_charge", ["material_id"], unique=False)
    op.create_index(op.f("ix_shelf_charge_on_date"), "shelf_charge", ["on_date"], unique=False)
    op.create_index(op.f("ix_shelf_charge_piece_id"), "shelf_charge", ["piece_id"], unique=False)
    op.create_index(op.f("ix_shelf_charge_purchase_id"), "shelf_charge", ["purchase_id"], unique=False)
    op.create_index(op.f("ix_shelf_charge_use_id"), "shelf_charge", ["use_id"], unique=False)
