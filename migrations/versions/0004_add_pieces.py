"""Add pieces, hauls, purchases, steps, corrections, transfers and leavings."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    _add_source()
    _add_haul()
    _add_piece()
    _index_pieces()
    _add_correction()
    _add_leaving()
    _add_purchase()
    _add_step()
    _add_transfer()


def downgrade() -> None:
    op.drop_index(op.f("ix_transfer_to_piece_id"), table_name="transfer")
    op.drop_index(op.f("ix_transfer_on_date"), table_name="transfer")
    op.drop_index(op.f("ix_transfer_from_piece_id"), table_name="transfer")
    op.drop_table("transfer")
    op.drop_index(op.f("ix_step_piece_id"), table_name="step")
    op.drop_table("step")
    op.drop_index(
        "uq_purchase_piece_id_counting",
        table_name="purchase",
        sqlite_where=sa.text("struck_at IS NULL"),
        postgresql_where=sa.text("struck_at IS NULL"),
    )
    op.drop_index(op.f("ix_purchase_piece_id"), table_name="purchase")
    op.drop_index(op.f("ix_purchase_on_date"), table_name="purchase")
    op.drop_index(op.f("ix_purchase_haul_id"), table_name="purchase")
    op.drop_table("purchase")
    op.drop_index(op.f("ix_leaving_piece_id"), table_name="leaving")
    op.drop_index(op.f("ix_leaving_on_date"), table_name="leaving")
    op.drop_index(op.f("ix_leaving_back_on"), table_name="leaving")
    op.drop_table("leaving")
    op.drop_index(op.f("ix_correction_piece_id"), table_name="correction")
    op.drop_table("correction")
    op.drop_index("ix_piece_stage_left_as", table_name="piece")
    op.drop_index(op.f("ix_piece_split_from_id"), table_name="piece")
    op.drop_index(op.f("ix_piece_sourced_on"), table_name="piece")
    op.drop_index(op.f("ix_piece_source_id"), table_name="piece")
    op.drop_index(op.f("ix_piece_haul_id"), table_name="piece")
    op.drop_table("piece")
    op.drop_table("haul")
    op.drop_table("source")


def _add_source() -> None:
    op.create_table(
        "source",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("is_free", sa.Boolean(), nullable=False),
        sa.Column("is_put_away", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_source")),
        sa.UniqueConstraint("name", name=op.f("uq_source_name")),
    )


def _add_haul() -> None:
    op.create_table(
        "haul",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("capture_id", sa.String(length=36), nullable=False),
        sa.Column("bought_on", sa.Date(), nullable=False),
        sa.Column("source_id", sa.Integer(), nullable=True),
        sa.Column("price_cents", sa.BigInteger(), nullable=False),
        sa.Column("premium_cents", sa.BigInteger(), nullable=False),
        sa.Column("tax_cents", sa.BigInteger(), nullable=False),
        sa.Column("split", sa.String(length=32), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.CheckConstraint("price_cents >= 0 AND premium_cents >= 0 AND tax_cents >= 0", name=op.f("ck_haul_no_minus")),
        sa.ForeignKeyConstraint(["source_id"], ["source.id"], name=op.f("fk_haul_source_id_source")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_haul")),
        sa.UniqueConstraint("capture_id", name=op.f("uq_haul_capture_id")),
    )


def _add_piece() -> None:
    op.create_table(
        "piece",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("capture_id", sa.String(length=36), nullable=False),
        sa.Column("tag", sa.String(length=4), nullable=False),
        sa.Column("form", sa.String(length=32), nullable=False),
        sa.Column("title", sa.String(length=120), nullable=False),
        sa.Column("folded", sa.Text(), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("source_id", sa.Integer(), nullable=True),
        sa.Column("haul_id", sa.Integer(), nullable=True),
        sa.Column("split_from_id", sa.Integer(), nullable=True),
        sa.Column("width_mm", sa.Integer(), nullable=True),
        sa.Column("depth_mm", sa.Integer(), nullable=True),
        sa.Column("height_mm", sa.Integer(), nullable=True),
        sa.Column("condition", sa.String(length=32), nullable=True),
        sa.Column("materials", sa.String(length=200), nullable=False),
        sa.Column("age", sa.String(length=32), nullable=False),
        sa.Column("year", sa.Integer(), nullable=True),
        sa.Column("notes", sa.Text(), nullable=False),
        sa.Column("finish_colour", sa.String(length=7), nullable=True),
        sa.Column("finish_words", sa.String(length=200), nullable=False),
        sa.Column("next_note", sa.String(length=200), nullable=False),
        sa.Column("stage", sa.String(length=32), nullable=False),
        sa.Column("stage_since", sa.Date(), nullable=False),
        sa.Column("left_as", sa.String(length=32), nullable=True),
        sa.Column("sourced_on", sa.Date(), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.CheckConstraint("count >= 1", name=op.f("ck_piece_count_positive")),
        sa.ForeignKeyConstraint(["haul_id"], ["haul.id"], name=op.f("fk_piece_haul_id_haul")),
        sa.ForeignKeyConstraint(["source_id"], ["source.id"], name=op.f("fk_piece_source_id_source")),
        sa.ForeignKeyConstraint(["split_from_id"], ["piece.id"], name=op.f("fk_piece_split_from_id_piece")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_piece")),
        sa.UniqueConstraint("capture_id", name=op.f("uq_piece_capture_id")),
        sa.UniqueConstraint("tag", name=op.f("uq_piece_tag")),
    )


def _index_pieces() -> None:
    op.create_index(op.f("ix_piece_haul_id"), "piece", ["haul_id"], unique=False)
    op.create_index(op.f("ix_piece_source_id"), "piece", ["source_id"], unique=False)
    op.create_index(op.f("ix_piece_sourced_on"), "piece", ["sourced_on"], unique=False)
    op.create_index(op.f("ix_piece_split_from_id"), "piece", ["split_from_id"], unique=False)
    op.create_index("ix_piece_stage_left_as", "piece", ["stage", "left_as"], unique=False)


def _add_correction() -> None:
    op.create_table(
        "correction",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("fact", sa.String(length=80), nullable=False),
        sa.Column("was", sa.Text(), nullable=False),
        sa.Column("became", sa.Text(), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_correction_piece_id_piece")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_correction")),
    )
    op.create_index(op.f("ix_correction_piece_id"), "correction", ["piece_id"], unique=False)


def _add_leaving() -> None:
    op.create_table(
        "leaving",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("how", sa.String(length=32), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("reason", sa.String(length=300), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("back_on", sa.Date(), nullable=True),
        sa.Column("back_reason", sa.String(length=300), nullable=True),
        sa.Column("back_at", sa.DateTime(), nullable=True),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_leaving_piece_id_piece")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_leaving")),
    )
    op.create_index(op.f("ix_leaving_back_on"), "leaving", ["back_on"], unique=False)
    op.create_index(op.f("ix_leaving_on_date"), "leaving", ["on_date"], unique=False)
    op.create_index(op.f("ix_leaving_piece_id"), "leaving", ["piece_id"], unique=False)


def _add_purchase() -> None:
    op.create_table(
        "purchase",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("haul_id", sa.Integer(), nullable=True),
        sa.Column("kind", sa.String(length=32), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("price_cents", sa.BigInteger(), nullable=False),
        sa.Column("premium_cents", sa.BigInteger(), nullable=False),
        sa.Column("tax_cents", sa.BigInteger(), nullable=False),
        sa.Column("guess_cents", sa.BigInteger(), nullable=True),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("struck_at", sa.DateTime(), nullable=True),
        sa.Column("struck_reason", sa.String(length=300), nullable=True),
        sa.CheckConstraint(
            "price_cents >= 0 AND premium_cents >= 0 AND tax_cents >= 0", name=op.f("ck_purchase_no_minus")
        ),
        sa.ForeignKeyConstraint(["haul_id"], ["haul.id"], name=op.f("fk_purchase_haul_id_haul")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_purchase_piece_id_piece")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_purchase")),
    )
    op.create_index(op.f("ix_purchase_haul_id"), "purchase", ["haul_id"], unique=False)
    op.create_index(op.f("ix_purchase_on_date"), "purchase", ["on_date"], unique=False)
    op.create_index(op.f("ix_purchase_piece_id"), "purchase", ["piece_id"], unique=False)
    op.create_index(
        "uq_purchase_piece_id_counting",
        "purchase",
        ["piece_id"],
        unique=True,
        sqlite_where=sa.text("struck_at IS NULL"),
        postgresql_where=sa.text("struck_at IS NULL"),
    )


def _add_step() -> None:
    op.create_table(
        "step",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=32), nullable=False),
        sa.Column("from_stage", sa.String(length=32), nullable=True),
        sa.Column("to_stage", sa.String(length=32), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("reason", sa.String(length=300), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_step_piece_id_piece")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_step")),
    )
    op.create_index(op.f("ix_step_piece_id"), "step", ["piece_id"], unique=False)


def _add_transfer() -> None:
    op.create_table(
        "transfer",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("from_piece_id", sa.Integer(), nullable=False),
        sa.Column("to_piece_id", sa.Integer(), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("cents", sa.BigInteger(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("reason", sa.String(length=300), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.CheckConstraint("cents >= 0 AND minutes >= 0", name=op.f("ck_transfer_no_minus")),
        sa.CheckConstraint("from_piece_id != to_piece_id", name=op.f("ck_transfer_two_pieces")),
        sa.ForeignKeyConstraint(["from_piece_id"], ["piece.id"], name=op.f("fk_transfer_from_piece_id_piece")),
        sa.ForeignKeyConstraint(["to_piece_id"], ["piece.id"], name=op.f("fk_transfer_to_piece_id_piece")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_transfer")),
    )
    op.create_index(op.f("ix_transfer_from_piece_id"), "transfer", ["from_piece_id"], unique=False)
    op.create_index(op.f("ix_transfer_on_date"), "transfer", ["on_date"], unique=False)
    op.create_index(op.f("ix_transfer_to_piece_id"), "transfer", ["to_piece_id"], unique=False)
