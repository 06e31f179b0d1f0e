"""Quick looks: a tray weighed whole, and how each of its fruit looked. By eye: never mixed with measured fruit."""

from datetime import datetime

from sqlalchemy import CheckConstraint, UniqueConstraint
from sqlmodel import Field, SQLModel

from shedgrade.storage.tables.columns import moment, to


class QuickLook(SQLModel, table=True):
    """A tray of a consignment: what it weighed, and how many fruit lie in it. ``tare_g`` is None where the scale was at
    zero with the empty tray on it. A wrong one is voided, never deleted."""

    __tablename__ = "quick_look"
    __table_args__ = (
        CheckConstraint("fruit > 0", "some_fruit"),
        CheckConstraint("gross_g > 0", "has_weight"),
        CheckConstraint("tare_g >= 0 AND tare_g < gross_g", "tare_below_gross"),
        CheckConstraint("(voided_at IS NULL) = (void_reason = '')", "void_has_reason"),
        CheckConstraint("(voided_at IS NULL) = (voided_by_id IS NULL)", "void_has_person"),
    )

    id: int | None = Field(default=None, primary_key=True)
    consignment_id: int = to("consignment.id")
    fruit: int
    gross_g: int
    tare_g: int | None = None
    looked_at: datetime = moment()
    looked_by_id: int = to("person.id", index=False)
    voided_at: datetime | None = moment(default=None)
    voided_by_id: int | None = to("person.id", index=False, default=None)
    void_reason: str = ""
    version: int = 1


class QuickLookFruit(SQLModel, table=True):
    """One fruit by eye; ``number`` counts the taps. ``class_id`` is a class of the consignment's spec, "" for none;
    ``kind`` the main fault, a kind of its crop, "" for none or another reason. An undone tap is voided."""

    __tablename__ = "quick_look_fruit"
    __table_args__ = (
        UniqueConstraint("quick_look_id", "number"),
        CheckConstraint("number > 0", "counts_from_one"),
        CheckConstraint("(voided_at IS NULL) = (void_reason = '')", "void_has_reason"),
        CheckConstraint("(voided_at IS NULL) = (voided_by_id IS NULL)", "void_has_person"),
    )

    id: int | None = Field(default=None, primary_key=True)
    quick_look_id: int = to("quick_look.id", index=False)  # the UNIQUE above serves
    number: int
    class_id: str = ""
    kind: str = ""
    tapped_at: datetime = moment()
    tapped_by_id: int = to("person.id", index=False)
    voided_at: datetime | None = moment(default=None)
    voided_by_id: int | None = to("person.id", index=False, default=None)
    void_reason: str = ""
