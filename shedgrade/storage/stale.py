"""What a save says when the row has changed under it."""

from typing import Protocol

from sqlalchemy.orm import object_session


class Versioned(Protocol):
    """A row that counts its changes."""

    version: int


class StaleError(Exception):
    """Somebody saved this row since the form was opened."""


def change_of(row: Versioned, version: int) -> None:
    """Count one more change of the row; StaleError unless ``version`` is the one it is at.

    To be called before anything of the row is changed. The row is read again and held first: of two servers that
    loaded it at the same moment, the later one must see what the first one saved.
    """
    session = object_session(row)
    if session is not None:
        session.refresh(row, with_for_update=True)
    if row.version != version:
        raise StaleError
    row.version += 1
