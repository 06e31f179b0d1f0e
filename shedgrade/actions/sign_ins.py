"""Signing people in and out, registering tablets, and counting failures."""

import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlmodel import Session

from shedgrade.domain.sign_in import Tried
from shedgrade.storage import sign_ins
from shedgrade.storage.history import note
from shedgrade.storage.nouns import SIGN_IN
from shedgrade.storage.sign_ins import hashed
from shedgrade.storage.tables import PersonRow, SignIn, Tablet

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


class PinClosedError(Exception):
    """This PIN was wrong so often in a row that it opens nothing any more."""


class TabletNameTakenError(ValueError):
    """There is a tablet of this name; the text is the sentence."""


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


def fall_idle(session: Session, row: SignIn, since: datetime) -> None:
    """Nobody has been there since then: the token opens nothing until its person is back; it still says whose it is."""
    row.seen_at = min(row.seen_at, since)
    session.add(row)
    session.flush()


def put_aside(session: Session, row: SignIn) -> None:
    """Leave a sign-in open for its person to be let back in, and make the token that somebody holds open nothing."""
    row.token_sha256 = hashed(secrets.token_urlsafe(_TOKEN_BYTES))
    session.add(row)
    session.flush()


def end(session: Session, row: SignIn, by_id: int, now: datetime) -> None:
    """End a sign-in; one that has ended stays as it was."""
    if row.ended_at is None:
        row.ended_at, row.ended_by_id = now, by_id
        session.add(row)


def end_on_device(session: Session, row: SignIn, by_id: int, now: datetime) -> None:
    """End a sign-in out of the list of devices, and say so in the history of the person whose it is."""
    if row.ended_at is not None:
        return
    tablet = session.get(Tablet, row.tablet_id) if row.tablet_id is not None else None
    note(session, SIGN_IN, row.person_id, {"device": tablet.name if tablet else row.browser}, deed="removed")
    end(session, row, by_id, now)


def register_tablet(session: Session, name: str, by_id: int, now: datetime) -> Opened:
    """Make this browser a tablet of the shed, on which a PIN is enough. TabletNameTakenError."""
    if name.casefold() in {tablet.name.casefold() for tablet in sign_ins.tablets(session)}:
        raise TabletNameTakenError(f"There is a tablet called {name} already.")
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


def set_password(session: Session, person: PersonRow, kept: str, by_id: int, now: datetime, but: int = 0) -> None:
    """Give somebody a new password, by its hash (:mod:`shedgrade.storage.hashing`). Whoever came in by the old one is
    out, save the sign-in ``but``."""
    person.password_hash = kept
    session.add(person)
    forgive(session, [Tried.name(person.name)])
    _end_all_of(session, person, by_id, now, but)


def set_pin(session: Session, person: PersonRow, kept: str, by_id: int, now: datetime, but: int = 0) -> None:
    """Give somebody a new PIN, by its hash; one that was closed is open again. Tablets ask for it at once."""
    person.pin_hash = kept
    session.add(person)
    forgive(session, [Tried.pin(person.id or 0)])
    _end_all_of(session, person, by_id, now, but, only_tablets=True)


def begin_try(session: Session, tried: Sequence[Tried], now: datetime) -> None:
    """Count a try as failed before it is made, so that many at once are not all let through; :func:`succeed` takes it
    back. TooManyTriesError while one of them has to wait, PinClosedError: then nothing was counted."""
    sign_ins.forget_old_failures(session, now)
    waits = [timedelta(0)]
    for each in tried:
        row = sign_ins.failures(session, each)
        if row is not None and each.is_closed(row.failures):
            raise PinClosedError
        if row is not None:
            waits.append(each.wait(row.failures, row.last_at, now))
    if max(waits) > timedelta(0):
        raise TooManyTriesError(max(waits))
    for each in tried:
        sign_ins.count_failure(session, each, now)


def succeed(session: Session, account: Tried, sender: Tried) -> None:
    """It was the right person after all: their count begins anew, and their slips are taken off their sender's."""
    slips, sent = sign_ins.failures(session, account), sign_ins.failures(session, sender)
    if slips is None:
        return
    if sent is not None and sent.failures > slips.failures:
        sent.failures -= slips.failures
        session.add(sent)
    elif sent is not None:
        session.delete(sent)
    session.delete(slips)
    session.flush()


def forgive(session: Session, tried: Sequence[Tried]) -> None:
    """The counts begin anew."""
    for each in tried:
        if (row := sign_ins.failures(session, each)) is not None:
            session.delete(row)
    session.flush()


def _end_all_of(
    session: Session, person: PersonRow, by_id: int, now: datetime, but: int, *, only_tablets: bool = False
) -> None:
    for line in sign_ins.open_sign_ins(session, person.id):
        if line.sign_in.id != but and (line.sign_in.tablet_id is not None or not only_tablets):
            end(session, line.sign_in, by_id, now)
