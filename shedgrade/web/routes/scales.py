"""Scales at the bench: pair one, hear what it sends, put away what came late, end it."""

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from shedgrade.actions import scales as actions
from shedgrade.storage import scales
from shedgrade.storage.missing import MissingError
from shedgrade.storage.scales import BenchPlace
from shedgrade.storage.tables import Scale
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page
from shedgrade.web.scale_view import ScaleView, code_words, here_view, waiting_words
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession
from shedgrade.web.whoami import CurrentPerson, Grader, WatchingGrader

router = APIRouter(prefix="/scales")

_NO_SCALE = {"Scale": "none"}


def _place(request: Request) -> BenchPlace:
    return BenchPlace.of(request.state.signed_in)


@router.get("")
def show(request: Request, _person: Grader, shed: CurrentShed, session: ReadSession) -> HTMLResponse:
    """The scale of this bench, and the code that pairs one."""
    place = _place(request)
    scale = scales.at_bench(session, place)
    shown = scales.code_at(session, place, shed.clock.real_now())
    view = ScaleView(
        title="A scale for this bench",
        scale=scale,
        code=code_words(shown),
        until=shown.until if shown else None,
        address=f"{request.url.scheme}://{request.url.netloc}",
        needs_authority=shed.tls is not None,
        waiting=waiting_words(scales.sent(session, scale.id or 0), shed.clock) if scale else (),
    )
    return page(request, "scales/page.html", view)


@router.post("/codes", openapi_extra=publishes())
def show_code(
    request: Request, person: Grader, shed: CurrentShed, session: FormSession, posted: CurrentPosted
) -> Response:
    """Show a code for pairing a scale with this bench."""
    actions.show_code(session, _place(request), person.id, shed.clock.real_now())
    return done(request, session, person, posted, "/scales")


@router.get("/here")
def newest(
    request: Request, _person: WatchingGrader, shed: CurrentShed, session: ReadSession, seen: str = ""
) -> Response:
    """What this bench's scale sent; nothing where that was seen already. An open bench asks every second."""
    scale = scales.at_bench(session, _place(request))
    if scale is None:
        return Response(status_code=204, headers=_NO_SCALE)
    view = here_view(scales.sent(session, scale.id or 0), shed.clock)
    return Response(status_code=204) if view.state == seen else page(request, "scales/_here.html", view)


@router.post("/readings/{reading_id}/ending", openapi_extra=publishes())
def put_away(
    request: Request,
    person: Grader,
    shed: CurrentShed,
    session: FormSession,
    posted: CurrentPosted,
    reading_id: RowId,
) -> Response:
    """A reading that came late was put into a fruit's weight, or was none's."""
    row = scales.waiting_reading(session, _scale_here(request, session).id or 0, reading_id)
    actions.put_away(session, row, shed.clock.real_now())
    return done(request, session, person, posted, "/scales")


@router.post("/{scale_id}/ending", openapi_extra=publishes())
def end(
    request: Request,
    person: CurrentPerson,
    shed: CurrentShed,
    session: FormSession,
    posted: CurrentPosted,
    scale_id: RowId,
) -> Response:
    """End a pairing: what that scale sends goes nowhere any more."""
    row = scales.scale_for(session, person, _place(request), scale_id)
    actions.end(session, row, person.id, shed.clock.real_now())
    return done(request, session, person, posted, "/devices?done=scale-ended")


def _scale_here(request: Request, session: Session) -> Scale:
    scale = scales.at_bench(session, _place(request))
    if scale is None:
        raise MissingError
    return scale
