"""Add the passphrase and the browsers that are signed in."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "passphrase",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("hash", sa.String(length=255), nullable=False),
        sa.Column("set_at", sa.DateTime(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_passphrase_only_one")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_passphrase")),
    )
    op.create_table(
        "signed_in_browser",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.Column("seen_at", sa.DateTime(), nullable=False),
        sa.Column("ended_at", sa.DateTime(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_signed_in_browser")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_signed_in_browser_token_hash")),
    )
    op.create_table(
        "wrong_try",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("address", sa.String(length=64), nullable=False),
        sa.Column("tried_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_wrong_try")),
    )
    op.create_index(op.f("ix_wrong_try_address"), "wrong_try", ["address"], unique=False)
    op.create_index(op.f("ix_wrong_try_tried_at"), "wrong_try", ["tried_at"], unique=False)


def downgrade() -> None:
    op.drop_index(op.f("ix_wrong_try_tried_at"), table_name="wrong_try")
    op.drop_index(op.f("ix_wrong_try_address"), table_name="wrong_try")
    op.drop_table("wrong_try")
    op.drop_table("signed_in_browser")
    op.drop_table("passphrase")
