"""Add photos."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "photo",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=True),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("shows", sa.String(length=32), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("width", sa.Integer(), nullable=False),
        sa.Column("height", sa.Integer(), nullable=False),
        sa.Column("bytes", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=8), nullable=False),
        sa.Column("given_name", sa.String(length=200), nullable=False),
        sa.Column("taken_at", sa.DateTime(), nullable=True),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("removed_at", sa.DateTime(), nullable=True),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_photo_piece_id_piece")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_photo")),
    )
    op.create_index("ix_photo_piece_id_position", "photo", ["piece_id", "position"], unique=False)
    op.create_index(op.f("ix_photo_sha256"), "photo", ["sha256"], unique=False)


def downgrade() -> None:
    op.drop_index(op.f("ix_photo_sha256"), table_name="photo")
    op.drop_index("ix_photo_piece_id_position", table_name="photo")
    op.drop_table("photo")
