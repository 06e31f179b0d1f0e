"""Maturity tests: so many fruit of a load, what was read on each, and whether they were cut."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint
from sqlmodel import Field, SQLModel

from shedgrade.storage.tables.columns import moment, to


class MaturityTest(SQLModel, table=True):
    """One test of a consignment. A wrong one is voided, never changed or deleted."""

    __tablename__ = "maturity_test"
    __table_args__ = (
        CheckConstraint("fruit > 0", "some_fruit"),
        CheckConstraint("(voided_at IS NULL) = (void_reason = '')", "void_has_reason"),
        CheckConstraint("(voided_at IS NULL) = (voided_by_id IS NULL)", "void_has_person"),
    )

    id: int | None = Field(default=None, primary_key=True)
    consignment_id: int = to("consignment.id")
    taken_on: date
    fruit: int
    cut: bool
    tested_at: datetime = moment()
    tested_by_id: int = to("person.id", index=False)
    voided_at: datetime | None = moment(default=None)
    voided_by_id: int | None = to("person.id", index=False, default=None)
    void_reason: str = ""
    version: int = 1


class MaturityReading(SQLModel, table=True):
    """What was read of one measure: on one fruit, ``place`` counts them, or the mean that somebody else had worked out
    of all of them together (place 0). A whole number in the measure's stored unit."""

    __tablename__ = "maturity_reading"
    __table_args__ = (
        CheckConstraint("place >= 0", "counts_from_zero"),
        CheckConstraint("value >= 0", "not_negative"),
    )

    test_id: int = to("maturity_test.id", index=False, primary_key=True)  # the primary key serves
    measure: str = Field(primary_key=True)
    place: int = Field(primary_key=True)
    value: int
