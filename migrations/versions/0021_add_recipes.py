"""Add recipes and their editions."""

import sqlalchemy as sa
from alembic import op

revision = "0021"
down_revision = "0020"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "recipe",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("capture_id", sa.String(length=36), nullable=False),
        sa.Column("name", sa.String(length=80), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        sa.Column("is_put_away", sa.Boolean(), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_recipe")),
        sa.UniqueConstraint("capture_id", name=op.f("uq_recipe_capture_id")),
        sa.UniqueConstraint("name", name=op.f("uq_recipe_name")),
    )
    op.create_table(
        "recipe_edition",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("recipe_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("made_at", sa.DateTime(), nullable=False),
        sa.ForeignKeyConstraint(["recipe_id"], ["recipe.id"], name=op.f("fk_recipe_edition_recipe_id_recipe")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_recipe_edition")),
        sa.UniqueConstraint("recipe_id", "number", name=op.f("uq_recipe_edition_recipe_id_number")),
    )
    op.create_index(op.f("ix_recipe_edition_recipe_id"), "recipe_edition", ["recipe_id"], unique=False)


def downgrade() -> None:
    op.drop_index(op.f("ix_recipe_edition_recipe_id"), table_name="recipe_edition")
    op.drop_table("recipe_edition")
    op.drop_table("recipe")
