"""Tablets of the shed, on which a PIN is enough: the shed manager makes a browser one, and ends it."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from shedgrade.actions import sign_ins as actions
from shedgrade.actions.sign_ins import TabletNameTakenError
from shedgrade.storage import sign_ins
from shedgrade.web import cookies
from shedgrade.web.answers import Answers
from shedgrade.web.devices_view import devices_page
from shedgrade.web.entering import TABLET_STAYS
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.once import FormSession, done
from shedgrade.web.state import CurrentPosted, CurrentShed
from shedgrade.web.whoami import COOKIE, TABLET_COOKIE, PeopleKeeper, tablet_here

router = APIRouter(prefix="/tablets")

_LONGEST = 40


@router.post("", openapi_extra=publishes("name"))
def register(
    request: Request, person: PeopleKeeper, shed: CurrentShed, session: FormSession, posted: CurrentPosted
) -> Response:
    """Make this browser a tablet of the shed. The manager is signed out of it: it is everybody's from now on."""
    answers, now = Answers(posted), shed.clock.real_now()
    name = answers.text("name", longest=_LONGEST)
    if (here := tablet_here(session, request)) is not None:
        answers.refuse("name", f"This is the tablet {here.name} already. End that first.")
    try:
        opened = actions.register_tablet(session, name, person.id, now) if answers.fine else None
    except TabletNameTakenError as taken:
        answers.refuse("name", str(taken))
        opened = None
    if opened is None:
        return devices_page(request, person, session, posted, answers.errors, status=422)
    actions.end(session, sign_ins.sign_in_for(session, person, request.state.signed_in.id), person.id, now)
    answer = done(request, session, person, posted, "/sign-in")
    cookies.keep(request, answer, TABLET_COOKIE, opened.token, TABLET_STAYS)
    cookies.drop(request, answer, COOKIE)
    return answer


@router.post("/{tablet_id}/ending", openapi_extra=publishes())
def end(
    request: Request,
    person: PeopleKeeper,
    shed: CurrentShed,
    session: FormSession,
    posted: CurrentPosted,
    tablet_id: RowId,
) -> Response:
    """End a tablet that is lost or retired, and every sign-in on it."""
    actions.end_tablet(session, sign_ins.tablet(session, tablet_id), person.id, shed.clock.real_now())
    return done(request, session, person, posted, "/devices?done=tablet-ended")
