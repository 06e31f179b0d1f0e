"""Published spec versions, stored by content."""

from datetime import datetime

from sqlalchemy import CheckConstraint, Text, UniqueConstraint
from sqlmodel import Field, SQLModel

from shedgrade.storage.tables.columns import moment


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
