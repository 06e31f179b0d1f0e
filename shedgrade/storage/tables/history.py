"""What was changed, by whom, when, from which device, and why."""

from datetime import datetime

from sqlalchemy import CheckConstraint, Index, Text
from sqlmodel import Field, SQLModel

from shedgrade.storage.tables.columns import moment, to


class Change(SQLModel, table=True):
    """One change of one row. ``before`` and ``after`` are JSON objects of the columns that changed; a new row has no
    before. ``person_id`` None is the program itself, such as when it stores the published standards."""

    __tablename__ = "change"
    __table_args__ = (
        CheckConstraint("deed IN ('added', 'changed', 'removed', 'voided')", "known_deed"),
        Index("ix_change_noun_row", "noun", "row_id"),
    )

    id: int | None = Field(default=None, primary_key=True)
    at: datetime = moment()
    person_id: int | None = to("person.id", default=None)
    device: str = ""
    noun: str
    row_id: int
    deed: str
    before: str = Field(default="", sa_type=Text)
    after: str = Field(default="", sa_type=Text)
    why: str = ""
