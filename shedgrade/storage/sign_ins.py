"""Tablets, sign-ins and failed tries by what a browser holds."""

from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256

import sqlalchemy
from sqlalchemy.dialects import postgresql, sqlite
from sqlmodel import Session, SQLModel, col, or_, select

from shedgrade.domain.people import Deed, Person, Role, tap_is_enough
from shedgrade.domain.sign_in import FORGIVEN_AFTER, Tried, name_key
from shedgrade.storage.missing import MissingError
from shedgrade.storage.tables import FailedTries, PersonRole, PersonRow, SignIn, Tablet


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
class Good:
    """Since when password or PIN must have been given: in a browser of one's own, on a tablet."""

    in_browser: datetime
    on_tablet: datetime


@dataclass(frozen=True, slots=True)
class SignInLine:
    """A sign-in in a list of devices."""

    sign_in: SignIn
    person_name: str
    tablet_name: str


@dataclass(frozen=True, slots=True)
class NameOnTablet:
    """Somebody who signs in on a tablet; ``on_shift`` is their sign-in where they need only tap their name."""

    row: PersonRow
    on_shift: SignIn | None


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


def was_tablet(session: Session, token: str) -> bool:
    """Whether this token was a tablet's that has been ended."""
    query = select(Tablet.id).where(Tablet.token_sha256 == hashed(token), col(Tablet.ended_at).is_not(None))
    return bool(token) and session.exec(query).first() is not None


def tablets(session: Session) -> list[Tablet]:
    """The tablets that are registered, by name."""
    return list(session.exec(select(Tablet).where(col(Tablet.ended_at).is_(None)).order_by(Tablet.name)))


def tablet(session: Session, tablet_id: int) -> Tablet:
    """One registered tablet; MissingError."""
    row = session.get(Tablet, tablet_id)
    if row is None or row.ended_at is not None:
        raise MissingError
    return row


def open_sign_ins(session: Session, person_id: int | None = None, good: Good | None = None) -> list[SignInLine]:
    """Where people are signed in, the last seen first: one person's, or everybody's; ``good`` leaves out those whose
    time is over."""
    query = (
        select(SignIn, PersonRow.name, Tablet.name)
        .join(PersonRow, col(PersonRow.id) == SignIn.person_id)
        .join(Tablet, col(Tablet.id) == SignIn.tablet_id, isouter=True)
        .where(col(SignIn.ended_at).is_(None))
        .order_by(col(SignIn.seen_at).desc())
    )
    if person_id is not None:
        query = query.where(SignIn.person_id == person_id)
    if good is not None:
        on_tablet = col(SignIn.tablet_id).is_not(None)
        since = sqlalchemy.case((on_tablet, good.on_tablet), else_=good.in_browser)
        query = query.where(SignIn.proved_at >= since)
    return [SignInLine(sign_in, name, tablet or "") for sign_in, name, tablet in session.exec(query)]


def sign_in_for(session: Session, person: Person, sign_in_id: int) -> SignIn:
    """A sign-in this person may end: their own, or anybody's for who keeps people; MissingError."""
    row = session.get(SignIn, sign_in_id)
    if row is None or not (row.person_id == person.id or person.may(Deed.KEEP_PEOPLE)):
        raise MissingError
    return row


def held_by(session: Session, token: str) -> SignIn | None:
    """The sign-in this token opens, however long ago it was proved; None if it opens none."""
    return session.exec(
        select(SignIn).where(SignIn.token_sha256 == hashed(token), col(SignIn.ended_at).is_(None))
    ).first()


def ever_held_by(session: Session, token: str) -> SignIn | None:
    """The sign-in this token opens or opened before it ended; None if there never was one."""
    return session.exec(select(SignIn).where(SignIn.token_sha256 == hashed(token))).first() if token else None


def names_on(session: Session, tablet_id: int, since: datetime) -> list[NameOnTablet]:
    """Who finds their name on this tablet: everybody with a PIN, and whoever has proved who they are on it since then
    and may come back by a tap. By name, so that each stands in the same place every day."""
    here = _by_a_tap(session, on_shift(session, tablet_id, since))
    query = select(PersonRow).where(
        col(PersonRow.active), or_(PersonRow.pin_hash != "", col(PersonRow.id).in_(list(here)))
    )
    return [NameOnTablet(row, here.get(row.id or 0)) for row in session.exec(query.order_by(PersonRow.name))]


def _by_a_tap(session: Session, here: dict[int, SignIn]) -> dict[int, SignIn]:
    """Those of them whose roles let a tap be enough."""
    roles: dict[int, list[Role]] = {person_id: [] for person_id in here}
    for row in session.exec(select(PersonRole).where(col(PersonRole.person_id).in_(list(here)))):
        roles[row.person_id].append(Role(row.role))
    return {person_id: row for person_id, row in here.items() if tap_is_enough(roles[person_id])}


def on_shift(session: Session, tablet_id: int, since: datetime) -> dict[int, SignIn]:
    """By person, their open sign-in on this tablet whose PIN was given since then: they need only tap their name."""
    query = select(SignIn).where(
        SignIn.tablet_id == tablet_id, col(SignIn.ended_at).is_(None), col(SignIn.proved_at) >= since
    )
    return {row.person_id: row for row in session.exec(query.order_by(col(SignIn.id)))}


def with_password(session: Session, name: str) -> PersonRow | None:
    """The active person of that name who can sign in by password; None where there is none. However it is typed: no
    two people in the books differ only by capitals."""
    query = select(PersonRow).where(col(PersonRow.active), PersonRow.password_hash != "")
    wanted = name_key(name)
    return next((row for row in session.exec(query) if name_key(row.name) == wanted), None)


def failures(session: Session, tried: Tried) -> FailedTries | None:
    """The failures in a row, held against other writers until the end, also where there are none yet (then None): of
    many first tries at once each has to see the one before. Whoever holds several takes a sender last, or two could
    wait for each other; SQLite has one writer at a time anyway."""
    if session.connection().dialect.name == "postgresql":
        session.connection().execute(_HOLD, {"key": tried.key})
    query = select(FailedTries).where(FailedTries.of == tried.key)
    return session.exec(query.execution_options(populate_existing=True)).first()


def count_failure(session: Session, tried: Tried, now: datetime) -> None:
    """One more failure in a row."""
    insert = sqlite.insert if session.connection().dialect.name == "sqlite" else postgresql.insert
    more = {"failures": _FAILED.c.failures + 1, "last_at": now}
    added = insert(_FAILED).values(of=tried.key, failures=1, last_at=now)
    session.connection().execute(added.on_conflict_do_update(index_elements=["of"], set_=more))


def forget_old_failures(session: Session, now: datetime) -> None:
    """Drop what is forgiven by now, so that names nobody has do not pile up."""
    for kind, after in FORGIVEN_AFTER.items():
        old = sqlalchemy.delete(_FAILED).where(_FAILED.c.of.like(f"{kind} %"), _FAILED.c.last_at < now - after)
        session.connection().execute(old)


_HOLD = sqlalchemy.text("SELECT pg_advisory_xact_lock(hashtext(:key))")

# Built once and on the tables: every request asks it.
_SIGN_IN, _TABLET, _PERSON, _ROLE, _FAILED = (
    SQLModel.metadata.tables[name] for name in ("sign_in", "tablet", "person", "person_role", "failed_tries")
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
