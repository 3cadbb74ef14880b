"""Add the steps of recipes."""

import sqlalchemy as sa
from alembic import op

revision = "0022"
down_revision = "0021"
branch_labels = None
depends_on = None


def _what_a_step_says() -> list[sa.Column]:
    return [
        sa.Column("task", sa.String(length=32), nullable=False),
        sa.Column("part", sa.String(length=32), nullable=False),
        sa.Column("aim", sa.String(length=32), nullable=True),
        sa.Column("product", sa.String(length=32), nullable=True),
        sa.Column("material_id", sa.Integer(), nullable=True),
        sa.Column("colour", sa.String(length=7), nullable=True),
        sa.Column("ratio", sa.String(length=24), nullable=False),
        sa.Column("mixed_with", sa.String(length=80), nullable=False),
        sa.Column("thin_hundredths", sa.Integer(), nullable=True),
        sa.Column("grit", sa.Integer(), nullable=True),
        sa.Column("grit_scale", sa.String(length=32), nullable=False),
        sa.Column("coats", sa.Integer(), nullable=False),
        sa.Column("way", sa.String(length=32), nullable=True),
        sa.Column("dwell", sa.Integer(), nullable=True),
        sa.Column("recoat", sa.Integer(), nullable=True),
        sa.Column("recoat_by", sa.Integer(), nullable=True),
        sa.Column("cure", sa.Integer(), nullable=True),
        sa.Column("active", sa.Integer(), nullable=True),
        sa.Column("note", sa.String(length=200), nullable=False),
        sa.Column("caution", sa.String(length=200), nullable=False),
    ]


def upgrade() -> None:
    op.create_table(
        "recipe_step",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("edition_id", sa.Integer(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        *_what_a_step_says(),
        sa.CheckConstraint("coats >= 1", name=op.f("ck_recipe_step_coats_positive")),
        sa.ForeignKeyConstraint(
            ["edition_id"], ["recipe_edition.id"], name=op.f("fk_recipe_step_edition_id_recipe_edition")
        ),
        sa.ForeignKeyConstraint(["material_id"], ["material.id"], name=op.f("fk_recipe_step_material_id_material")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_recipe_step")),
    )
    op.create_index(op.f("ix_recipe_step_edition_id"), "recipe_step", ["edition_id"], unique=False)


def downgrade() -> None:
    op.drop_index(op.f("ix_recipe_step_edition_id"), table_name="recipe_step")
    op.drop_table("recipe_step")
