"""Add finishes as done."""

import sqlalchemy as sa
from alembic import op

revision = "0023"
down_revision = "0022"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "finish",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("capture_id", sa.String(length=36), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=False),
        sa.Column("edition_id", sa.Integer(), nullable=True),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("redo_of_id", sa.Integer(), nullable=True),
        sa.Column("made_for", sa.String(length=80), nullable=False),
        sa.Column("state", sa.String(length=32), nullable=False),
        sa.Column("begun_on", sa.Date(), nullable=False),
        sa.Column("ended_on", sa.Date(), nullable=True),
        sa.Column("stopped_reason", sa.String(length=300), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(
            ["edition_id"], ["recipe_edition.id"], name=op.f("fk_finish_edition_id_recipe_edition")
        ),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_finish_piece_id_piece")),
        sa.ForeignKeyConstraint(["redo_of_id"], ["finish.id"], name=op.f("fk_finish_redo_of_id_finish")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_finish")),
        sa.UniqueConstraint("capture_id", name=op.f("uq_finish_capture_id")),
    )
    op.create_index(op.f("ix_finish_edition_id"), "finish", ["edition_id"], unique=False)
    op.create_index(op.f("ix_finish_piece_id"), "finish", ["piece_id"], unique=False)
    op.create_index(op.f("ix_finish_redo_of_id"), "finish", ["redo_of_id"], unique=False)


def downgrade() -> None:
    op.drop_index(op.f("ix_finish_redo_of_id"), table_name="finish")
    op.drop_index(op.f("ix_finish_piece_id"), table_name="finish")
    op.drop_index(op.f("ix_finish_edition_id"), table_name="finish")
    op.drop_table("finish")
