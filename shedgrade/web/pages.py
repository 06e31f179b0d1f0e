"""Making a page from a template and its one view object."""

import secrets
from collections.abc import Collection
from contextlib import nullcontext
from datetime import datetime
from functools import lru_cache, partial
from http import HTTPStatus

from fastapi import Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from sqlalchemy.exc import SQLAlchemyError

from shedgrade import paths
from shedgrade.domain import units
from shedgrade.domain.people import Deed, Person
from shedgrade.domain.settings import SHED_NAME
from shedgrade.storage import settings
from shedgrade.web.bench_parts import modules_of
from shedgrade.web.clock import Clock
from shedgrade.web.done_words import said_when_done
from shedgrade.web.kept import Fields
from shedgrade.web.labels import Labels
from shedgrade.web.put_back import LeftOver, put_back
from shedgrade.web.state import the_shed
from shedgrade.web.static_files import static_address

KEPT_COOKIE = "kept"
say_day = units.say_day

# A place without a deed is everybody's: growers, too, read the specs that their fruit is judged under.
_NAV: tuple[tuple[str, str, Deed | None], ...] = (
    ("/consignments", "Consignments", Deed.SEE_SHED),
    ("/runs", "Runs", Deed.SEE_SHED),
    ("/growers", "Growers", Deed.SEE_SHED),
    ("/quotes", "Quotes", Deed.QUOTE),
    ("/markets", "Markets", Deed.SEE_MARKETS),
    ("/specs", "Specs", None),
    ("/people", "People", Deed.KEEP_PEOPLE),
    ("/settings", "Settings", Deed.KEEP_SETTINGS),
)

# A page belongs to the place it is reached from, so that a person deep in a consignment still sees where that is. To
# somebody whose navigation has not that place, it belongs to the next: a grower reaches consignments by the blocks.
_BELONGS = {
    "/dockets": "/consignments",
    "/bins": "/consignments",
    "/samples": "/consignments",
    "/scales": "/consignments",
    "/fruit": "/consignments",
    "/quick-looks": "/consignments",
    "/photos": "/consignments",
    "/shared-bins": "/runs",
    "/area-card": "/consignments",
    "/screen": "/consignments",
    "/unsent": "/consignments",
    "/consignments": "/blocks",
    "/blocks": "/growers",
    "/trays": "/markets",
    "/drafts": "/specs",
    "/devices": "/people",
    "/tablets": "/people",
}


