"""One person as the shed manager keeps them: what is written, a new password or PIN, gone and here again."""

from functools import partial

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from shedgrade.actions import people as actions
from shedgrade.storage import people
from shedgrade.web.answers import Answers
from shedgrade.web.at_person import AtPerson
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.pages import page
from shedgrade.web.person_form import GivenPassword, GivenPin, facts_in
from shedgrade.web.person_view import person_view
from shedgrade.web.state import CurrentShed, ReadSession
from shedgrade.web.whoami import PeopleKeeper

router = APIRouter(prefix="/people/{person_id}")


@router.get("")
def shown(
    request: Request, keeper: PeopleKeeper, session: ReadSession, shed: CurrentShed, person_id: RowId
) -> HTMLResponse:
    """One person."""
    whole = people.person_whole(session, person_id)
    return page(request, "people/page.html", person_view(session, shed.clock, keeper, whole))


@router.get("/password")
def password_form(
    request: Request, keeper: PeopleKeeper, session: ReadSession, shed: CurrentShed, person_id: RowId
) -> HTMLResponse:
    """The form that gives a password, on a page of its own: sent from beside another form, it would drop what was
    typed there."""
    view = person_view(session, shed.clock, keeper, people.here(session, person_id))
    return page(request, "people/password.html", view)


@router.get("/pin")
def pin_form(
    request: Request, keeper: PeopleKeeper, session: ReadSession, shed: CurrentShed, person_id: RowId
) -> HTMLResponse:
    """The form that gives a PIN."""
    view = person_view(session, shed.clock, keeper, people.here(session, person_id))
    return page(request, "people/pin.html", view)


@router.post("", openapi_extra=publishes("name", "grower", "version", many=("roles",)))
def change(at: AtPerson) -> Response:
    """Save what is written about somebody."""
    answers = Answers(at.posted)
    facts = facts_in(at.session, at.keeper, answers)
    if facts is None:
        return at.refused(answers)
    return at.attempt(
        answers, partial(actions.change_person, at.session, at.whole, facts, answers.version()), "person", "/people"
    )


@router.post("/password", openapi_extra=publishes("password", "version"))
def password(_keeper: PeopleKeeper, given: GivenPassword, at: AtPerson) -> Response:
    """Give a new password: what was open under the old one is ended."""
    answers = Answers(at.posted)
    if given.mistake:
        answers.refuse("password", given.mistake)
        return at.refused(answers, on="password")
    deed = partial(actions.give_password, at.session, at.whole.row, given.kept, answers.version(), at.giver)
    return at.attempt(answers, deed, "their-password", on="password")


@router.post("/pin", openapi_extra=publishes("pin", "version"))
def pin(_keeper: PeopleKeeper, given: GivenPin, at: AtPerson) -> Response:
    """Give a new PIN: what was open on tablets under the old one is ended."""
    answers = Answers(at.posted)
    if given.mistake:
        answers.refuse("pin", given.mistake)
        return at.refused(answers, on="pin")
    deed = partial(actions.give_pin, at.session, at.whole.row, given.kept, answers.version(), at.giver)
    return at.attempt(answers, deed, "their-pin", on="pin")


@router.post("/leaving", openapi_extra=publishes("version"))
def leaving(at: AtPerson) -> Response:
    """Mark somebody as left; the answer offers to mark them as back."""
    answers = Answers(at.posted)
    deed = partial(actions.leave, at.session, at.whole, answers.version(), at.giver)
    return at.attempt(answers, deed, "left", f"/people/{at.whole.person.id}")


@router.post("/return", openapi_extra=publishes("version"))
def coming_back(at: AtPerson) -> Response:
    """Take somebody back in who had left."""
    answers = Answers(at.posted)
    return at.attempt(answers, partial(actions.come_back, at.session, at.whole, answers.version()), "back")
