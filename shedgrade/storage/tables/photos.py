"""Photos of a fault of a consignment, so that its grower can see what was meant."""

from datetime import datetime

from sqlalchemy import CheckConstraint, Index, LargeBinary, text
from sqlmodel import Field, SQLModel

from shedgrade.storage.tables.columns import moment, to

_STANDS = text("voided_at IS NULL")


class Photo(SQLModel, table=True):
    """A photo of one kind of fault, as a JPEG that we drew anew from the pixels. ``place`` is its number among those of
    its kind that stand: three at most. A wrong one is voided, never deleted."""

    __tablename__ = "photo"
    __table_args__ = (
        CheckConstraint("place >= 1 AND place <= 3", "at_most_three"),
        CheckConstraint("length(kind) > 0", "shows_something"),
        CheckConstraint("length(content) > 0", "holds_something"),
        CheckConstraint("(voided_at IS NULL) = (void_reason = '')", "void_has_reason"),
        CheckConstraint("(voided_at IS NULL) = (voided_by_id IS NULL)", "void_has_person"),
        Index(
            "uq_photo_standing",
            "consignment_id",
            "kind",
            "place",
            unique=True,
            sqlite_where=_STANDS,
            postgresql_where=_STANDS,
        ),
    )

    id: int | None = Field(default=None, primary_key=True)
    consignment_id: int = to("consignment.id")
    kind: str
    place: int
    content: bytes = Field(sa_type=LargeBinary)
    width: int
    height: int
    taken_at: datetime = moment()
    taken_by_id: int = to("person.id", index=False)
    voided_at: datetime | None = moment(default=None)
    voided_by_id: int | None = to("person.id", index=False, default=None)
    void_reason: str = ""
    version: int = 1
