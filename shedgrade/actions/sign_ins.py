"""Signing people in and out, registering tablets, and counting failures."""

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlmodel import Session

from shedgrade.domain.sign_in import wait_after
from shedgrade.storage import sign_ins
from shedgrade.storage.sign_ins import hashed
from shedgrade.storage.tables import FailedTries, SignIn, Tablet

_TOKEN_BYTES = 32
_LONGEST_BROWSER = 120


@dataclass(frozen=True, slots=True)
class Opened:
    """A new sign-in or tablet, and the token its browser holds from now on; the token is kept nowhere else."""

    id: int
    token: str


class TooManyTriesError(Exception):
    """Nobody may try again before ``wait`` has passed."""

    def __init__(self, wait: timedelta) -> None:
        """Say how long."""
        super().__init__(wait)
        self.wait = wait


def sign_in(session: Session, person_id: int, browser: str, now: datetime, tablet_id: int | None = None) -> Opened:
    """Open a sign-in for somebody who has just proved who they are."""
    token = secrets.token_urlsafe(_TOKEN_BYTES)
    row = SignIn(
        token_sha256=hashed(token),
        person_id=person_id,
        tablet_id=tablet_id,
        browser=browser[:_LONGEST_BROWSER],
        proved_at=now,
        seen_at=now,
    )
    session.add(row)
    session.flush()
    return Opened(row.id or 0, token)


def renew(session: Session, row: SignIn, now: datetime) -> Opened:
    """Give a sign-in a new token: the tablet goes on for the same person, and the old token opens nothing."""
    token = secrets.token_urlsafe(_TOKEN_BYTES)
    row.token_sha256, row.seen_at = hashed(token), now
    session.add(row)
    session.flush()
    return Opened(row.id or 0, token)


def end(session: Session, row: SignIn, by_id: int, now: datetime) -> None:
    """End a sign-in; one that has ended stays as it was."""
    if row.ended_at is None:
        row.ended_at, row.ended_by_id = now, by_id
        session.add(row)


def register_tablet(session: Session, name: str, by_id: int, now: datetime) -> Opened:
    """Make this browser a tablet of the shed, on which a PIN is enough."""
    token = secrets.token_urlsafe(_TOKEN_BYTES)
    row = Tablet(name=name, token_sha256=hashed(token), registered_at=now, registered_by_id=by_id)
    session.add(row)
    session.flush()
    return Opened(row.id or 0, token)


def end_tablet(session: Session, row: Tablet, by_id: int, now: datetime) -> None:
    """A lost or retired tablet opens nothing any more: whoever was signed in on it is out as well."""
    row.ended_at, row.ended_by_id = now, by_id
    session.add(row)
    for line in sign_ins.open_sign_ins(session):
        if line.sign_in.tablet_id == row.id:
            end(session, line.sign_in, by_id, now)


def refuse_too_early(session: Session, of: list[str], now: datetime) -> None:
    """TooManyTriesError while one of these names, PINs or senders has to wait."""
    waits = [_wait(row, now) for each in of if (row := sign_ins.failed(session, each)) is not None]
    longest = max(waits, default=timedelta(0))
    if longest > timedelta(0):
        raise TooManyTriesError(longest)


def count_failure(session: Session, of: list[str], now: datetime) -> None:
    """One more failure in a row of each."""
    for each in of:
        row = sign_ins.failed(session, each) or FailedTries(of=each, failures=0, last_at=now)
        row.failures, row.last_at = row.failures + 1, now
        session.add(row)
    session.flush()


def forgive(session: Session, of: list[str]) -> None:
    """It was the right person after all: their count begins anew."""
    for each in of:
        if (row := sign_ins.failed(session, each)) is not None:
            session.delete(row)
    session.flush()


def _wait(row: FailedTries, now: datetime) -> timedelta:
    return row.last_at + wait_after(row.failures) - now
