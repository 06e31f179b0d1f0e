"""Voiding: a row counts no longer and stays to be seen, with who did it, when and why."""

from datetime import datetime
from typing import Protocol

from sqlmodel import Session


class Voidable(Protocol):
    """A row of a table with the columns of a voiding."""

    voided_at: datetime | None
    voided_by_id: int | None
    void_reason: str
    version: int


def void(session: Session, row: Voidable, reason: str, person_id: int, now: datetime) -> bool:
    """Make a row count no longer. False if it was voided before, for another reason: that one stands; the same reason
    twice changes nothing."""
    if row.voided_at is not None:
        return row.void_reason == reason
    row.voided_at, row.voided_by_id, row.void_reason = now, person_id, reason
    row.version += 1
    session.add(row)
    session.flush()
    return True
