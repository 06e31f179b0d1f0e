"""Growers and their blocks."""

from sqlalchemy import CheckConstraint, UniqueConstraint
from sqlmodel import Field, SQLModel

from shedgrade.storage.tables.columns import to


class Grower(SQLModel, table=True):
    """Who grew the fruit."""

    __tablename__ = "grower"
    __table_args__ = (CheckConstraint("length(name) > 0", "named"),)

    id: int | None = Field(default=None, primary_key=True)
    name: str = Field(unique=True)
    contact: str = ""
    version: int = 1


class Block(SQLModel, table=True):
    """A piece of orchard of one variety, picked and reported together. ``grown_in`` is a spec's word for the area it
    lies in ("hot humid"), "" where no spec asks."""

    __tablename__ = "block"
    __table_args__ = (
        UniqueConstraint("grower_id", "name"),
        CheckConstraint("length(name) > 0", "named"),
        CheckConstraint("area_m2 > 0", "has_area"),
    )

    id: int | None = Field(default=None, primary_key=True)
    grower_id: int = to("grower.id")
    name: str
    crop_id: str
    variety: str
    area_m2: int
    grown_in: str = ""
    version: int = 1
