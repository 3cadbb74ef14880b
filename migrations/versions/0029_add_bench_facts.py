"""Add the places of the bench and what pieces are expected to bring."""

import sqlalchemy as sa
from alembic import op

revision = "0029"
down_revision = "0028"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "bench_facts",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("drying_places", sa.Integer(), nullable=False),
        sa.Column("spray_clear", sa.Integer(), nullable=False),
        sa.CheckConstraint("drying_places >= 0 AND spray_clear >= 0", name=op.f("ck_bench_facts_no_minus")),
        sa.CheckConstraint("id = 1", name=op.f("ck_bench_facts_only_one")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_bench_facts")),
    )
    op.create_table(
        "expectation",
        sa.Column("piece_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("brings_cents", sa.BigInteger(), nullable=True),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.CheckConstraint("brings_cents >= 0", name=op.f("ck_expectation_no_minus")),
        sa.ForeignKeyConstraint(["piece_id"], ["piece.id"], name=op.f("fk_expectation_piece_id_piece")),
        sa.PrimaryKeyConstraint("piece_id", name=op.f("pk_expectation")),
    )


def downgrade() -> None:
    op.drop_table("expectation")
    op.drop_table("bench_facts")
