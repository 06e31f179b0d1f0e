"""Fruit that came from a tablet's own keeping: which of its ids are here, and how each came."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime

import sqlalchemy
from sqlmodel import Session, col

from shedgrade.domain.people import Doer
from shedgrade.storage.tables import FruitCapture, FruitRow, PersonRow, Tablet


@dataclass(frozen=True, slots=True)
class CaptureTold:
    """How a fruit came: when it was measured by the tablet's clock, if that told a time, on which tablet ("" for none),
    who sent it, and whether in a file."""

    captured_at: datetime | None
    tablet: str
    sent_by: Doer
    sent_by_id: int
    in_file: bool


def known(session: Session, entry_keys: Collection[str]) -> dict[str, bool]:
    """Those of the ids that fruit is stored under, each with whether the fruit is voided."""
    query = sqlalchemy.select(col(FruitRow.entry_key), col(FruitRow.voided_at)).where(
        col(FruitRow.entry_key).in_(entry_keys)
    )
    return {key: voided_at is not None for key, voided_at in session.execute(query)}


def capture_of(session: Session, fruit_id: int) -> CaptureTold | None:
    """How a fruit came; None for one whose form was sent at once."""
    query = (
        sqlalchemy.select(FruitCapture, col(Tablet.name), col(PersonRow.name), col(PersonRow.grower_id))
        .join(PersonRow, col(PersonRow.id) == FruitCapture.sent_by_id)
        .join(Tablet, col(Tablet.id) == FruitCapture.tablet_id, isouter=True)
        .where(col(FruitCapture.fruit_id) == fruit_id)
    )
    row = session.execute(query).first()
    if row is None:
        return None
    capture, tablet, name, grower_id = row
    sent_by = Doer(name, grower_id)
    return CaptureTold(capture.captured_at, tablet or "", sent_by, capture.sent_by_id, bool(capture.file_sha256))
