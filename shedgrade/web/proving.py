"""Proving who somebody is, and hashing what they will prove it with: always before a form gets its turn to write.

A slow hash takes a core for some 30 ms. One thread makes all of them, so a flood of sign-ins waits for itself while the
bench goes on saving fruit; and no database session is held meanwhile. So these are dependencies that a handler names
before its session. Each try is counted as failed first and taken back afterwards (``actions.sign_ins.succeed``): of a
thousand tries sent at once, no more are hashed than of a thousand sent one by one.
"""

import asyncio
from collections.abc import Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from datetime import timedelta
from typing import Annotated, TypeVar

from fastapi import Depends, Request
from fastapi.concurrency import run_in_threadpool
from sqlmodel import Session

from shedgrade.actions.sign_ins import PinClosedError, TooManyTriesError, begin_try
from shedgrade.domain import sign_in as rules
from shedgrade.domain.sign_in import Tried
from shedgrade.storage import hashing, sign_ins
from shedgrade.storage.missing import MissingError
from shedgrade.storage.people import person_whole
from shedgrade.storage.tables import PersonRow
from shedgrade.web.answers import MISSING
from shedgrade.web.ids import row_id
from shedgrade.web.state import CurrentPosted, CurrentShed, Shed
from shedgrade.web.whoami import CurrentPerson, tablet_here

T = TypeVar("T")
_ONE_AT_A_TIME = ThreadPoolExecutor(1, "hashing")


@dataclass(frozen=True, slots=True)
class Proof:
    """What came of a try: the person who proved who they are, or nobody; ``sentence`` says why, if more is to be said
    than that it was wrong. Both counts, of which a success takes the try back, are there where one was made."""

    person_id: int | None = None
    account: Tried | None = None
    sender: Tried | None = None
    sentence: str = ""
    status: int = 422


@dataclass(frozen=True, slots=True)
class NewSecret:
    """A new password or PIN: what is to be kept of it, or what is wrong with it."""

    kept: str = ""
    mistake: str = ""


@dataclass(frozen=True, slots=True)
class _Account:
    """What is tried: the count it goes under, and the hash that is to fit; nobody's person has none."""

    tried: Tried
    person_id: int | None
    kept: str


NOTHING_TYPED = Proof()


async def by_password(request: Request, shed: CurrentShed, posted: CurrentPosted) -> Proof:
    """By name and password. A name that is not in the books costs as much and is told the same."""
    name, secret = posted.get("name", ""), posted.get("password", "")
    if not name.strip() or not secret.strip():
        return NOTHING_TYPED
    return await _prove(shed, request, secret, lambda session: _named(session, name[: rules.LONGEST_NAME]))


async def by_pin(request: Request, shed: CurrentShed, posted: CurrentPosted) -> Proof:
    """By PIN, which only a registered tablet asks for; MissingError elsewhere, and of somebody who has none."""
    secret = posted.get("pin", "")
    person_id = row_id(posted.get("person", ""))
    if not secret.strip():
        return NOTHING_TYPED
    return await _prove(shed, request, secret, lambda session: _on_tablet(session, request, person_id))


async def by_own(request: Request, person: CurrentPerson, shed: CurrentShed, posted: CurrentPosted) -> Proof:
    """Again, by somebody who is signed in: by password, or by PIN where they have no password."""
    secret = posted.get("now", "")
    if not secret.strip():
        return NOTHING_TYPED
    return await _prove(shed, request, secret, lambda session: _own(session, person.id))


def new_secret(field: str, parse: Callable[[str], str]) -> Callable[[CurrentPosted], Awaitable[NewSecret]]:
    """A dependency that hashes a new password or PIN typed into the field."""

    async def hashed(posted: CurrentPosted) -> NewSecret:
        typed = posted.get(field, "").strip()
        if not typed:
            return NewSecret(mistake=MISSING)
        try:
            return NewSecret(await in_turn(lambda: hashing.hash_of(parse(typed))))
        except ValueError as mistake:
            return NewSecret(mistake=str(mistake))

    return hashed


NameProof = Annotated[Proof, Depends(by_password)]
PinProof = Annotated[Proof, Depends(by_pin)]
OwnProof = Annotated[Proof, Depends(by_own)]
NewPassword = Annotated[NewSecret, Depends(new_secret("new_password", rules.password))]
NewPin = Annotated[NewSecret, Depends(new_secret("new_pin", rules.pin))]


async def in_turn(work: Callable[[], T]) -> T:
    """Do a piece of hashing when its turn comes."""
    return await asyncio.get_running_loop().run_in_executor(_ONE_AT_A_TIME, work)


async def _prove(shed: Shed, request: Request, secret: str, find: Callable[[Session], _Account]) -> Proof:
    sender = Tried.sender(request.client.host if request.client else "")
    try:
        account = await run_in_threadpool(_begin, shed, sender, find)
    except TooManyTriesError as slowed:
        request.state.retry_after = _seconds(slowed.wait)
        return Proof(sentence=_wait_words(request.state.retry_after), status=429)
    except PinClosedError:
        return Proof(sentence=CLOSED, status=403)
    written = rules.pin_digits(secret) if account.tried.kind == "pin" else secret
    fits = await in_turn(lambda: hashing.fits(written, account.kept))
    return Proof(account.person_id if fits else None, account.tried, sender)


CLOSED = (
    f"This PIN was wrong {rules.PIN_FAILURES} times in a row and is closed. Sign in with your password, which opens it "
    "again, or ask the shed manager for a new PIN."
)


def _begin(shed: Shed, sender: Tried, find: Callable[[Session], _Account]) -> _Account:
    with shed.database.writing() as session:
        account = find(session)
        begin_try(session, [account.tried, sender], shed.clock.real_now())
        session.commit()
    return account


def _named(session: Session, name: str) -> _Account:
    row = sign_ins.with_password(session, name)
    return _Account(Tried.name(name), row.id if row else None, row.password_hash if row else "")


def _on_tablet(session: Session, request: Request, person_id: int) -> _Account:
    row = session.get(PersonRow, person_id)
    if tablet_here(session, request) is None or row is None or not row.active or not row.pin_hash:
        raise MissingError
    return _Account(Tried.pin(person_id), person_id, row.pin_hash)


def _own(session: Session, person_id: int) -> _Account:
    row = person_whole(session, person_id).row
    if row.password_hash:
        return _Account(Tried.name(row.name), person_id, row.password_hash)
    return _Account(Tried.pin(person_id), person_id, row.pin_hash)


def _seconds(wait: timedelta) -> int:
    return -(-wait // timedelta(seconds=1))


def _wait_words(seconds: int) -> str:
    return f"Too many tries. Wait {seconds} second{'' if seconds == 1 else 's'}."
