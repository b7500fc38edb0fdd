"""Runs a migration on the connection that the program hands over; there is no other way in."""

from __future__ import annotations

from alembic import context

from fitment.catalogue.schema import Base

connection = context.config.attributes["connection"]
context.configure(connection=connection, target_metadata=Base.metadata, render_as_batch=True)
with context.begin_transaction():
    context.run_migrations()
