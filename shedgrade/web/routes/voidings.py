"""Voiding a consignment: a load saved twice or for the wrong block counts no longer, and stays to be seen."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from shedgrade.actions import intake as actions
from shedgrade.actions.intake import HeldError, VoidedBeforeError
from shedgrade.storage import intake, quotes
from shedgrade.web.answers import Answers
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.once import FormSession, done
from shedgrade.web.routes.consignments import consignment_page
from shedgrade.web.state import CurrentPosted, CurrentShed
from shedgrade.web.voiding import Voiding
from shedgrade.web.whoami import Receiver

router = APIRouter(prefix="/consignments/{consignment_id}/voiding")


@router.post("", openapi_extra=publishes("reason"))
def void(
    request: Request,
    person: Receiver,
    session: FormSession,
    posted: CurrentPosted,
    shed: CurrentShed,
    consignment_id: RowId,
) -> Response:
    """Void the consignment for the reason given, unless a standing quote holds trays of it."""
    quotes.hold_still(session, [consignment_id])
    whole = intake.consignment_for(session, person, consignment_id)
    answers = Answers(posted)
    reason = answers.text("reason")
    notice, status = "", 422
    if answers.fine:
        try:
            actions.void_consignment(
                session, whole.consignment, reason, person.id, shed.clock.now(), shed.clock.today()
            )
            return done(request, session, person, posted, f"/consignments/{consignment_id}")
        except VoidedBeforeError:
            notice, status = "It was voided before, as said here. Your reason was not stored.", 409
        except HeldError as held:
            answers.refuse("reason", str(held))
            status = 409
    voiding = Voiding(posted, answers.errors, notice)
    return consignment_page(request, session, person, whole, voiding, status=status)
