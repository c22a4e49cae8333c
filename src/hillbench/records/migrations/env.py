"""Runs the migrations on the connection that the caller opened."""

from __future__ import annotations

from alembic import context

context.configure(
    connection=context.config.attributes["connection"],
    transactional_ddl=True,
    render_as_batch=True,
)
context.run_migrations()
