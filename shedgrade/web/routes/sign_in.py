"""Signing in: by name and password, on a shed tablet by PIN and then by a tap, in the demo by picking; and out."""

from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response
from sqlmodel import Session

from shedgrade.storage import people, sign_ins
from shedgrade.storage.missing import MissingError
from shedgrade.storage.tables import Tablet
from shedgrade.web.answers import MISSING
from shedgrade.web.entering import enter, go_on, leave
from shedgrade.web.fields import publishes
from shedgrade.web.ids import row_id
from shedgrade.web.pages import own_page, see
from shedgrade.web.proving import NameProof, PinProof
from shedgrade.web.routes.set_up import is_at_the_machine
from shedgrade.web.sign_in_view import Asked, names_on, nobody_page, password_page, pick_page, pin_page, ways_in
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession, WriteSession
from shedgrade.web.whoami import TABLET_COOKIE, tablet_here

router = APIRouter()

WRONG = "That name and password do not go together. Try again, or ask the shed manager for a new password."
WRONG_PIN = "That is not the PIN. Try again."


@router.get("/sign-in")
def ask(
    request: Request,
    session: ReadSession,
    after: Annotated[str, Query(alias="next")] = "/",
    by: str = "",
    person: str = "",
) -> Response:
    """Ask who is there, in the way that fits this browser."""
    if people.nobody_yet(session):
        return see("/set-up") if is_at_the_machine(request) else nobody_page(request)
    asked = Asked(own_page(after), by, row_id(person))
    return ways_in(request, session, tablet_here(session, request), asked)


@router.post("/sign-in", openapi_extra=publishes("name", "password", "next"))
def by_password(request: Request, proof: NameProof, session: WriteSession, posted: CurrentPosted) -> Response:
    """Sign in by name and password."""
    after = own_page(posted.get("next", "/"))
    if proof.person_id is not None:
        return enter(request, session, proof.person_id, after, proof)
    errors = {name: MISSING for name in ("name", "password") if not posted.get(name, "").strip()}
    notice = "" if errors else proof.sentence or WRONG
    return password_page(request, session, after, posted.get("name", ""), errors, notice, status=proof.status)


@router.post("/sign-in/pin", openapi_extra=publishes("person", "pin", "next"))
def by_pin(request: Request, proof: PinProof, session: WriteSession, posted: CurrentPosted) -> Response:
    """Sign in on a shed tablet by PIN."""
    _tablet(session, request)
    row = people.person_whole(session, row_id(posted.get("person", ""))).row
    if not row.active or not row.pin_hash:
        raise MissingError
    after = own_page(posted.get("next", "/"))
    if proof.person_id is not None:
        return enter(request, session, proof.person_id, after, proof)
    error = proof.sentence or (WRONG_PIN if posted.get("pin", "").strip() else MISSING)
    return pin_page(request, session, row, after, error, status=proof.status)


@router.post("/sign-in/tapped", openapi_extra=publishes("person", "next"))
def tapped(request: Request, shed: CurrentShed, session: WriteSession, posted: CurrentPosted) -> Response:
    """A name was tapped on a shed tablet: who gave the PIN this shift is in, anybody else is asked for it."""
    tablet = _tablet(session, request)
    person_id = row_id(posted.get("person", ""))
    after = own_page(posted.get("next", "/"))
    name = next((each for each in names_on(session, shed, tablet) if each.row.id == person_id), None)
    if name is None:
        raise MissingError
    if name.on_shift is not None:
        return go_on(request, session, name.on_shift, tablet, after)
    return see(f"/sign-in?person={person_id}&next={quote(after)}")


@router.post("/sign-in/picked", openapi_extra=publishes("person", "next"))
def picked(request: Request, shed: CurrentShed, session: WriteSession, posted: CurrentPosted) -> Response:
    """In the demo season everybody picks who they are."""
    if not shed.settings.demo:
        raise MissingError
    after = own_page(posted.get("next", "/"))
    known = {whole.person.id for whole in people.everyone_whole(session) if whole.row.active}
    person_id = row_id(posted.get("person", ""))
    if person_id not in known:
        return pick_page(request, session, after, "That is nobody in the books. Pick somebody else.", status=422)
    return enter(request, session, person_id, after)


@router.post("/sign-out", openapi_extra=publishes())
def sign_out(request: Request, session: WriteSession) -> Response:
    """End the sign-in of this browser."""
    return leave(request, session)


def _tablet(session: Session, request: Request) -> Tablet:
    """The registered tablet this browser is; MissingError anywhere else."""
    return sign_ins.tablet_of(session, request.cookies.get(TABLET_COOKIE, ""))
