"""Pairing scales with benches, and taking in what they send."""

import secrets
from datetime import datetime

from sqlmodel import Session, col, delete, select

from shedgrade.domain.scales import CODE_DIGITS, CODE_LASTS, KEPT_FOR, LATE_AFTER
from shedgrade.storage import scales
from shedgrade.storage.scales import BenchPlace
from shedgrade.storage.sign_ins import hashed
from shedgrade.storage.tables import PairingCode, Scale, ScaleReading

_TOKEN_BYTES = 32


class WrongCodeError(Exception):
    """No bench shows this code now."""


def show_code(session: Session, place: BenchPlace, by_id: int, now: datetime) -> PairingCode:
    """A new code for this bench; the one before, and any that ran out, opens nothing any more."""
    for old in session.exec(select(PairingCode)):
        if old.until <= now or BenchPlace(old.tablet_id, old.sign_in_id) == place:
            session.delete(old)
    session.flush()
    row = PairingCode(
        code=f"{secrets.randbelow(10**CODE_DIGITS):0{CODE_DIGITS}}",
        tablet_id=place.tablet_id,
        sign_in_id=place.sign_in_id,
        until=now + CODE_LASTS,
        asked_by_id=by_id,
    )
    session.add(row)
    session.flush()
    return row


def found_code(session: Session, code: str, now: datetime) -> PairingCode:
    """The code that a bench shows; WrongCodeError."""
    row = session.get(PairingCode, code)
    if row is None or row.until <= now:
        raise WrongCodeError
    return row


def pair(session: Session, shown: PairingCode, name: str, now: datetime) -> str:
    """Pair a scale with the bench that shows this code, in place of the one before. Gives the token its machine holds
    from now on; the code is used up."""
    place = BenchPlace(shown.tablet_id, shown.sign_in_id)
    if (before := scales.at_bench(session, place)) is not None:
        end(session, before, shown.asked_by_id, now)
    token = secrets.token_urlsafe(_TOKEN_BYTES)
    session.add(
        Scale(
            name=name,
            token_sha256=hashed(token),
            tablet_id=place.tablet_id,
            sign_in_id=place.sign_in_id,
            paired_at=now,
            paired_by_id=shown.asked_by_id,
        )
    )
    session.delete(shown)
    session.flush()
    return token


def end(session: Session, row: Scale, by_id: int, now: datetime) -> None:
    """Its machine is told so at its next reading, and nothing it sends is taken in any more."""
    row.ended_at, row.ended_by_id = now, by_id
    session.add(row)
    session.flush()


def take_in(session: Session, scale: Scale, reading: ScaleReading, now: datetime) -> None:
    """Keep a reading; one that came before is kept once. It waits to be asked for if it comes late. Old ones go after
    it has come: SQLite counts from 1 again once a table is empty, and an open bench takes a smaller id for seen."""
    scale_id = scale.id or 0
    if reading.number <= scales.last_number(session, scale_id, reading.run):
        return
    reading.scale_id = scale_id
    reading.waits = now - reading.read_at > LATE_AFTER
    session.add(reading)
    session.flush()
    session.exec(
        delete(ScaleReading).where(col(ScaleReading.scale_id) == scale_id, col(ScaleReading.read_at) < now - KEPT_FOR)
    )


def put_away(session: Session, row: ScaleReading, now: datetime) -> None:
    """A person said which fruit it was, or that it was none."""
    row.done_at = now
    session.add(row)
    session.flush()
