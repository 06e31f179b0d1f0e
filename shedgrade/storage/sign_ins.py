"""Tablets, sign-ins and failed tries by what a browser holds."""

from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256

from sqlmodel import Session, col, select

from shedgrade.domain.people import Person
from shedgrade.storage import people
from shedgrade.storage.missing import MissingError
from shedgrade.storage.tables import FailedTries, PersonRow, SignIn, Tablet


@dataclass(frozen=True, slots=True)
class SignedIn:
    """Somebody signed in, and the row of it; on a registered tablet, its row too."""

    sign_in: SignIn
    person: Person
    tablet: Tablet | None

    @property
    def device(self) -> str:
        """The device as people call it."""
        return self.tablet.name if self.tablet is not None else self.sign_in.browser


@dataclass(frozen=True, slots=True)
class SignInLine:
    """A sign-in in a list of devices."""

    sign_in: SignIn
    person_name: str
    tablet_name: str


def hashed(token: str) -> str:
    """What is kept of a token: 32 random bytes need no slow hash, nobody can try them all."""
    return sha256(token.encode()).hexdigest()


def signed_in(session: Session, token: str) -> SignedIn:
    """Who holds this token; MissingError if nobody does any more."""
    query = (
        select(SignIn, Tablet)
        .join(Tablet, col(Tablet.id) == SignIn.tablet_id, isouter=True)
        .where(SignIn.token_sha256 == hashed(token), col(SignIn.ended_at).is_(None), col(Tablet.ended_at).is_(None))
    )
    found = session.exec(query).first()
    if found is None:
        raise MissingError
    sign_in, tablet = found
    return SignedIn(sign_in, people.person(session, sign_in.person_id), tablet)


def tablet_of(session: Session, token: str) -> Tablet:
    """The registered tablet that holds this token; MissingError if it is none or no longer one."""
    found = session.exec(
        select(Tablet).where(Tablet.token_sha256 == hashed(token), col(Tablet.ended_at).is_(None))
    ).first()
    if found is None:
        raise MissingError
    return found


def tablets(session: Session) -> list[Tablet]:
    """The tablets that are registered, by name."""
    return list(session.exec(select(Tablet).where(col(Tablet.ended_at).is_(None)).order_by(Tablet.name)))


def tablet(session: Session, tablet_id: int) -> Tablet:
    """One registered tablet; MissingError."""
    row = session.get(Tablet, tablet_id)
    if row is None or row.ended_at is not None:
        raise MissingError
    return row


def open_sign_ins(session: Session, person_id: int | None = None) -> list[SignInLine]:
    """Where people are signed in now, the last seen first: one person's, or everybody's."""
    query = (
        select(SignIn, PersonRow.name, Tablet.name)
        .join(PersonRow, col(PersonRow.id) == SignIn.person_id)
        .join(Tablet, col(Tablet.id) == SignIn.tablet_id, isouter=True)
        .where(col(SignIn.ended_at).is_(None))
        .order_by(col(SignIn.seen_at).desc())
    )
    if person_id is not None:
        query = query.where(SignIn.person_id == person_id)
    return [SignInLine(sign_in, name, tablet or "") for sign_in, name, tablet in session.exec(query)]


def on_shift(session: Session, tablet_id: int, since: datetime) -> dict[int, SignIn]:
    """By person, their open sign-in on this tablet whose PIN was given since then: they need only tap their name."""
    query = select(SignIn).where(
        SignIn.tablet_id == tablet_id, col(SignIn.ended_at).is_(None), col(SignIn.proved_at) >= since
    )
    return {row.person_id: row for row in session.exec(query.order_by(col(SignIn.id)))}


def with_pin(session: Session) -> list[PersonRow]:
    """The people who can open a tablet by PIN, by name."""
    query = select(PersonRow).where(col(PersonRow.active), PersonRow.pin_hash != "").order_by(PersonRow.name)
    return list(session.exec(query))


def person_named(session: Session, name: str) -> PersonRow | None:
    """The active person of that name who can sign in by password; None where there is none."""
    query = select(PersonRow).where(PersonRow.name == name, col(PersonRow.active), PersonRow.password_hash != "")
    return session.exec(query).first()


def failed(session: Session, of: str) -> FailedTries | None:
    """The failures in a row of this name, PIN or sender."""
    return session.get(FailedTries, of)


