"""Runs steps on the connection that `models.store.upgrade` hands over.

The transaction is the caller's, so that a step is taken whole or not at all.
"""

from __future__ import annotations

from alembic import context

from models.store.schema import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    render_as_batch=True,  # SQLite cannot alter most columns in place
)
context.run_migrations()
