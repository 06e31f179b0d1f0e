"""Putting right what was written down about a load and is not weighed: the docket's number and truck, the pick.

Weights, block and market are not among it: they decide what is paid, so a load with a wrong one is voided and received
again.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from shedgrade.actions import intake as actions
from shedgrade.actions.intake import NumberTakenError
from shedgrade.domain.units import digits
from shedgrade.storage import intake
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.storage.stale import StaleError
from shedgrade.storage.tables import Docket
from shedgrade.web.answers import Answers
from shedgrade.web.clock import Clock
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.intake_reading import read_pick
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page, say_moment
from shedgrade.web.routes.consignments import say_temperature
from shedgrade.web.standing import must_stand
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession
from shedgrade.web.stored_now import differing, stored_now
from shedgrade.web.whoami import Receiver

router = APIRouter()


@dataclass(frozen=True, slots=True)
class CorrectionView:
    """A form that puts something right: the docket, or the pick of the consignment ``whole``."""

    title: str
    docket: Docket
    typed: Mapping[str, str]
    version: int
    whole: ConsignmentWhole | None = None
    errors: Mapping[str, str] = field(default_factory=dict)
    stored_now: str = ""
    differs: Mapping[str, str] = field(default_factory=dict)


@router.get("/dockets/{docket_id}/edit")
def edit_docket(request: Request, person: Receiver, session: ReadSession, docket_id: RowId) -> HTMLResponse:
    """A docket's number and truck as they are stored."""
    docket = intake.docket_for(session, person, docket_id).docket
    view = CorrectionView(_docket_title(docket), docket, _written(docket), docket.version)
    return page(request, "dockets/edit.html", view)


@router.post("/dockets/{docket_id}", openapi_extra=publishes("number", "truck", "reason", "version"))
def change_docket(
    request: Request, person: Receiver, session: FormSession, posted: CurrentPosted, docket_id: RowId
) -> Response:
    """Put a docket's number and truck right."""
    docket = intake.docket_for(session, person, docket_id).docket
    answers = Answers(posted)
    number = answers.text("number", longest=30)
    truck = answers.text("truck", needed=False, longest=40)
    reason = answers.text("reason")
    now_stored, status = "", 422
    if answers.fine:
        try:
            actions.change_docket(session, docket, number, truck, reason, answers.version())
            return done(request, session, person, posted, f"/dockets/{docket_id}")
        except NumberTakenError:
            answers.refuse("number", f"There is another docket {number} in the books. Give another number.")
        except StaleError:
            facts = f"docket {docket.number}, {f'truck {docket.truck}' if docket.truck else 'no truck'}"
            now_stored, status = stored_now(request, session, "docket", docket_id, facts), 409
    version = docket.version if now_stored else answers.version()
    differs = differing(posted, _written(docket)) if now_stored else {}
    view = CorrectionView(_docket_title(docket), docket, posted, version, None, answers.errors, now_stored, differs)
    return page(request, "dockets/edit.html", view, status=status)


@router.get("/consignments/{consignment_id}/edit")
def edit_pick(
    request: Request, person: Receiver, session: ReadSession, shed: CurrentShed, consignment_id: RowId
) -> HTMLResponse:
    """What is stored about a consignment's pick."""
    whole = intake.consignment_for(session, person, consignment_id)
    must_stand(whole)
    view = CorrectionView(_pick_title(whole), whole.docket, _typed(whole, shed.clock), whole.consignment.version, whole)
    return page(request, "consignments/edit.html", view)


@router.post(
    "/consignments/{consignment_id}",
    openapi_extra=publishes("picked-from", "picked-to", "team", "pulp", "grower-bins", "reason", "version"),
)
def change_pick(
    request: Request,
    person: Receiver,
    session: FormSession,
    posted: CurrentPosted,
    shed: CurrentShed,
    consignment_id: RowId,
) -> Response:
    """Put right what is written about a consignment's pick."""
    whole = intake.consignment_for(session, person, consignment_id)
    must_stand(whole)
    answers = Answers(posted)
    facts = read_pick(answers, shed.clock, whole.consignment.received_at)
    reason = answers.text("reason")
    now_stored, status = "", 422
    if answers.fine and facts is not None:
        try:
            actions.change_pick(session, whole.consignment, facts, reason, answers.version())
            return done(request, session, person, posted, f"/consignments/{consignment_id}")
        except StaleError:
            said = _said(whole, shed.clock)
            now_stored, status = stored_now(request, session, "consignment", consignment_id, said), 409
    version = whole.consignment.version if now_stored else answers.version()
    differs = differing(posted, _typed(whole, shed.clock)) if now_stored else {}
    title, docket = _pick_title(whole), whole.docket
    view = CorrectionView(title, docket, posted, version, whole, answers.errors, now_stored, differs)
    return page(request, "consignments/edit.html", view, status=status)


def _docket_title(docket: Docket) -> str:
    return f"Correct docket {docket.number}"


def _written(docket: Docket) -> dict[str, str]:
    return {"number": docket.number, "truck": docket.truck}


def _pick_title(whole: ConsignmentWhole) -> str:
    return f"Correct the pick of {whole.name}"


def _typed(whole: ConsignmentWhole, clock: Clock) -> dict[str, str]:
    row = whole.consignment
    return {
        "picked-from": f"{clock.local(row.picked_from):%Y-%m-%dT%H:%M}",
        "picked-to": f"{clock.local(row.picked_to):%Y-%m-%dT%H:%M}",
        "team": row.team,
        "pulp": "" if row.pulp_ddeg is None else digits(Fraction(row.pulp_ddeg, 10), 1),
        "grower-bins": "" if row.grower_bins is None else str(row.grower_bins),
    }


def _said(whole: ConsignmentWhole, clock: Clock) -> str:
    row = whole.consignment
    picked = f"picked {say_moment(clock.local(row.picked_from))} to {say_moment(clock.local(row.picked_to))}"
    pulp = f"pulp {say_temperature(row.pulp_ddeg)}" if row.pulp_ddeg is not None else "no pulp temperature"
    counted = f"{digits(row.grower_bins)} bins by the grower's count" if row.grower_bins else "no grower's count"
    return f"{picked}, {row.team or 'no team'}, {pulp}, {counted}"
