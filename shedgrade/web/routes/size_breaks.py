"""Size breaks for the fruit of a consignment: the best ones, and what they give away beside the common ones."""

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from shedgrade.storage import intake, markets, runs, specs
from shedgrade.web.ids import RowId
from shedgrade.web.pages import page
from shedgrade.web.size_breaks_asking import Asking, asked_of, prices_for, trays_of
from shedgrade.web.size_breaks_view import BreaksView
from shedgrade.web.state import CurrentShed, ReadSession
from shedgrade.web.whoami import ShedPerson

router = APIRouter()

_VOIDED = "This consignment is voided: nothing of it counts any more."


@router.get("/consignments/{consignment_id}/breaks")
def shown(
    request: Request, person: ShedPerson, session: ReadSession, shed: CurrentShed, consignment_id: RowId
) -> HTMLResponse:
    """Where the breaks between counts should be set for these fruit, by a rule that the shed chooses."""
    whole = intake.consignment_for(session, person, consignment_id)
    market = markets.market(session, whole.consignment.market_id)
    asking = Asking(
        action=request.url.path,
        loads=(whole,),
        spec=specs.spec_of(session, whole.consignment.spec_version_id),
        trays=trays_of(market),
        prices=prices_for(session, person, shed.clock, (whole,)),
        day=shed.clock.today(),
        closed=_VOIDED if whole.voided else "",
    )
    part = asked_of(session, asking, request.query_params).part
    running = runs.runs_for(session, person, consignment_id=whole.id, open_only=True)
    run_id = running[0].row.id or 0 if running else 0
    view = BreaksView(f"Size breaks for {whole.name}", whole, part, run_id)
    return page(request, "size_breaks/page.html", view, status=422 if part.errors else 200)
