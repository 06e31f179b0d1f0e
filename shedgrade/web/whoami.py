"""Who is asking: the browser holds a token, the shed knows whose it is and how long it is good for."""

from collections.abc import Awaitable, Callable
from contextlib import suppress
from datetime import datetime, timedelta
from typing import Annotated

from fastapi import Depends, Request
from sqlalchemy.exc import OperationalError
from sqlmodel import Session

from shedgrade.domain.people import Deed, Person
from shedgrade.domain.settings import IDLE_MINUTES, SHIFT_HOURS, SIGN_IN_DAYS
from shedgrade.storage import settings, sign_ins
from shedgrade.storage.history import Actor, act_as
from shedgrade.storage.missing import MissingError
from shedgrade.storage.sign_ins import Good, SignedIn
from shedgrade.storage.tables import Tablet
from shedgrade.web.clock import Clock
from shedgrade.web.state import ReadSession, Shed, the_shed

COOKIE = "sign_in"
TABLET_COOKIE = "tablet"
SEEN_EVERY = timedelta(minutes=1)  # for the list of devices
SEEN_ON_TABLET = timedelta(seconds=5)  # for its lock, which is late by no more than this


class NobodyYetError(Exception):
    """Nobody is signed in in this browser; with an argument: somebody was, and it was ended or ran out."""


class IdleError(Exception):
    """The tablet was left alone; whoever comes back says who they are."""


class NotAllowedError(Exception):
    """This person's roles do not allow the deed."""

    def __init__(self, deed: Deed) -> None:
        """Name what was not allowed."""
        super().__init__(deed.value)
        self.deed = deed


def current_person(request: Request, session: ReadSession) -> Person:
    """The person the browser speaks for."""
    return person_in(session, request)


def watching_person(request: Request, session: ReadSession) -> Person:
    """The same for what a page asks by itself: nobody touched anything, so a tablet falls idle all the same."""
    return person_in(session, request, is_touch=False)


def person_in(session: Session, request: Request, *, even_idle: bool = False, is_touch: bool = True) -> Person:
    """The same, by a session that is open already, whose changes are this person's from now on.

    ``even_idle`` is for a fruit that was on the scale when the tablet fell idle: it is stored, then the tablet locks.
    """
    shed: Shed = request.app.state.shed
    now = shed.clock.real_now()
    try:
        here = sign_ins.signed_in(session, request.cookies.get(COOKIE, ""))
    except MissingError as mistake:
        was_here = sign_ins.ever_held_by(session, request.cookies.get(COOKIE, "")) is not None
        raise NobodyYetError(*(["ended"] if was_here else [])) from mistake
    _refuse_over(session, here, shed.clock)
    if not _is_idle(session, request, here, now):
        if is_touch:
            _note_seen(shed, session, here, now)
    elif not even_idle:
        raise IdleError
    request.state.person, request.state.signed_in = here.person, here
    act_as(session, Actor(here.person.id, here.device, shed.clock.now()))
    return here.person


def _refuse_over(session: Session, here: SignedIn, clock: Clock) -> None:
    """A browser's password is good for days, a tablet's PIN for a shift."""
    good = _in_browser_since if here.tablet_id is None else _on_tablet_since
    if here.proved_at < good(session, clock):
        raise NobodyYetError("ran out")


def good_since(session: Session, clock: Clock) -> Good:
    """Since when a password or PIN must have been given to be good now, by the rules of the shed's own day."""
    return Good(in_browser=_in_browser_since(session, clock), on_tablet=_on_tablet_since(session, clock))


def _in_browser_since(session: Session, clock: Clock) -> datetime:
    return clock.real_now() - timedelta(days=settings.in_force(session, SIGN_IN_DAYS, clock.today()))


def _on_tablet_since(session: Session, clock: Clock) -> datetime:
    return clock.real_now() - timedelta(hours=settings.in_force(session, SHIFT_HOURS, clock.today()))


def _is_idle(session: Session, request: Request, here: SignedIn, now: datetime) -> bool:
    """Whether a tablet was left alone; the page is told how long that takes, to lock by itself (static/js/lock.js).
    Presence is noted every few seconds, so this much more is given: whoever is there is never locked out early."""
    if here.tablet_id is None:
        return False
    idle = idle_after(session, request)
    request.state.lock_after = int(idle.total_seconds())
    return now - here.seen_at > idle + SEEN_ON_TABLET


def idle_after(session: Session, request: Request) -> timedelta:
    """How long a tablet is left alone before it locks."""
    return timedelta(minutes=settings.in_force(session, IDLE_MINUTES, the_shed(request).clock.today()))


def _note_seen(shed: Shed, session: Session, here: SignedIn, now: datetime) -> None:
    """Once in a while is enough; a stamp of presence, not a record, so it does not wait for a form, and is given up
    where a long form keeps SQLite to itself. A session that writes stamps by itself: it would wait for itself."""
    if now - here.seen_at <= (SEEN_EVERY if here.tablet_id is None else SEEN_ON_TABLET):
        return
    if session.get_bind() is shed.database.writer:
        sign_ins.note_seen(session, here.id, now)
        return
    with suppress(OperationalError), shed.database.writing() as own:
        sign_ins.note_seen(own, here.id, now)
        own.commit()


def tablet_here(session: Session, request: Request) -> Tablet | None:
    """The registered tablet this browser is; None in a browser of somebody's own."""
    try:
        return sign_ins.tablet_of(session, request.cookies.get(TABLET_COOKIE, ""))
    except MissingError:
        return None


CurrentPerson = Annotated[Person, Depends(current_person)]


def needs(deed: Deed) -> Callable[[Person], Awaitable[Person]]:
    """A dependency that gives the person only if they may do the deed."""

    async def allowed(person: CurrentPerson) -> Person:  # async, because it has nothing to wait for in a thread
        return who_may(person, deed)

    return allowed


def who_may(person: Person, deed: Deed) -> Person:
    """The person, if they may do the deed; NotAllowedError."""
    if not person.may(deed):
        raise NotAllowedError(deed)
    return person


async def _watching_shed(person: Annotated[Person, Depends(watching_person)]) -> Person:
    return who_may(person, Deed.SEE_SHED)


async def _watching_grader(person: Annotated[Person, Depends(watching_person)]) -> Person:
    return who_may(person, Deed.GRADE)


ShedPerson = Annotated[Person, Depends(needs(Deed.SEE_SHED))]
GrowerKeeper = Annotated[Person, Depends(needs(Deed.KEEP_GROWERS))]
Receiver = Annotated[Person, Depends(needs(Deed.RECEIVE))]
Grader = Annotated[Person, Depends(needs(Deed.GRADE))]
LineRunner = Annotated[Person, Depends(needs(Deed.RUN_LINE))]
WatchingShedPerson = Annotated[Person, Depends(_watching_shed)]
WatchingGrader = Annotated[Person, Depends(_watching_grader)]
MarketReader = Annotated[Person, Depends(needs(Deed.SEE_MARKETS))]
MarketKeeper = Annotated[Person, Depends(needs(Deed.KEEP_MARKETS))]
DraftReader = Annotated[Person, Depends(needs(Deed.READ_DRAFTS))]
SpecKeeper = Annotated[Person, Depends(needs(Deed.KEEP_SPECS))]
Quoter = Annotated[Person, Depends(needs(Deed.QUOTE))]
PeopleKeeper = Annotated[Person, Depends(needs(Deed.KEEP_PEOPLE))]
SettingKeeper = Annotated[Person, Depends(needs(Deed.KEEP_SETTINGS))]
