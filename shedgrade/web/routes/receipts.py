"""The receipt of a consignment: one sheet for the driver and the grower."""

from dataclasses import dataclass
from datetime import datetime

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from shedgrade.storage import intake
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.web.ids import RowId
from shedgrade.web.net_panel import NetPanel, bin_count_words, panel_of
from shedgrade.web.pages import page
from shedgrade.web.routes.consignments import say_temperature
from shedgrade.web.state import CurrentShed, ReadSession
from shedgrade.web.whoami import CurrentPerson

router = APIRouter(prefix="/consignments/{consignment_id}/receipt")


@dataclass(frozen=True, slots=True)
class ReceiptView:
    """What the sheet says."""

    title: str
    whole: ConsignmentWhole
    panel: NetPanel
    pulp: str
    bin_counts: str
    printed_at: datetime

    @property
    def corrected_at(self) -> datetime | None:
        """When wet empties last changed the net; None while it is as received."""
        return max((row.weighed_at for row in self.whole.empties), default=None)


@router.get("")
def shown(
    request: Request, person: CurrentPerson, session: ReadSession, shed: CurrentShed, consignment_id: RowId
) -> HTMLResponse:
    """The receipt, ready to print."""
    whole = intake.consignment_for(session, person, consignment_id)
    panel = panel_of(whole)
    view = ReceiptView(
        f"Receipt {whole.name}",
        whole,
        panel,
        say_temperature(whole.consignment.pulp_ddeg),
        bin_count_words(whole.consignment.grower_bins, panel.net.bins),
        shed.clock.now(),
    )
    return page(request, "consignments/receipt.html", view)
