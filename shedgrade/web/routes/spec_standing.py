"""Retiring a spec version, and putting it back."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from shedgrade.actions import specs as actions
from shedgrade.storage import specs
from shedgrade.storage.stale import StaleError
from shedgrade.web.answers import Answers
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.once import FormSession, done
from shedgrade.web.spec_page import Retiring, spec_page
from shedgrade.web.state import CurrentPosted, CurrentShed
from shedgrade.web.whoami import SpecKeeper

router = APIRouter(prefix="/specs/{spec_version_id}")


@router.post("/retirement", openapi_extra=publishes("reason"))
def retire(
    request: Request,
    person: SpecKeeper,
    session: FormSession,
    posted: CurrentPosted,
    shed: CurrentShed,
    spec_version_id: RowId,
) -> Response:
    """Offer the version to no new market, for the reason given."""
    row = specs.version(session, spec_version_id)
    answers = Answers(posted)
    reason = answers.text("reason")
    notice, status = "", 422
    if answers.fine:
        try:
            actions.retire(session, row, reason, person.id, shed.clock.now())
            return done(request, session, person, posted, f"/specs/{spec_version_id}")
        except StaleError:
            notice, status = "It was retired before, as said here. Your reason was not stored.", 409
    retiring = Retiring(posted, answers.errors, notice)
    return spec_page(request, session, person, row, retiring, status=status)


@router.post("/return", openapi_extra=publishes())
def put_back(
    request: Request,
    person: SpecKeeper,
    session: FormSession,
    posted: CurrentPosted,
    shed: CurrentShed,
    spec_version_id: RowId,
) -> Response:
    """Offer a retired version again."""
    row = specs.version(session, spec_version_id)
    try:
        actions.put_back(session, row, person.id, shed.clock.now())
    except StaleError:
        retiring = Retiring(notice="It is not retired: it was put back before, or never retired.")
        return spec_page(request, session, person, row, retiring, status=409)
    return done(request, session, person, posted, f"/specs/{spec_version_id}")
