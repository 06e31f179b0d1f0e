"""What people call the rows that others point at by id."""

from collections.abc import Iterable, Mapping
from typing import Any

import sqlalchemy
from sqlmodel import Session, SQLModel

Row = tuple[str, int]
"""A row by its table's name and its id."""

_TABLES = SQLModel.metadata.tables
_CALLED = {
    name: _TABLES[name].c[column]
    for name, column in (
        ("grower", "name"),
        ("block", "name"),
        ("market", "name"),
        ("person", "name"),
        ("tray_type", "name"),
        ("bin_type", "name"),
        ("tablet", "name"),
        ("spec_draft", "title"),
        ("docket", "number"),
    )
}
_VERSION = _TABLES["spec_version"].c


def names_of(session: Session, rows: Iterable[Row]) -> Mapping[Row, str]:
    """The name of each row asked for, of those tables whose rows have one; one query a table."""
    ids: dict[str, set[int]] = {}
    for table, row_id in rows:
        ids.setdefault(table, set()).add(row_id)
    found: dict[Row, str] = {}
    for table, some in ids.items():
        called = _called(table)
        if called is not None:
            query = sqlalchemy.select(_TABLES[table].c.id, called).where(_TABLES[table].c.id.in_(some))
            found |= {(table, row_id): name for row_id, name in session.connection().execute(query)}
    return found


def _called(table: str) -> sqlalchemy.ColumnElement[Any] | None:
    if table == "spec_version":
        return _VERSION.title + ", version " + sqlalchemy.cast(_VERSION.version, sqlalchemy.String)
    return _CALLED.get(table)
