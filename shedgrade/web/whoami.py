"""Who is asking. Until people sign in, the browser remembers whom they said they are."""

from collections.abc import Awaitable, Callable
from typing import Annotated

from fastapi import Depends, Request
from sqlmodel import Session

from shedgrade.domain.people import Deed, Person
from shedgrade.storage import people
from shedgrade.storage.missing import MissingError
from shedgrade.web.state import ReadSession

COOKIE = "person"


class NobodyYetError(Exception):
    """The browser has not said who is using it."""


class NotAllowedError(Exception):
    """This person's roles do not allow the deed."""

    def __init__(self, deed: Deed) -> None:
        """Name what was not allowed."""
        super().__init__(deed.value)
        self.deed = deed


def current_person(request: Request, session: ReadSession) -> Person:
    """The person the browser speaks for."""
    return person_in(session, request)


def person_in(session: Session, request: Request) -> Person:
    """The same, by a session that is open already: the bench spares itself a second one for every fruit."""
    try:
        who = people.person(session, int(request.cookies.get(COOKIE, "")))
    except (ValueError, OverflowError, MissingError) as mistake:
        raise NobodyYetError from mistake
    request.state.person = who
    return who


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


ShedPerson = Annotated[Person, Depends(needs(Deed.SEE_SHED))]
GrowerKeeper = Annotated[Person, Depends(needs(Deed.KEEP_GROWERS))]
Receiver = Annotated[Person, Depends(needs(Deed.RECEIVE))]
Grader = Annotated[Person, Depends(needs(Deed.GRADE))]
MarketReader = Annotated[Person, Depends(needs(Deed.SEE_MARKETS))]
MarketKeeper = Annotated[Person, Depends(needs(Deed.KEEP_MARKETS))]
Quoter = Annotated[Person, Depends(needs(Deed.QUOTE))]
