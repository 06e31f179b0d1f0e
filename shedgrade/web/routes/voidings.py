"""Voiding a consignment: a load saved twice or for the wrong block counts no longer, and stays to be seen."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from shedgrade.actions import intake as actions
from shedgrade.actions.intake import HeldError, PackedError
from shedgrade.storage import intake, quotes
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.once import FormSession, done
from shedgrade.web.routes.consignments import consignment_page
from shedgrade.web.state import CurrentPosted, CurrentShed
from shedgrade.web.voiding import Voiding, not_voided
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
    now, today = shed.clock.now(), shed.clock.today()
    try:
        again = not_voided(
            posted,
            lambda reason: actions.void_consignment(session, whole.consignment, reason, person.id, now, today),
        )
    except (HeldError, PackedError) as held:
        held_back = Voiding(posted, {"reason": str(held)})
        return consignment_page(request, session, person, whole, held_back, status=409)
    if again is None:
        return done(request, session, person, posted, f"/consignments/{consignment_id}")
    return consignment_page(request, session, person, whole, again, status=again.status)
