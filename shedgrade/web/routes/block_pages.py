"""A block's page: for the grower whose it is, and for the shed."""

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from shedgrade.domain.people import Deed
from shedgrade.reports.block import block_report
from shedgrade.storage import quick_looks
from shedgrade.web.block_view import block_view
from shedgrade.web.ids import RowId
from shedgrade.web.pages import page
from shedgrade.web.quick_look_view import standing_lines
from shedgrade.web.state import CurrentShed, ReadSession
from shedgrade.web.whoami import CurrentPerson

router = APIRouter()


@router.get("/blocks/{block_id}")
def shown(
    request: Request, person: CurrentPerson, session: ReadSession, shed: CurrentShed, block_id: RowId
) -> HTMLResponse:
    """What the fruit of a block were like."""
    report = block_report(session, person, block_id)
    looks = quick_looks.looks_of(session, [each.whole.id for each in report.consignments])
    view = block_view(
        report,
        lambda moment: shed.clock.local(moment).date(),
        {each.whole.id: standing_lines(looks.get(each.whole.id, ()), each.spec) for each in report.consignments},
        to_grower=not person.may(Deed.SEE_SHED),
        may_keep=person.may(Deed.KEEP_GROWERS),
    )
    return page(request, "blocks/page.html", view)
