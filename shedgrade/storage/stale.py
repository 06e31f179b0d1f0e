"""What a save says when the row has changed under it."""

from typing import Protocol


class Versioned(Protocol):
    """A row that counts its changes."""

    version: int


class StaleError(Exception):
    """Somebody saved this row since the form was opened."""


def change_of(row: Versioned, version: int) -> None:
    """Count one more change of the row; StaleError unless ``version`` is the one it is at."""
    if row.version != version:
        raise StaleError
    row.version += 1
