"""Answers to what went wrong: plain words, and a reference that the log explains."""

import logging
import secrets
from dataclasses import dataclass
from http import HTTPStatus

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from sqlalchemy.exc import IntegrityError
from starlette.datastructures import URL
from starlette.exceptions import HTTPException

from shedgrade.storage import posted as forms
from shedgrade.storage.database import is_taken
from shedgrade.storage.missing import MissingError
from shedgrade.web.coming_late import ENDED, LOCKED, late_form, to_the_door
from shedgrade.web.once import AlreadyDoneError, key_of
from shedgrade.web.pages import own_page, page, see
from shedgrade.web.whoami import IdleError, NobodyYetError, NotAllowedError

log = logging.getLogger("shedgrade")


@dataclass(frozen=True, slots=True)
class ProblemView:
    """What went wrong and what can be done about it."""

    title: str
    sentence: str
    reference: str = ""


def missing(request: Request, _problem: Exception) -> HTMLResponse:
    """Nothing at this address for this person."""
    view = ProblemView("Not here", "There is nothing at this address, or it is not yours to see.")
    return page(request, "problem.html", view, status=404)


def not_allowed(request: Request, problem: Exception) -> HTMLResponse:
    """The person's role does not do this."""
    view = ProblemView("Not your job here", f"Your role does not {problem}. Ask the shed manager.")
    return page(request, "problem.html", view, status=403)


async def nobody_yet(request: Request, problem: Exception) -> Response:
    """First say who you are; afterwards the page that was asked for is shown, and what was sent stands in its form."""
    why = LOCKED if isinstance(problem, IdleError) else ENDED if problem.args else ""
    return to_the_door(request, own_page(_page_asked_for(request)), why, await late_form(request))


def _page_asked_for(request: Request) -> str:
    """The page itself, or the one a form or a part of it was sent from."""
    asked = request.url
    if request.method != "GET" or "hx-request" in request.headers:
        came_from = request.headers.get("referer", "")
        if not came_from.startswith(f"{request.url.scheme}://{request.url.netloc}/"):
            return "/"
        asked = URL(came_from)
    return f"{asked.path}?{asked.query}" if asked.query else asked.path


def already_done(_request: Request, problem: Exception) -> RedirectResponse:
    """Show the first sending's answer."""
    assert isinstance(problem, AlreadyDoneError)
    return see(problem.location)


def clash(request: Request, problem: Exception) -> Response:
    """Two servers stored the same at once, and the database let one of them: where it was this very form, show the
    winner's answer."""
    assert isinstance(problem, IntegrityError)
    if not is_taken(problem):
        return broken(request, problem)
    person = getattr(request.state, "person", None)
    with request.app.state.shed.database.reading() as session:
        answer = forms.answer_of(session, key_of(request.state.posted), person.id) if person else None
    if answer:
        return see(answer)
    log.warning("clash at %s", request.url.path, exc_info=problem)
    sentence = "Somebody stored the same at the same moment. Nothing of yours was stored: go back and send it again."
    return page(request, "problem.html", ProblemView("Two at once", sentence), status=409)


def refused(request: Request, problem: Exception) -> HTMLResponse:
    """A refusal with its own sentence."""
    assert isinstance(problem, HTTPException)
    if problem.status_code == HTTPStatus.NOT_FOUND:
        return missing(request, problem)
    view = ProblemView("That did not work", problem.detail)
    return page(request, "problem.html", view, status=problem.status_code)


def broken(request: Request, problem: Exception) -> HTMLResponse:
    """Our own mistake: the person gets a reference, the log gets the detail."""
    reference = secrets.token_hex(4)
    log.error("problem %s at %s", reference, request.url.path, exc_info=problem)
    view = ProblemView("Something broke here", "Nothing was stored. Try again; if it stays, pass on", reference)
    return page(request, "problem.html", view, status=500)


def handle_problems(app: FastAPI) -> None:
    """Teach the app all of these."""
    app.add_exception_handler(MissingError, missing)
    app.add_exception_handler(RequestValidationError, missing)  # an id that is no number names nothing
    app.add_exception_handler(NotAllowedError, not_allowed)
    app.add_exception_handler(NobodyYetError, nobody_yet)
    app.add_exception_handler(IdleError, nobody_yet)  # the tablet shows its names, and goes on where it was
    app.add_exception_handler(AlreadyDoneError, already_done)
    app.add_exception_handler(IntegrityError, clash)
    app.add_exception_handler(HTTPException, refused)
    app.add_exception_handler(Exception, broken)
