"""The same form sent twice is carried out once: the second time shows the first one's answer."""

from typing import Annotated

from fastapi import Depends, Request
from fastapi.responses import RedirectResponse
from sqlmodel import Session

from shedgrade.domain.people import Person
from shedgrade.storage import posted as forms
from shedgrade.storage.history import Actor, act_as
from shedgrade.web.pages import KEPT_COOKIE, see
from shedgrade.web.posted import Posted
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


def fresh_form(request: Request, session: WriteSession, posted: CurrentPosted, person: CurrentPerson) -> Session:
    """The session to write with, its changes this person's, unless this very form was carried out already."""
    shed: Shed = request.app.state.shed
    act_as(session, Actor(person.id, request.state.signed_in.device, shed.clock.now()))
    if answer := forms.answer_of(session, key_of(posted), person.id):
        raise AlreadyDoneError(answer)
    return session


FormSession = Annotated[Session, Depends(fresh_form)]


def done(request: Request, session: Session, person: Person, posted: CurrentPosted, location: str) -> RedirectResponse:
    """Commit what the form asked for, remember the form, and send the browser to the answer. What had been kept of it
    half-typed is done with."""
    shed: Shed = request.app.state.shed
    if key := key_of(posted):
        forms.keep(session, key, person.id, location, shed.clock.now())
    session.commit()
    shed.kept.drop(request.cookies.get(KEPT_COOKIE, ""), person.id, request.url.path)
    return see(location)


def key_of(posted: Posted) -> str:
    """The key the form was drawn with; "" for a form without one."""
    return posted.get(KEY, "")[:_LONGEST_KEY]
