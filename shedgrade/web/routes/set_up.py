"""The first start: the first shed manager is taken into the books, once."""

import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field
from ipaddress import ip_address
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse, Response

from shedgrade.actions.set_up import SomebodyThereError, make_first_manager
from shedgrade.domain.sign_in import LONGEST_NAME, PASSWORD_RULE
from shedgrade.storage import people
from shedgrade.storage.history import Actor, act_as
from shedgrade.storage.missing import MissingError
from shedgrade.web.answers import Answers
from shedgrade.web.browsers import browser_words
from shedgrade.web.entering import enter
from shedgrade.web.fields import publishes
from shedgrade.web.pages import page
from shedgrade.web.proving import NewPassword
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession, WriteSession

router = APIRouter()

# A proxy passes the machine's own address on as the sender's: with any of these it may stand for anybody.
_FORWARDED = ("forwarded", "x-forwarded-for", "x-forwarded-host", "x-forwarded-proto", "x-real-ip", "via")
_OWN_NAMES = frozenset({"localhost", "127.0.0.1", "::1"})
_AGAIN = "That is not the same password. Type both again."


@dataclass(frozen=True, slots=True)
class SetUpView:
    """The form for the first shed manager; ``token`` is brought along where the page was opened by it."""

    title: str
    token: str
    name: str = ""
    errors: Mapping[str, str] = field(default_factory=dict)
    password_rule: str = PASSWORD_RULE


def may_set_up(request: Request, shed: CurrentShed, session: ReadSession, posted: CurrentPosted) -> str:
    """The token it was opened with; MissingError once somebody is in the books, and for whoever is neither at the
    machine itself nor holds the token printed at start."""
    token = posted.get("token") or request.query_params.get("token", "")
    known = shed.set_up_token != "" and secrets.compare_digest(token.encode(), shed.set_up_token.encode())
    if not people.nobody_yet(session) or not (known or is_at_the_machine(request)):
        raise MissingError
    return token


def is_at_the_machine(request: Request) -> bool:
    """Whether the request was made on the machine itself, by its own name: a page elsewhere that points its name at
    this machine is not, nor is what a proxy passes on."""
    if any(name in request.headers for name in _FORWARDED) or request.url.hostname not in _OWN_NAMES:
        return False
    try:
        return ip_address(request.client.host if request.client else "").is_loopback
    except ValueError:
        return False


Token = Annotated[str, Depends(may_set_up)]


@router.get("/set-up")
def ask(request: Request, token: Token) -> HTMLResponse:
    """The form for the first shed manager."""
    return page(request, "set_up/form.html", SetUpView("Set up the shed", token))


@router.post("/set-up", openapi_extra=publishes("name", "new_password", "again", "token"))
def take_in(request: Request, token: Token, new: NewPassword, session: WriteSession, posted: CurrentPosted) -> Response:
    """Take the first shed manager in, and sign them in."""
    answers = Answers(posted)
    name = answers.text("name", longest=LONGEST_NAME)
    refuse_secret(answers, new.mistake, "new_password")
    if not answers.fine:
        view = SetUpView("Set up the shed", token, posted.get("name", ""), answers.errors)
        return page(request, "set_up/form.html", view, status=422)
    browser = browser_words(request.headers.get("user-agent", ""))
    act_as(session, Actor(None, browser, request.app.state.shed.clock.now()))
    try:
        person_id = make_first_manager(session, name, new.kept)
    except SomebodyThereError as mistake:
        raise MissingError from mistake
    return enter(request, session, person_id, "/")


def refuse_secret(answers: Answers, mistake: str, name: str) -> None:
    """Say what is wrong with a new password or PIN, which is typed twice because nobody sees it."""
    if mistake:
        answers.refuse(name, mistake)
    elif answers.typed.get(name, "").strip() != answers.typed.get("again", "").strip():
        answers.refuse("again", _AGAIN)
