"""Add the owner's own words for listing a piece and for its care."""

import sqlalchemy as sa
from alembic import op

revision = "0037"
down_revision = "0036"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "wording",
        sa.Column("piece_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("listing", sa.Text(), nullable=False),
        sa.Column("care", sa.Text(), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_wording_piece_id_piece")),
        sa.PrimaryKeyConstraint("piece_id", name=op.f("pk_wording")),
    )


def downgrade() -> None:
    op.drop_table("wording")