@lru_cache
def environment(clock: Clock) -> Environment:
    """The templates' surroundings: escaping always on, a name that is not there is an error. One for every app on the
    same clock, since compiling the templates takes longer than answering."""
    env = Environment(
        loader=FileSystemLoader(paths.TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    env.filters.update(
        weight=units.say_weight,
        mass=units.say_mass,
        area=units.say_area,
        percent=units.say_percent,
        money=units.say_money,
        amount=units.say_amount,
        digits=units.digits,
        hectares=units.say_hectares,
        day=say_day,
        local_day=lambda moment: say_day(clock.local(moment).date()),
        moment=lambda moment: say_moment(clock.local(moment)),
        # Sign-ins go by the real clock; told beside the demo's own day they would seem to lie months ahead.
        real_moment=lambda moment: say_moment(clock.local(moment + clock.shift)),
        typed_moment=lambda moment: f"{clock.local(moment):%Y-%m-%dT%H:%M}",
    )
    env.globals.update(form_key=new_form_key, static=static_address(), modules_of=modules_of)
    return env


def say_moment(moment: datetime) -> str:
    """A local time as people write it: Mon 12 Jan 2026, 14:05."""
    return f"{say_day(moment.date())}, {moment:%H:%M}"


def new_form_key() -> str:
    """A fresh key for a form: the same form sent twice carries the same one."""
    return secrets.token_urlsafe(16)


def nav_for(person: Person | None, path: str) -> list[tuple[str, str, bool]]:
    """Where this person can go: address, word, and whether they are there."""
    if person is None:
        return []
    places = [(href, word) for href, word, deed in _NAV if deed is None or person.may(deed)]
    if person.grower_id is not None:
        places.insert(0, ("/blocks", "My blocks"))
    here = _place_of(path, {href for href, _ in places})
    return [(href, word, href == here) for href, word in places]


def _place_of(path: str, places: Collection[str]) -> str:
    """The place of the navigation a page belongs to; "" for a page that is in none."""
    place = f"/{path.split('/')[1]}"
    while place and place not in places:
        place = _BELONGS.get(place, "")
    return place


def page(request: Request, template: str, view: object, *, status: int = 200) -> HTMLResponse:
    """A page, or a fragment of one, made from its view; the template finds it as ``page``."""
    shed = request.app.state.shed
    person: Person | None = getattr(request.state, "person", None)
    env: Environment = request.app.state.templates
    labels = Labels()
    draw = partial(
        env.get_template(template).render,
        page=view,
        person=person,
        nav=nav_for(person, request.url.path),
        shed_name=shed_name(request),
        demo_day=say_day(shed.clock.today()) if shed.settings.demo else None,
        lock_after=getattr(request.state, "lock_after", None),
        done=said_when_done(request),
        is_answer=request.method == "POST",
        labels=labels,
    )
    html = draw()
    if labels.asked_early:
        html = draw()
    if person is not None and request.method == "GET":
        html = _with_kept(request, person, html)
    return HTMLResponse(html, status, _retry_after(request) if status == HTTPStatus.TOO_MANY_REQUESTS else None)


def shed_name(request: Request) -> str:
    """What the shed is called today. A page that says what broke is drawn even where the database is what broke."""
    shed = the_shed(request)
    open_session = getattr(request.state, "session", None)
    try:
        with nullcontext(open_session) if open_session else shed.database.reading() as session:
            return settings.in_force(session, shed.started_with(SHED_NAME), shed.clock.today())
    except SQLAlchemyError:
        return shed.settings.shed_name


def _with_kept(request: Request, person: Person, html: str) -> str:
    """The page with what this person had typed before they left it, where it has the form."""
    shed, browser = request.app.state.shed, request.cookies.get(KEPT_COOKIE, "")
    for form in shed.kept.of(browser, person.id, shed.clock.real_now()):
        if filled := put_back(html, form, partial(_said_of_kept, request)):
            shed.kept.drop(browser, person.id, form.action)
            html = filled.html
    return html


def kept_here(request: Request, person: Person) -> Fields:
    """What this person had typed into the form that is sent to the address of this page, before they left it: for a
    form whose lists are drawn by what is typed. It is put back into the form as any other."""
    shed, browser = request.app.state.shed, request.cookies.get(KEPT_COOKIE, "")
    waiting = shed.kept.of(browser, person.id, shed.clock.real_now())
    return next((form.fields for form in reversed(waiting) if form.action == request.url.path), ())


def _said_of_kept(request: Request, left_over: LeftOver, asks_secret: bool) -> str:  # noqa: FBT001 - called by place
    notice = request.app.state.templates.get_template("parts/_put_back.html")
    here = f"{request.url.path}?{request.url.query}" if request.url.query else request.url.path
    return str(notice.render(left_over=left_over, asks_secret=asks_secret, here=here))


def _retry_after(request: Request) -> dict[str, str]:
    """In whole seconds, as RFC 9110 section 10.2.3 says it."""
    return {"Retry-After": str(request.state.retry_after)}


def wants_fragment(request: Request) -> bool:
    """Whether htmx asks, and not for a whole page out of its history."""
    return request.headers.get("hx-request") == "true" and "hx-history-restore-request" not in request.headers


def own_page(address: str) -> str:
    """The address if it is a page of ours, else the first page: a link must not lead off to another site, however a
    browser mends it."""
    ours = address.startswith("/") and not address.startswith(("//", "/sign-in")) and "\\" not in address
    return address if ours and address.isprintable() else "/"


def lead(request: Request, location: str) -> Response:
    """Send the browser on to a page, also where htmx asked for a part: the whole page goes there."""
    if request.headers.get("hx-request") == "true":
        return Response(status_code=204, headers={"HX-Redirect": location})
    return see(location)


def see(location: str) -> RedirectResponse:
    """Send the browser on to a page, by GET."""
    return RedirectResponse(location, status_code=303)
