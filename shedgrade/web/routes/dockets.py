"""Dockets: a truck's paper, and the consignments received on it."""

from dataclasses import dataclass
from datetime import datetime

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from shedgrade.actions import intake as actions
from shedgrade.domain.people import Deed, Person
from shedgrade.storage import intake
from shedgrade.storage.tables import Docket
from shedgrade.web.clock import Clock
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.intake_form import INTAKE_FIELDS, IntakeForm, IntakeFormView
from shedgrade.web.intake_reading import Received, offered
from shedgrade.web.net_panel import NetPanel, panel_of
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession
from shedgrade.web.whoami import CurrentPerson, Receiver

router = APIRouter(prefix="/dockets")

_NEW = "Receive a truck"


@dataclass(frozen=True, slots=True)
class DocketView:
    """A docket and the nets of its consignments; ``net_g`` and ``standing`` leave voided ones out."""

    title: str
    docket: Docket
    consignments: list[tuple[intake.ConsignmentWhole, NetPanel]]
    net_g: int
    standing: int
    may_receive: bool


@router.get("/new")
def new(request: Request, person: Receiver, session: ReadSession, shed: CurrentShed, rows: str = "") -> HTMLResponse:
    """An empty form for a truck, with so many rows."""
    typed = {"received": _typed(shed.clock, shed.clock.now()), "rows": rows}
    view = IntakeFormView(_NEW, "/dockets", offered(session, person), typed=typed)
    return page(request, "dockets/form.html", view)


@router.post("", openapi_extra=publishes("number", "truck", *INTAKE_FIELDS))
def add(request: Request, person: Receiver, session: FormSession, posted: CurrentPosted, shed: CurrentShed) -> Response:
    """Work out the net of what was typed, or store the docket with its first consignment."""
    form = IntakeForm(session, person, posted, shed.clock)
    received = form.read()
    if received and received.docket and form.stores(received):
        docket = actions.add_docket(session, received.docket)
        return _stored(request, session, person, form, docket.id or 0, received)
    return page(request, "dockets/form.html", form.view(_NEW, "/dockets", received), status=form.status)


@router.get("/{docket_id}")
def shown(request: Request, person: CurrentPerson, session: ReadSession, docket_id: RowId) -> HTMLResponse:
    """A docket with those of its consignments that the person may see."""
    found = intake.docket_for(session, person, docket_id)
    consignments = [(whole, panel_of(whole)) for whole in found.consignments]
    nets_g = [panel.net.net_g for whole, panel in consignments if not whole.voided]
    title = f"Docket {found.docket.number}"
    view = DocketView(title, found.docket, consignments, sum(nets_g), len(nets_g), person.may(Deed.RECEIVE))
    return page(request, "dockets/page.html", view)


@router.get("/{docket_id}/consignments/new")
def another(
    request: Request, person: Receiver, session: ReadSession, shed: CurrentShed, docket_id: RowId, rows: str = ""
) -> HTMLResponse:
    """An empty form for a further consignment of a docket, with so many rows."""
    docket = intake.docket_for(session, person, docket_id).docket
    typed = {"received": _typed(shed.clock, docket.received_at), "rows": rows}
    view = IntakeFormView(_another(docket), _address(docket), offered(session, person), docket, typed)
    return page(request, "dockets/form.html", view)


@router.post("/{docket_id}/consignments", openapi_extra=publishes(*INTAKE_FIELDS))
def add_another(
    request: Request,
    person: Receiver,
    session: FormSession,
    posted: CurrentPosted,
    shed: CurrentShed,
    docket_id: RowId,
) -> Response:
    """Work out the net of what was typed, or store it as a further consignment of the docket."""
    docket = intake.docket_for(session, person, docket_id).docket
    form = IntakeForm(session, person, posted, shed.clock, docket)
    received = form.read()
    if received and form.stores(received):
        return _stored(request, session, person, form, docket_id, received)
    view = form.view(_another(docket), _address(docket), received)
    return page(request, "dockets/form.html", view, status=form.status)


def _stored(
    request: Request, session: Session, person: Person, form: IntakeForm, docket_id: int, received: Received
) -> Response:
    consignment = actions.add_consignment(session, docket_id, received.facts, person.id)
    goes_on = form.pressed == "another"
    location = f"/dockets/{docket_id}/consignments/new" if goes_on else f"/consignments/{consignment.id}"
    return done(request, session, person, form.posted, location)


def _typed(clock: Clock, moment: datetime) -> str:
    return f"{clock.local(moment):%Y-%m-%dT%H:%M}"


def _address(docket: Docket) -> str:
    return f"/dockets/{docket.id}/consignments"


def _another(docket: Docket) -> str:
    return f"Another consignment on docket {docket.number}"
