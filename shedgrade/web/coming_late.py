"""A form that comes when its sign-in has ended, or stands half-typed on a page that is left: what was typed is kept for
the same person in the same browser, and the page it belongs on is where they go on once they are in."""

import secrets
from collections.abc import Sequence
from dataclasses import dataclass, replace
from urllib.parse import quote, urlencode, urlsplit

from fastapi import FastAPI, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import Response
from sqlmodel import Session
from starlette.exceptions import HTTPException
from starlette.routing import Match

from shedgrade.storage import people, sign_ins
from shedgrade.web import cookies
from shedgrade.web.kept import KEPT_FOR, KeptForm, worth_keeping
from shedgrade.web.pages import KEPT_COOKIE, lead, own_page
from shedgrade.web.posted import Posted, read_posted
from shedgrade.web.state import Shed, the_shed
from shedgrade.web.whoami import COOKIE

LOCKED, ENDED = "locked", "ended"
# What a form is opened with, by its address: the choices made on the pages before, and how many rows it has grown to.
_OPENED_WITH = ("market", "consignment", "tray", "grower", "replacing", "rows")


@dataclass(frozen=True, slots=True)
class Late:
    """Forms that were not sent, or came too late, and whose they are: the person's id and name."""

    whose: tuple[int, str]
    forms: Sequence[KeptForm]


async def late_form(request: Request) -> Late | None:
    """The form that was sent, where it is known whose it was. Nobody else's is even read to its end."""
    whose = await run_in_threadpool(_whose, request) if request.method == "POST" else None
    if whose is None:
        return None
    try:
        posted: Posted = getattr(request.state, "posted", None) or await read_posted(request)
    except HTTPException:
        return None
    form = worth_keeping(request.url.path, posted.fields)
    return Late(whose, [form]) if form else None


def to_the_door(request: Request, after: str, why: str, late: Late | None = None) -> Response:
    """Send the browser to the sign-in page: first say who you are, then ``after`` is shown, or the page of the form
    that came late, with what was typed put back."""
    if late is not None:
        after = form_page(request.app, late.forms[0], after)
    asked = {"next": after} if own_page(after) != "/" else {}
    said = {**asked, "why": why} if why else asked
    answer = lead(request, f"/sign-in?{urlencode(said, quote_via=quote, safe='/')}" if said else "/sign-in")
    if late is not None:
        keep(request, answer, late, after)
    return answer


def keep(request: Request, answer: Response, late: Late, came_from: str) -> None:
    """Keep forms, each with its page, and give the browser what it finds them by again."""
    shed, browser = the_shed(request), hold_kept(request, answer)
    forms = [replace(form, page=form_page(request.app, form, came_from)) for form in late.forms]
    shed.kept.keep(browser, late.whose, forms, shed.clock.real_now())


def hold_kept(request: Request, answer: Response) -> str:
    """Give the browser what it finds kept forms by; whoever signs in holds it before there are any, since a page asked
    for in the same moment as one is handed in has to find it too."""
    browser = request.cookies.get(KEPT_COOKIE, "") or secrets.token_urlsafe(32)
    cookies.keep(request, answer, KEPT_COOKIE, browser, KEPT_FOR)
    return browser


def form_page(app: FastAPI, form: KeptForm, came_from: str) -> str:
    """The page that shows the form empty: the one it came from, or where that was the answer to a form sent before, the
    one it is opened by. "/" where there is none."""
    if urlsplit(came_from).path != form.action and came_from != "/":
        return came_from
    parent = form.action.rpartition("/")[0]
    pages = (f"{form.action}/new", f"{form.action}/edit", form.action, parent)
    page = next((each for each in pages if _is_page(app, each)), "/")
    opened_with = [(name, value) for name, value in form.fields if name in _OPENED_WITH]
    return f"{page}?{urlencode(opened_with)}" if page.endswith("/new") and opened_with else page


def _is_page(app: FastAPI, path: str) -> bool:
    scope = {"type": "http", "method": "GET", "path": path, "root_path": ""}
    return bool(path) and any(route.matches(scope)[0] == Match.FULL for route in app.routes)


def _whose(request: Request) -> tuple[int, str] | None:
    """Whose sign-in this browser holds, even if it has ended: their id and name."""
    shed: Shed = the_shed(request)
    with shed.database.reading() as session:
        return holder_of(session, request.cookies.get(COOKIE, ""))


def holder_of(session: Session, token: str) -> tuple[int, str] | None:
    """Whose sign-in the token opens or once opened: their id and name."""
    row = sign_ins.ever_held_by(session, token)
    return None if row is None else (row.person_id, people.person(session, row.person_id).name)
