"""Where people are signed in, and the shed's tablets."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from fastapi import Request
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from shedgrade.domain.people import Deed, Person
from shedgrade.storage import scales, sign_ins
from shedgrade.storage.scales import BenchPlace, ScaleAt
from shedgrade.storage.tables import Tablet
from shedgrade.web.pages import page
from shedgrade.web.whoami import good_since, tablet_here


@dataclass(frozen=True, slots=True)
class DeviceLine:
    """One sign-in: whose, on what, since when, how long ago it was last used; ``is_here`` is the browser that asks."""

    id: int
    person: str
    device: str
    proved_at: datetime
    seen_at: datetime
    used: str
    is_here: bool


@dataclass(frozen=True, slots=True)
class DevicesView:
    """The sign-ins somebody may end, and for who keeps people the tablets. ``this_tablet`` is the name of the tablet
    that asks, "" in a browser of somebody's own; ``scales`` are all, or those of this bench."""

    title: str
    lines: tuple[DeviceLine, ...]
    keeps_tablets: bool
    tablets: tuple[Tablet, ...]
    scales: tuple[ScaleAt, ...]
    this_tablet: str
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)


def devices_page(
    request: Request,
    person: Person,
    session: Session,
    typed: Mapping[str, str] | None = None,
    errors: Mapping[str, str] | None = None,
    *,
    status: int = 200,
) -> HTMLResponse:
    """The devices this person may see."""
    keeps = person.may(Deed.KEEP_PEOPLE)
    good = good_since(session, request.app.state.shed.clock)
    here, now = tablet_here(session, request), request.app.state.shed.clock.real_now()
    view = DevicesView(
        title="Where people are signed in" if keeps else "Where you are signed in",
        lines=tuple(
            _line(found, request.state.signed_in.id, now)
            for found in sign_ins.open_sign_ins(session, None if keeps else person.id, good)
        ),
        keeps_tablets=keeps,
        tablets=tuple(sign_ins.tablets(session)) if keeps else (),
        scales=tuple(scales.scales(session, None if keeps else BenchPlace.of(request.state.signed_in))),
        this_tablet=here.name if here else "",
        typed=typed or {},
        errors=errors or {},
    )
    return page(request, "devices/page.html", view, status=status)


def _line(found: sign_ins.SignInLine, here_id: int, now: datetime) -> DeviceLine:
    row = found.sign_in
    device, is_here = found.tablet_name or row.browser, row.id == here_id
    used = "in use now" if is_here else f"last used {say_ago(now - row.seen_at)}"
    return DeviceLine(row.id or 0, found.person_name, device, row.proved_at, row.seen_at, used, is_here)


def say_ago(time: timedelta) -> str:
    """How long ago, in whole days, hours or minutes."""
    for step, word in ((timedelta(days=1), "day"), (timedelta(hours=1), "hour"), (timedelta(minutes=1), "minute")):
        if count := time // step:
            return f"{count} {word}{'s' if count > 1 else ''} ago"
    return "less than a minute ago"
