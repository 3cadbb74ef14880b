"""Add what phones wrote down without signal and sent home, and the photos that belong to it."""

import sqlalchemy as sa
from alembic import op

revision = "0036"
down_revision = "0035"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "capture",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("kind", sa.String(length=32), nullable=False),
        sa.Column("state", sa.String(length=32), nullable=False),
        sa.Column("reference", sa.String(length=12), nullable=False),
        sa.Column("body", sa.Text(), nullable=False),
        sa.Column("fingerprint", sa.String(length=64), nullable=False),
        sa.Column("browser_id", sa.Integer(), nullable=True),
        sa.Column("captured_at", sa.DateTime(), nullable=False),
        sa.Column("received_at", sa.DateTime(), nullable=False),
        sa.Column("trouble", sa.Text(), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=True),
        sa.Column("cost_line_id", sa.Integer(), nullable=True),
        sa.Column("time_entry_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(
            ["browser_id"], ["signed_in_browser.id"], name=op.f("fk_capture_browser_id_signed_in_browser")
        ),
        sa.ForeignKeyConstraint(["cost_line_id"], ["cost_line.id"], name=op.f("fk_capture_cost_line_id_cost_line")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_capture_piece_id_piece")),
        sa.ForeignKeyConstraint(["time_entry_id"], ["time_entry.id"], name=op.f("fk_capture_time_entry_id_time_entry")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_capture")),
    )
    op.create_index(op.f("ix_capture_reference"), "capture", ["reference"], unique=False)
    op.create_index(op.f("ix_capture_state"), "capture", ["state"], unique=False)
    op.create_table(
        "capture_photo",
        sa.Column("capture_id", sa.String(length=36), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("given_name", sa.String(length=200), nullable=False),
        sa.Column("bytes", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=8), nullable=True),
        sa.Column("width", sa.Integer(), nullable=True),
        sa.Column("height", sa.Integer(), nullable=True),
        sa.Column("taken_at", sa.DateTime(), nullable=True),
        sa.ForeignKeyConstraint(["capture_id"], ["capture.id"], name=op.f("fk_capture_photo_capture_id_capture")),
        sa.PrimaryKeyConstraint("capture_id", "sha256", name=op.f("pk_capture_photo")),
    )


def downgrade() -> None:
    op.drop_table("capture_photo")
    op.drop_index(op.f("ix_capture_state"), table_name="capture")
    op.drop_index(op.f("ix_capture_reference"), table_name="capture")
    op.drop_table("capture")
