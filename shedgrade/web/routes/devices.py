"""Devices: where somebody is signed in, and ending it there."""

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from shedgrade.actions import sign_ins as actions
from shedgrade.storage.sign_ins import sign_in_for
from shedgrade.web.devices_view import devices_page
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.once import FormSession, done
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession
from shedgrade.web.whoami import CurrentPerson

router = APIRouter(prefix="/devices")


@router.get("")
def listed(request: Request, person: CurrentPerson, session: ReadSession) -> HTMLResponse:
    """Where one is signed in; who keeps people sees everybody's, and the tablets."""
    return devices_page(request, person, session)


@router.post("/{sign_in_id}/ending", openapi_extra=publishes())
def end(
    request: Request,
    person: CurrentPerson,
    shed: CurrentShed,
    session: FormSession,
    posted: CurrentPosted,
    sign_in_id: RowId,
) -> Response:
    """End a sign-in: whatever browser holds it is out at its next step."""
    row = sign_in_for(session, person, sign_in_id)
    actions.end_on_device(session, row, person.id, shed.clock.real_now())
    return done(request, session, person, posted, "/devices?done=ended")
