"""Tablets, sign-ins and failed tries. Only hashes of what a browser holds are kept: a stolen copy opens nothing."""

from datetime import datetime

from sqlalchemy import CheckConstraint
from sqlmodel import Field, SQLModel

from shedgrade.storage.tables.columns import moment, to


class Tablet(SQLModel, table=True):
    """A tablet the shed manager has registered: on it a PIN is enough."""

    __tablename__ = "tablet"
    __table_args__ = (
        CheckConstraint("length(name) > 0", "named"),
        CheckConstraint("(ended_at IS NULL) = (ended_by_id IS NULL)", "ending_has_person"),
    )

    id: int | None = Field(default=None, primary_key=True)
    name: str
    token_sha256: str = Field(unique=True)
    registered_at: datetime = moment()
    registered_by_id: int = to("person.id", index=False)
    ended_at: datetime | None = moment(default=None)
    ended_by_id: int | None = to("person.id", index=False, default=None)


class SignIn(SQLModel, table=True):
    """One person in one browser, until it ends. ``proved_at`` is when password or PIN was last given for it."""

    __tablename__ = "sign_in"

    id: int | None = Field(default=None, primary_key=True)
    token_sha256: str = Field(unique=True)
    person_id: int = to("person.id")
    tablet_id: int | None = to("tablet.id", default=None)
    browser: str = ""
    proved_at: datetime = moment()
    seen_at: datetime = moment()
    ended_at: datetime | None = moment(default=None)
    ended_by_id: int | None = to("person.id", index=False, default=None)


class FailedTries(SQLModel, table=True):
    """Failures in a row of one name, PIN or sender; kept in the database, so a restart forgives nothing."""

    __tablename__ = "failed_tries"
    __table_args__ = (CheckConstraint("failures > 0", "some_failures"),)

    of: str = Field(primary_key=True)
    failures: int
    last_at: datetime = moment()
