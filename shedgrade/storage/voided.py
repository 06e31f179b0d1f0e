"""Rows that count no longer: who voided them, when and why."""

from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from shedgrade.domain.people import Doer
from shedgrade.storage.tables import PersonRow


@dataclass(frozen=True, slots=True)
class Voided:
    """Who voided a row, when and why."""

    by: Doer
    at: datetime
    reason: str


class _Row(Protocol):
    voided_at: datetime | None
    void_reason: str


def voided_of(row: _Row, by: PersonRow | None) -> Voided | None:
    """How a row was voided, ``by`` being who it names for it; None while it counts."""
    if by is None or row.voided_at is None:
        return None
    return Voided(Doer(by.name, by.grower_id), row.voided_at, row.void_reason)
