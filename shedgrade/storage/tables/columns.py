"""What the tables share: how constraints are named, and the one place where times meet time zones."""

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import DateTime, TypeDecorator
from sqlalchemy.engine import Dialect
from sqlmodel import Field, SQLModel

# Named constraints let a migration change them on SQLite, where a table is rebuilt to be altered.
SQLModel.metadata.naming_convention = {
    "ix": "ix_%(column_0_N_label)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
    "pk": "pk_%(table_name)s",
}


class Moment(TypeDecorator[datetime]):
    """A point in time: aware outside, UTC without a zone inside, the same on every database."""

    impl = DateTime
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Refuse a time without a zone: nobody could say later which one it was in."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"{value!r} has no time zone")
        return value.astimezone(UTC).replace(tzinfo=None)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Give the time back in UTC."""
        return None if value is None else value.replace(tzinfo=UTC)


def moment(**options: Any) -> Any:
    """A column that holds a point in time."""
    return Field(sa_type=Moment, **options)


def to(target: str, *, index: bool = True, **options: Any) -> Any:
    """A column that points at another table's row, which then cannot be deleted."""
    return Field(foreign_key=target, ondelete="RESTRICT", index=index, **options)
