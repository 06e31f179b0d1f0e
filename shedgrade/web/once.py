"""The same form sent twice is carried out once: the second time shows the first one's answer."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Annotated

from fastapi import Depends, Request
from fastapi.responses import RedirectResponse
from sqlalchemy.exc import IntegrityError
from sqlmodel import Session

from shedgrade.domain.people import Person
from shedgrade.storage import posted as forms
from shedgrade.web.pages import see
from shedgrade.web.state import CurrentPosted, Shed, WriteSession
from shedgrade.web.whoami import CurrentPerson

KEY = "form_key"
_LONGEST_KEY = 64


class AlreadyDoneError(Exception):
    """This form was carried out before; its answer is at ``location``."""

    def __init__(self, location: str) -> None:
        """Say where the answer is."""
        super().__init__(location)
        self.location = location


def fresh_form(session: WriteSession, posted: CurrentPosted, person: CurrentPerson) -> Session:
    """The session to write with, unless this very form was carried out already."""
    if answer := forms.answer_of(session, _key(posted), person.id):
        raise AlreadyDoneError(answer)
    return session


FormSession = Annotated[Session, Depends(fresh_form)]


def done(request: Request, session: Session, person: Person, posted: CurrentPosted, location: str) -> RedirectResponse:
    """Commit what the form asked for, remember the form, and send the browser to the answer."""
    shed: Shed = request.app.state.shed
    if key := _key(posted):
        forms.keep(session, key, person.id, location, shed.clock.now())
    with _lost_race(session, key, person):
        session.commit()
    return see(location)


@contextmanager
def _lost_race(session: Session, key: str, person: Person) -> Iterator[None]:
    """Two servers can carry out the same form at once; the database lets one win, and the other shows its answer."""
    try:
        yield
    except IntegrityError:
        session.rollback()
        if answer := forms.answer_of(session, key, person.id):
            raise AlreadyDoneError(answer) from None
        raise


def _key(posted: CurrentPosted) -> str:
    return posted.get(KEY, "")[:_LONGEST_KEY]
