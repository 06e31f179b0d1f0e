"""What people call the rows that others point at by id, now and at a moment gone by."""

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, NamedTuple

import sqlalchemy
from sqlmodel import Session, SQLModel, col, select

from shedgrade.storage.tables import Change, FruitRow, Sample

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
        ("scale", "name"),
        ("spec_draft", "title"),
        ("docket", "number"),
    )
}
_VERSION = _TABLES["spec_version"].c


class SampleCalled(NamedTuple):
    """What tells a sample from its consignment's others: what it is drawn from, and when it was started (UTC)."""

    id: int
    question: str
    started_at: datetime


@dataclass(frozen=True, slots=True)
class Names:
    """What rows are called now; ``before`` holds, oldest first, when (UTC) a row got another name and which it lost."""

    now: Mapping[Row, str]
    before: Mapping[Row, list[tuple[datetime, str]]]

    def then(self, at: datetime) -> Mapping[Row, str]:
        """What rows were called at a moment, with what they are called since: "Anna (now Anna Berg)"."""
        names = dict(self.now)
        for row, lost in self.before.items():
            old = next((name for until, name in lost if until > at), None)
            if old is not None and row in names and old != names[row]:
                names[row] = f"{old} (now {names[row]})"
        return names


def names_of(session: Session, rows: Iterable[Row]) -> Names:
    """The names of the rows asked for, of those tables whose rows have one; one query a table and one for all that
    were lost."""
    asked = set(rows)
    return Names(_now(session, asked), _before(session, asked))


def samples_called(session: Session, rows: Iterable[Row]) -> Mapping[Row, SampleCalled]:
    """The sample of each row that is one ("sample") or is a fruit of one ("fruit")."""
    ids: dict[str, set[int]] = defaultdict(set)
    for noun, row_id in rows:
        ids[noun].add(row_id)
    called = (col(Sample.id), col(Sample.question), col(Sample.started_at))
    samples = sqlalchemy.select(*called).where(col(Sample.id).in_(ids["sample"]))
    of_fruit = sqlalchemy.select(col(FruitRow.id), *called).join(Sample, col(Sample.id) == FruitRow.sample_id)
    fruit = of_fruit.where(col(FruitRow.id).in_(ids["fruit"]))
    found = {("sample", row[0]): SampleCalled(*row) for row in session.execute(samples)}
    return found | {("fruit", row[0]): SampleCalled(*row[1:]) for row in session.execute(fruit)}


def _before(session: Session, rows: Iterable[Row]) -> dict[Row, list[tuple[datetime, str]]]:
    tables = {table.replace("_", " "): table for table in _CALLED}
    wanted = {row for row in rows if row[0] in _CALLED}
    query = (
        select(Change.noun, Change.row_id, Change.at, Change.before)
        .where(Change.deed == "changed", col(Change.noun).in_({table.replace("_", " ") for table, _ in wanted}))
        .where(col(Change.row_id).in_({row_id for _, row_id in wanted}))
        .order_by(col(Change.id))
    )
    found: dict[Row, list[tuple[datetime, str]]] = defaultdict(list)
    for noun, row_id, at, before in session.exec(query) if wanted else ():
        row = tables[noun], row_id
        old = json.loads(before or "{}").get(_CALLED[row[0]].name)
        if old and row in wanted:
            found[row].append((at, old))
    return found


def _now(session: Session, rows: Iterable[Row]) -> dict[Row, str]:
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
