"""Looking at a tray by eye: begun, tapped fruit by fruit, a tap taken back, the whole voided."""

from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session, col, func, select

from shedgrade.storage.history import note
from shedgrade.storage.quick_looks import Look
from shedgrade.storage.tables import QuickLook, QuickLookFruit

UNDONE = "undone"


class NoFruitLeftError(ValueError):
    """Every fruit of the tray was tapped already."""


class NotTheLastError(ValueError):
    """Only the last tap is taken back, and this is another one."""


@dataclass(frozen=True, slots=True)
class TrayFacts:
    """What a tray weighed in grams, and how many fruit lie in it; ``tare_g`` None: the scale was at zero with the empty
    tray on it."""

    gross_g: int
    tare_g: int | None
    fruit: int


def begin(session: Session, consignment_id: int, tray: TrayFacts, person_id: int, now: datetime) -> QuickLook:
    """Begin a look at a tray."""
    look = QuickLook(
        consignment_id=consignment_id,
        fruit=tray.fruit,
        gross_g=tray.gross_g,
        tare_g=tray.tare_g,
        looked_at=now,
        looked_by_id=person_id,
    )
    session.add(look)
    session.flush()
    return look


def tap(session: Session, look: Look, class_id: str, kind: str, person_id: int, now: datetime) -> None:
    """Store the next fruit of a look that was loaded with its lock: its class ("" for none) and its main fault ("" for
    none of the kinds). NoFruitLeftError."""
    if look.is_done:
        raise NoFruitLeftError
    taps = session.exec(select(func.max(QuickLookFruit.number)).where(QuickLookFruit.quick_look_id == look.id)).one()
    session.add(
        QuickLookFruit(
            quick_look_id=look.id,
            number=(taps or 0) + 1,
            class_id=class_id,
            kind=kind,
            tapped_at=now,
            tapped_by_id=person_id,
        )
    )
    session.flush()


def take_back(session: Session, look: Look, fruit_id: int, person_id: int, now: datetime) -> None:
    """Take the last tap back: it is voided and the fruit can be tapped again. Taken back before, nothing happens.
    NotTheLastError."""
    row = session.exec(
        select(QuickLookFruit).where(QuickLookFruit.id == fruit_id, col(QuickLookFruit.quick_look_id) == look.id)
    ).first()
    if row is not None and row.voided_at is not None:
        return
    if row is None or not look.fruit or row.id != look.fruit[-1].id:
        raise NotTheLastError
    row.voided_at, row.voided_by_id, row.void_reason = now, person_id, UNDONE
    session.add(row)
    note(session, "quick look fruit", fruit_id, {"number": len(look.fruit)}, deed="voided")
    session.flush()
