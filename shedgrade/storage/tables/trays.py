"""The shed's dated list of tray types."""

from datetime import date

from sqlalchemy import CheckConstraint, UniqueConstraint
from sqlmodel import Field, SQLModel

from shedgrade.storage.tables.columns import to


class TrayTypeRow(SQLModel, table=True):
    """A pack type with a net weight, in use from a day on."""

    __tablename__ = "tray_type"
    __table_args__ = (
        UniqueConstraint("name", "valid_from"),
        CheckConstraint("length(name) > 0", "named"),
        CheckConstraint("net_g > 0", "has_weight"),
        CheckConstraint("heaviest_dg > 0", "heaviest_has_weight"),
    )

    id: int | None = Field(default=None, primary_key=True)
    name: str
    crop_id: str
    net_g: int
    heaviest_dg: int | None = None
    valid_from: date
    version: int = 1


class TrayCount(SQLModel, table=True):
    """A number of fruit that fills the tray."""

    __tablename__ = "tray_count"
    __table_args__ = (CheckConstraint("count > 0", "some_fruit"),)

    tray_type_id: int = to("tray_type.id", primary_key=True)
    count: int = Field(primary_key=True)
