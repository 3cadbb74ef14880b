"""Alembic's way into the ledger: runs on the connection it is handed."""

from alembic import context

from app.all_models import Base
from app.database.engine import make_engine


def run_on(connection):  # noqa: ANN001, ANN201
    """Run the migrations in the transaction of `connection`."""
    context.configure(
        connection=connection,
        target_metadata=Base.metadata,
        render_as_batch=True,
        transactional_ddl=True,
        compare_type=True,
    )
    with context.begin_transaction():
        context.run_migrations()


handed = context.config.attributes.get("connection")
if handed is not None:
    run_on(handed)
else:
    engine = make_engine(context.config.get_main_option("sqlalchemy.url"), foreign_keys=False)
    with engine.begin() as own:
        run_on(own)
