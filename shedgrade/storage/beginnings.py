"""What a new shed has already, and what it still needs before fruit can come in."""

from dataclasses import dataclass

import sqlalchemy
from sqlmodel import Session, SQLModel


@dataclass(frozen=True, slots=True)
class Beginnings:
    """Whether there is a block, a dry tare, a tray type, a market's price list, and somebody beside the manager."""

    block: bool
    tare: bool
    tray: bool
    prices: bool
    people: bool


def beginnings(session: Session) -> Beginnings:
    """What there is, in one question."""
    return Beginnings(*session.connection().execute(_THERE).one())


_TABLES = SQLModel.metadata.tables
_PERSON, _TARE = _TABLES["person"], _TABLES["tare"]
_THERE = sqlalchemy.select(
    sqlalchemy.exists().select_from(_TABLES["block"]),
    sqlalchemy.exists().where(_TARE.c.state == "dry"),
    sqlalchemy.exists().select_from(_TABLES["tray_type"]),
    sqlalchemy.exists().select_from(_TABLES["price_list"]),
    sqlalchemy.select(sqlalchemy.func.count() > 1).select_from(_PERSON).where(_PERSON.c.active).scalar_subquery(),
)
