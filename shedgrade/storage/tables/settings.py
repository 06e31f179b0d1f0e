"""Rates and rules of the shed, dated."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint
from sqlmodel import Field, SQLModel

from shedgrade.storage.tables.columns import moment, to


class SettingRow(SQLModel, table=True):
    """A rule of the shed from a day on, and where it comes from. The row entered last for a day counts. ``value`` is
    read by the rule: a number's digits, or words."""

    __tablename__ = "setting"
    __table_args__ = (CheckConstraint("length(source) > 0", "sourced"),)

    id: int | None = Field(default=None, primary_key=True)
    key: str = Field(index=True)
    valid_from: date
    value: str
    source: str
    set_at: datetime = moment()
    set_by_id: int = to("person.id", index=False)
