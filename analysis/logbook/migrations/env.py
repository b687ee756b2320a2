"""What alembic runs: the migrations, on the connection (and in the transaction) of the one who opens the logbook."""

from __future__ import annotations

from alembic import context

from analysis.logbook.schema import METADATA

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=METADATA,
    render_as_batch=True,  # SQLite cannot alter a column in place
)
with context.begin_transaction():
    context.run_migrations()
