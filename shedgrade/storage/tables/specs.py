"""Specs: published versions, stored by content; drafts of them; which are retired; which values somebody confirmed."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, Index, Text, UniqueConstraint, text
from sqlmodel import Field, SQLModel

from shedgrade.storage.tables.columns import moment, to

_RETIRED = text("put_back_at IS NULL")
_STANDS = text("withdrawn_at IS NULL")


class SpecVersion(SQLModel, table=True):
    """A published version of a spec: its canonical text, never changed afterwards (a trigger refuses it)."""

    __tablename__ = "spec_version"
    __table_args__ = (
        UniqueConstraint("spec_key", "version"),
        CheckConstraint("version > 0", "counts_from_one"),
        CheckConstraint("length(sha256) = 64", "hashed"),
    )

    id: int | None = Field(default=None, primary_key=True)
    spec_key: str = Field(index=True)
    version: int
    title: str
    crop_id: str
    content: str = Field(sa_type=Text)
    sha256: str = Field(unique=True)
    published_at: datetime = moment()


class SpecDraft(SQLModel, table=True):
    """A spec being written: at every moment a whole one; every text it has had stands in SpecDraftText. A draft ends
    by being published or put aside; it stays to be seen."""

    __tablename__ = "spec_draft"
    __table_args__ = (
        CheckConstraint("length(title) > 0", "titled"),
        CheckConstraint("published_as_id IS NULL OR put_aside_at IS NULL", "ends_one_way"),
    )

    id: int | None = Field(default=None, primary_key=True)
    spec_key: str
    title: str
    crop_id: str
    based_on_id: int | None = to("spec_version.id", default=None)
    started_at: datetime = moment()
    started_by_id: int = to("person.id", index=False)
    published_as_id: int | None = to("spec_version.id", default=None)
    put_aside_at: datetime | None = moment(default=None)
    version: int = 1


class SpecDraftText(SQLModel, table=True):
    """A canonical text of a draft, from its ``version`` on until the next one. ``text_of`` is the version that this
    text was first saved at: its own, or an earlier one that an undoing went back to."""

    __tablename__ = "spec_draft_text"
    __table_args__ = (
        CheckConstraint("version > 0", "counts_from_one"),
        CheckConstraint("text_of <= version", "goes_back"),
    )

    draft_id: int = to("spec_draft.id", primary_key=True)
    version: int = Field(primary_key=True)
    content: str = Field(sa_type=Text)
    text_of: int


class SpecRetirement(SQLModel, table=True):
    """A version that new markets are no longer offered, until it is put back."""

    __tablename__ = "spec_retirement"
    __table_args__ = (
        CheckConstraint("length(reason) > 0", "reasoned"),
        CheckConstraint("(put_back_at IS NULL) = (put_back_by_id IS NULL)", "return_has_person"),
        Index(
            "uq_spec_retirement_standing",
            "spec_version_id",
            unique=True,
            sqlite_where=_RETIRED,
            postgresql_where=_RETIRED,
        ),
    )

    id: int | None = Field(default=None, primary_key=True)
    spec_version_id: int = to("spec_version.id")
    reason: str
    retired_at: datetime = moment()
    retired_by_id: int = to("person.id", index=False)
    put_back_at: datetime | None = moment(default=None)
    put_back_by_id: int | None = to("person.id", index=False, default=None)


class SpecConfirmation(SQLModel, table=True):
    """A value given from memory that somebody has read: which one (``place`` of domain/spec/values.py, with the value
    itself), on which day, and where. ``carried_from_id`` is the version it was first
    given for, where a later one says the same."""

    __tablename__ = "spec_confirmation"
    __table_args__ = (
        CheckConstraint("length(read_in) > 0", "says_where"),
        CheckConstraint("(withdrawn_at IS NULL) = (withdraw_reason = '')", "withdrawal_has_reason"),
        CheckConstraint("(withdrawn_at IS NULL) = (withdrawn_by_id IS NULL)", "withdrawal_has_person"),
        Index(
            "uq_spec_confirmation_standing",
            "spec_version_id",
            "place",
            unique=True,
            sqlite_where=_STANDS,
            postgresql_where=_STANDS,
        ),
    )

    id: int | None = Field(default=None, primary_key=True)
    spec_version_id: int = to("spec_version.id")
    place: str = Field(sa_type=Text)
    value: str
    read_on: date
    read_in: str
    confirmed_at: datetime = moment()
    confirmed_by_id: int = to("person.id", index=False)
    carried_from_id: int | None = to("spec_version.id", index=False, default=None)
    withdrawn_at: datetime | None = moment(default=None)
    withdrawn_by_id: int | None = to("person.id", index=False, default=None)
    withdraw_reason: str = ""
