"""Run by Alembic: applies the steps on the connection it is handed."""

from typing import Any, Literal

from alembic import context
from sqlmodel import AutoString, SQLModel

from shedgrade.storage import tables
from shedgrade.storage.tables.columns import Moment

assert tables  # importing them is what fills the metadata


def plain_types(kind: str, item: Any, _autogen: object) -> str | Literal[False]:
    """Steps name plain column types: what a step did must not change when our own types do."""
    if kind == "type" and isinstance(item, Moment):
        return "sa.DateTime()"
    if kind == "type" and isinstance(item, AutoString):
        return "sa.String()"
    return False


connection = context.config.attributes["connection"]
context.configure(
    connection=connection,
    target_metadata=SQLModel.metadata,
    render_as_batch=True,  # SQLite rebuilds a table to alter it
    render_item=plain_types,
)
with context.begin_transaction():
    context.run_migrations()
