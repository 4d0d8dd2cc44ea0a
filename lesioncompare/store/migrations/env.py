"""How alembic runs here: on a connection that is handed in, inside its transaction."""

from alembic import context

from lesioncompare.store.tables import metadata

connection = context.config.attributes["connection"]
context.configure(
    connection=connection,
    target_metadata=metadata,
    render_as_batch=connection.dialect.name == "sqlite",  # SQLite cannot alter columns in place
    compare_type=True,
)
with context.begin_transaction():
    context.run_migrations()
