"""Tablets, sign-ins and failed tries by what a browser holds."""

from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256

import sqlalchemy
from sqlmodel import Session, SQLModel, col, select

from shedgrade.domain.people import Person, Role
from shedgrade.storage.missing import MissingError
from shedgrade.storage.tables import FailedTries, PersonRow, SignIn, Tablet


@dataclass(frozen=True, slots=True)
class SignedIn:
    """Somebody signed in: the sign-in's id, the person, the device as people call it, when password or PIN was given
    and when the browser was last seen; ``tablet_id`` None in a browser of their own."""

    id: int
    person: Person
    tablet_id: int | None
    device: str
    proved_at: datetime
    seen_at: datetime


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
    rows = session.connection().execute(_SIGNED_IN, {"token": hashed(token)}).all()
    if not rows:
        raise MissingError
    row = rows[0]
    person = Person(row.person_id, row.name, frozenset(Role(each.role) for each in rows if each.role), row.grower_id)
    return SignedIn(row.id, person, row.tablet_id, row.tablet or row.browser, row.proved_at, row.seen_at)


def note_seen(session: Session, sign_in_id: int, now: datetime) -> None:
    """Somebody is there."""
    session.connection().execute(sqlalchemy.update(_SIGN_IN).where(_SIGN_IN.c.id == sign_in_id).values(seen_at=now))


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




# Built once and on the tables: every request asks it.
_SIGN_IN, _TABLET, _PERSON, _ROLE = (
    SQLModel.metadata.tables[name] for name in ("sign_in", "tablet", "person", "person_role")
)
_SIGNED_IN = (
    sqlalchemy.select(
        _SIGN_IN.c.id,
        _SIGN_IN.c.person_id,
        _SIGN_IN.c.tablet_id,
        _SIGN_IN.c.browser,
        _SIGN_IN.c.proved_at,
        _SIGN_IN.c.seen_at,
        _TABLET.c.name.label("tablet"),
        _PERSON.c.name,
        _PERSON.c.grower_id,
        _ROLE.c.role,
    )
    .join(_PERSON, _PERSON.c.id == _SIGN_IN.c.person_id)
    .join(_TABLET, _TABLET.c.id == _SIGN_IN.c.tablet_id, isouter=True)
    .join(_ROLE, _ROLE.c.person_id == _PERSON.c.id, isouter=True)
    .where(
        _SIGN_IN.c.token_sha256 == sqlalchemy.bindparam("token"),
        _SIGN_IN.c.ended_at.is_(None),
        _TABLET.c.ended_at.is_(None),
        _PERSON.c.active,
    )
)
