"""Add minutes worked and the running clock."""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "running_timer",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=True),
        sa.Column("activity", sa.String(length=32), nullable=False),
        sa.Column("started_at", sa.DateTime(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_running_timer_only_one")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_running_timer_piece_id_piece")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_running_timer")),
    )
    op.create_table(
        "time_entry",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("capture_id", sa.String(length=36), nullable=False),
        sa.Column("piece_id", sa.Integer(), nullable=True),
        sa.Column("activity", sa.String(length=32), nullable=False),
        sa.Column("on_date", sa.Date(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("started_at", sa.DateTime(), nullable=True),
        sa.Column("ended_at", sa.DateTime(), nullable=True),
        sa.Column("note", sa.String(length=200), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("struck_at", sa.DateTime(), nullable=True),
        sa.Column("struck_reason", sa.String(length=300), nullable=True),
        sa.CheckConstraint("minutes > 0", name=op.f("ck_time_entry_minutes_positive")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_time_entry_piece_id_piece")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_time_entry")),
        sa.UniqueConstraint("capture_id", name=op.f("uq_time_entry_capture_id")),
    )
    op.create_index(op.f("ix_time_entry_on_date"), "time_entry", ["on_date"], unique=False)
    op.create_index(op.f("ix_time_entry_piece_id"), "time_entry", ["piece_id"], unique=False)


def downgrade() -> None:
    op.drop_index(op.f("ix_time_entry_piece_id"), table_name="time_entry")
    op.drop_index(op.f("ix_time_entry_on_date"), table_name="time_entry")
    op.drop_table("time_entry")
    op.drop_table("running_timer")
