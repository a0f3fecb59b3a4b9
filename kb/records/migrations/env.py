"""Alembic's entry: runs the migrations on the connection that `kb.records.migrate` hands over."""

from __future__ import annotations

from alembic import context
from sqlmodel import SQLModel

import kb.records.tables  # noqa: F401  # registers every table with the metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=SQLModel.metadata,
    render_as_batch=True,
)
context.run_migrations()
