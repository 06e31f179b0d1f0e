"""The pack-out report of a consignment."""

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from shedgrade.domain.people import Deed, Person
from shedgrade.reports.packout import packout_of
from shedgrade.storage import intake, markets
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.web.ids import RowId
from shedgrade.web.packout_view import Base, packout_view
from shedgrade.web.pages import page
from shedgrade.web.state import CurrentShed, ReadSession
from shedgrade.web.whoami import CurrentPerson

router = APIRouter()


@dataclass(frozen=True, slots=True)
class VoidView:
    """The pack-out page of a consignment that was voided."""

    title: str
    whole: ConsignmentWhole


@router.get("/consignments/{consignment_id}/packout")
def shown(
    request: Request,
    person: CurrentPerson,
    session: ReadSession,
    shed: CurrentShed,
    consignment_id: RowId,
    base: Base = Base.WEIGHT,
) -> HTMLResponse:
    """What a consignment packs out, for the shed and for the grower whose it is."""
    whole = intake.consignment_for(session, person, consignment_id)
    if whole.voided:
        return page(request, "packouts/void.html", VoidView(f"Pack-out of {whole.name}", whole))
    received_on = shed.clock.local(whole.consignment.received_at).date()
    prices = markets.prices_in_force(session, whole.consignment.market_id, received_on)
    money = sees_money(person, whole.grower.id or 0)
    report = packout_of(session, whole, prices if money else None)
    trays = markets.market(session, whole.consignment.market_id).trays
    view = packout_view(
        report,
        received_on,
        base,
        money=money,
        may_grade=person.may(Deed.GRADE),
        may_quote=person.may(Deed.QUOTE),
        start_tray=trays[0][0] if trays else None,
    )
    return page(request, "packouts/page.html", view)


def sees_money(person: Person, grower_id: int) -> bool:
    """Prices are for those who sell, and for the grower whose fruit it is."""
    return person.may(Deed.SEE_MARKETS) or person.grower_id == grower_id
