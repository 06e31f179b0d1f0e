"""A run's board: one screen for the whole line, which asks for itself every ten seconds."""

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from shedgrade.domain.people import Person
from shedgrade.reports.run_board import board_of
from shedgrade.reports.run_forecast import forecast_of
from shedgrade.reports.run_mix import class_mixes
from shedgrade.storage import runs
from shedgrade.storage.specs import spec_of
from shedgrade.web.ids import RowId
from shedgrade.web.pages import page
from shedgrade.web.run_board_view import BoardView, board_view
from shedgrade.web.state import CurrentShed, ReadSession, Shed
from shedgrade.web.whoami import ShedPerson, WatchingShedPerson

router = APIRouter(prefix="/runs/{run_id}/board")


@router.get("")
def shown(request: Request, person: ShedPerson, session: ReadSession, shed: CurrentShed, run_id: RowId) -> HTMLResponse:
    """The board."""
    return page(request, "runs/board.html", _view(session, shed, person, run_id))


@router.get("/now")
def now(
    request: Request, person: WatchingShedPerson, session: ReadSession, shed: CurrentShed, run_id: RowId
) -> HTMLResponse:
    """What of the board changes, for the board to ask for by itself: nobody touched anything."""
    return page(request, "runs/_board.html", _view(session, shed, person, run_id))


def _view(session: Session, shed: Shed, person: Person, run_id: int) -> BoardView:
    run, moment = runs.run_for(session, person, run_id), shed.clock.now()
    board = board_of(session, run, moment, shed.clock.today())
    mixes = class_mixes(session, shed.mixes, run, moment)
    spec = spec_of(session, run.row.spec_version_id)
    return board_view(board, forecast_of(session, run), mixes, spec, shed.clock, moment)
