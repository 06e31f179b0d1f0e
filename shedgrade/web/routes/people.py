"""Who you are: until people sign in, you pick your name."""

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, RedirectResponse

from shedgrade.domain.people import Person
from shedgrade.storage import people
from shedgrade.web.fields import publishes
from shedgrade.web.pages import page, see
from shedgrade.web.state import CurrentPosted, ReadSession
from shedgrade.web.whoami import COOKIE

router = APIRouter()


@dataclass(frozen=True, slots=True)
class PeopleView:
    """Everybody there is, and the page to go on to."""

    title: str
    everyone: list[Person]
    next: str
    current: str


@router.get("/people")
def choose(request: Request, session: ReadSession, after: Annotated[str, Query(alias="next")] = "/") -> HTMLResponse:
    """Ask who is using this tablet."""
    view = PeopleView("Who are you", people.everyone(session), own_page(after), request.cookies.get(COOKIE, ""))
    return page(request, "people/choose.html", view)


@router.post("/people/chosen", openapi_extra=publishes("person", "next"))
def chosen(session: ReadSession, posted: CurrentPosted) -> RedirectResponse:
    """Remember who it is, in this browser only."""
    answer = see(own_page(posted.get("next", "/")))
    known = {str(person.id) for person in people.everyone(session)}
    if posted.get("person") in known:
        answer.set_cookie(COOKIE, posted["person"], httponly=True, samesite="lax", max_age=30 * 24 * 3600)
    return answer


def own_page(address: str) -> str:
    """The address if it is a page of ours, else the first page: a link must not lead off to another site."""
    return address if address.startswith("/") and not address.startswith(("//", "/\\")) else "/"
