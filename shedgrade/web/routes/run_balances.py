"""A run's mass balance: where every kilogram went."""

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from shedgrade.reports.run_balance import balance_of
from shedgrade.reports.run_forecast import forecast_of
from shedgrade.storage import runs
from shedgrade.storage.specs import spec_of
from shedgrade.web.ids import RowId
from shedgrade.web.pages import page
from shedgrade.web.run_balance_view import balance_view
from shedgrade.web.state import CurrentShed, ReadSession
from shedgrade.web.whoami import ShedPerson

router = APIRouter(prefix="/runs/{run_id}/balance")


@router.get("")
def shown(request: Request, person: ShedPerson, session: ReadSession, shed: CurrentShed, run_id: RowId) -> HTMLResponse:
    """The balance."""
    run = runs.run_for(session, person, run_id)
    found = balance_of(session, person, run, shed.clock.today())
    spec = spec_of(session, run.row.spec_version_id)
    return page(request, "runs/balance.html", balance_view(run, found, forecast_of(session, run), spec))
