"""Voiding a whole sample: taken of the wrong consignment, or read from a wrong file."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from shedgrade.actions import samples as actions
from shedgrade.storage import bench
from shedgrade.web.bench_page import LAST_ROWS
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.once import FormSession, done
from shedgrade.web.routes.samples import read_page
from shedgrade.web.state import CurrentPosted, CurrentShed
from shedgrade.web.voiding import not_voided
from shedgrade.web.whoami import Grader

router = APIRouter(prefix="/samples/{sample_id}/voiding")


@router.post("", openapi_extra=publishes("reason"))
def void(
    request: Request,
    person: Grader,
    session: FormSession,
    posted: CurrentPosted,
    shed: CurrentShed,
    sample_id: RowId,
) -> Response:
    """Void the sample for the reason given: it stays to be seen and feeds nothing any more."""
    sample = bench.bench_sample(session, sample_id, lock=True)
    again = not_voided(
        posted, lambda reason: actions.void_sample(session, sample_id, reason, person.id, shed.clock.now())
    )
    if again is None:
        return done(request, session, person, posted, f"/samples/{sample_id}")
    after = max(sample.fruit - LAST_ROWS, 0)
    return read_page(request, person, session, sample, after=after, voiding=again, status=again.status)
