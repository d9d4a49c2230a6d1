"""Runs migrations inside the transaction that ``migrate.upgrade`` hands over. Sets up no logging."""

from alembic import context

# The caller has begun the transaction and ends it, so table changes are all or nothing on SQLite too.
context.configure(connection=context.config.attributes["connection"])
with context.begin_transaction():
    context.run_migrations()
