"""Add what pieces have on them before they are finished."""

import sqlalchemy as sa
from alembic import op

revision = "0027"
down_revision = "0026"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "piece_surface",
        sa.Column("piece_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("old_finish", sa.String(length=32), nullable=False),
        sa.Column("is_glossy", sa.Boolean(), nullable=False),
        sa.Column("is_stained", sa.Boolean(), nullable=False),
        sa.Column("has_knots", sa.Boolean(), nullable=False),
        sa.Column("has_water_marks", sa.Boolean(), nullable=False),
        sa.Column("has_odour", sa.Boolean(), nullable=False),
        sa.Column("has_polish", sa.Boolean(), nullable=False),
        sa.Column("has_live_insects", sa.Boolean(), nullable=False),
        sa.Column("is_damp", sa.Boolean(), nullable=False),
        sa.Column("lead_test", sa.String(length=32), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_piece_surface_piece_id_piece")),
        sa.PrimaryKeyConstraint("piece_id", name=op.f("pk_piece_surface")),
    )


def downgrade() -> None:
    op.drop_table("piece_surface")
