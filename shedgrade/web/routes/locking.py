"""What the pages of somebody who is in tell by themselves: that the tablet is left alone or touched, and what stood
half-typed on a page that is left. And a tablet handed over to the next person."""

from urllib.parse import parse_qsl

from fastapi import APIRouter, Request
from fastapi.responses import Response

from shedgrade.storage import sign_ins
from shedgrade.web import cookies
from shedgrade.web.coming_late import LOCKED, Late, holder_of, keep, to_the_door
from shedgrade.web.entering import hand_over
from shedgrade.web.fields import publishes
from shedgrade.web.ids import row_id
from shedgrade.web.kept import KeptForm, worth_keeping
from shedgrade.web.pages import own_page
from shedgrade.web.posted import MOST_FIELDS, Posted
from shedgrade.web.state import CurrentPosted, ReadSession, WriteSession
from shedgrade.web.whoami import COOKIE, CurrentPerson, NobodyYetError

router = APIRouter()


@router.post("/locking", openapi_extra=publishes("next", "why"))
def lock(request: Request, session: WriteSession, posted: CurrentPosted) -> Response:
    """Nobody is signed in any more on this tablet: nobody touches it, or it is handed over."""
    by_itself = posted.get("why") == LOCKED
    row = sign_ins.held_by(session, request.cookies.get(COOKIE, ""))
    if row is not None:
        hand_over(request, session, row, by_itself=by_itself)
    session.commit()
    answer = to_the_door(request, own_page(posted.get("next", "/")), LOCKED if by_itself else "")
    if not by_itself:
        cookies.drop(request, answer, COOKIE)
    return answer


@router.post("/touched", status_code=204, openapi_extra=publishes())
def touch(_person: CurrentPerson) -> Response:
    """Somebody is at this tablet, on a page that asks for nothing (static/js/lock.js)."""
    return Response(status_code=204)


@router.post("/half-typed", status_code=204, openapi_extra=publishes("whose", "next", many=("action", "typed")))
def hand_in(request: Request, session: ReadSession, posted: CurrentPosted) -> Response:
    """Keep the forms that stand half-typed on a page that is left, each with where it would be sent and its fields, for
    the person the page was drawn for; also where their sign-in has ended meanwhile. Nobody else's are kept."""
    whose = holder_of(session, request.cookies.get(COOKIE, ""))
    if whose is None:
        raise NobodyYetError
    answer, forms = Response(status_code=204), _half_typed(posted)
    if forms and row_id(posted.get("whose", "")) == whose[0]:
        keep(request, answer, Late(whose, forms), own_page(posted.get("next", "/")))
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
