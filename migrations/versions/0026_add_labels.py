"""Add what labels say."""

import sqlalchemy as sa
from alembic import op

revision = "0026"
down_revision = "0025"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "material_label",
        sa.Column("material_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("product", sa.String(length=32), nullable=True),
        sa.Column("recoat", sa.Integer(), nullable=True),
        sa.Column("recoat_by", sa.Integer(), nullable=True),
        sa.Column("handle", sa.Integer(), nullable=True),
        sa.Column("cure", sa.Integer(), nullable=True),
        sa.Column("dwell", sa.Integer(), nullable=True),
        sa.Column("spread_hundredths", sa.Integer(), nullable=True),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.CheckConstraint("spread_hundredths > 0", name=op.f("ck_material_label_spread_positive")),
        sa.ForeignKeyConstraint(["material_id"], ["material.id"], name=op.f("fk_material_label_material_id_material")),
        sa.PrimaryKeyConstraint("material_id", name=op.f("pk_material_label")),
    )


def downgrade() -> None:
    op.drop_table("material_label")
