"""Locking a shed tablet: by itself when nobody touches it, or by whoever hands it over to the next person."""

from urllib.parse import parse_qsl

from fastapi import APIRouter, Request
from fastapi.responses import Response

from shedgrade.storage import sign_ins
from shedgrade.web import cookies
from shedgrade.web.coming_late import LOCKED, Late, holder_of, to_the_door
from shedgrade.web.entering import hand_over
from shedgrade.web.fields import publishes
from shedgrade.web.kept import KeptForm, worth_keeping
from shedgrade.web.pages import own_page
from shedgrade.web.posted import MOST_FIELDS, Posted
from shedgrade.web.state import CurrentPosted, WriteSession
from shedgrade.web.whoami import COOKIE

router = APIRouter()


@router.post("/locking", openapi_extra=publishes("next", "why", many=("action", "typed")))
def lock(request: Request, session: WriteSession, posted: CurrentPosted) -> Response:
    """Nobody is signed in any more on this tablet. The forms that stood half-typed on its page come along, each with
    where it would be sent and its fields, and are kept for the person who typed them."""
    by_itself = posted.get("why") == LOCKED
    whose = holder_of(session, request.cookies.get(COOKIE, ""))
    row = sign_ins.held_by(session, request.cookies.get(COOKIE, ""))
    if row is not None:
        hand_over(request, session, row, by_itself=by_itself)
    session.commit()
    forms = _half_typed(posted)
    late = Late(whose, forms) if whose and forms else None
    answer = to_the_door(request, own_page(posted.get("next", "/")), LOCKED if by_itself else "", late)
    if not by_itself:
        cookies.drop(request, answer, COOKIE)
    return answer


def _half_typed(posted: Posted) -> list[KeptForm]:
    pairs = zip(posted.every("action"), posted.every("typed"), strict=False)
    forms = (worth_keeping(action, _fields(typed)) for action, typed in pairs if own_page(action) == action)
    return [form for form in forms if form is not None]


def _fields(typed: str) -> list[tuple[str, str]]:
    try:
        return parse_qsl(typed, keep_blank_values=True, max_num_fields=MOST_FIELDS)
    except ValueError:  # more fields than any form has
        return []
