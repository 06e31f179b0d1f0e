"""The people in the shed's books: list and add; one of them is changed in :mod:`.person`."""

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from shedgrade.actions.people import PersonError, take_in
from shedgrade.storage import people
from shedgrade.storage.people import PersonWhole
from shedgrade.web.answers import Answers
from shedgrade.web.fields import publishes
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page
from shedgrade.web.person_form import (
    GivenPassword,
    GivenPin,
    ask_again,
    facts_in,
    grower_choices,
    refuse_secrets,
    without_secrets,
)
from shedgrade.web.person_view import PersonFormView, signs_in_by
from shedgrade.web.state import CurrentPosted, ReadSession
from shedgrade.web.whoami import PeopleKeeper

router = APIRouter(prefix="/people")


@dataclass(frozen=True, slots=True)
class PeopleView:
    """Who is here and who has left, each with how they sign in."""

    title: str
    here: list[tuple[PersonWhole, str]]
    left: list[PersonWhole]


@router.get("")
def listed(request: Request, _person: PeopleKeeper, session: ReadSession) -> HTMLResponse:
    """Everybody in the books."""
    everyone = people.everyone_whole(session)
    here = [(whole, signs_in_by(whole)) for whole in everyone if whole.row.active]
    view = PeopleView("People", here, [whole for whole in everyone if not whole.row.active])
    return page(request, "people/list.html", view)


@router.get("/new")
def new(request: Request, person: PeopleKeeper, session: ReadSession) -> HTMLResponse:
    """An empty form."""
    return page(request, "people/new.html", PersonFormView("A new person", grower_choices(session, person)))


@router.post("", openapi_extra=publishes("name", "grower", "password", "pin", many=("roles",)))
def add(
    request: Request,
    person: PeopleKeeper,
    password: GivenPassword,
    pin: GivenPin,
    session: FormSession,
    posted: CurrentPosted,
) -> Response:
    """Take somebody into the books."""
    answers = Answers(posted)
    facts = facts_in(session, person, answers)
    refuse_secrets(answers, password=password, pin=pin)
    if facts is not None and answers.fine:
        try:
            person_id = take_in(session, facts, password_hash=password.kept, pin_hash=pin.kept)
            return done(request, session, person, posted, f"/people/{person_id}?done=new-person")
        except PersonError as mistake:
            answers.refuse(mistake.field, str(mistake))
    ask_again(answers)
    view = PersonFormView(
        "A new person",
        grower_choices(session, person),
        without_secrets(posted),
        posted.every("roles"),
        answers.errors,
    )
    return page(request, "people/new.html", view, status=422)
