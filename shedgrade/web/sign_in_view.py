"""The ways to sign in, as this browser is offered them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from fastapi import Request
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from shedgrade.domain.people import Person
from shedgrade.domain.sign_in import PIN_DIGITS
from shedgrade.storage import people, sign_ins
from shedgrade.storage.sign_ins import NameOnTablet
from shedgrade.storage.tables import PersonRow, Tablet
from shedgrade.web.coming_late import ENDED, LOCKED
from shedgrade.web.last_saved import last_saved
from shedgrade.web.pages import KEPT_COOKIE, page
from shedgrade.web.state import Shed
from shedgrade.web.whoami import TABLET_COOKIE, good_since, tablet_here

_WHY = {
    LOCKED: "Locked: nobody had touched this tablet for a while.",
    ENDED: "Your sign-in had ended: its time was over, or it was ended on another device.",
}
_NO_TABLET = (
    "This is no longer a tablet of the shed: the shed manager has ended it. Sign in with your own name and password, "
    "or go to another tablet."
)
_KEPT = "What {name} had typed was not saved. Sign in as {name}, and it is put back into its form."


@dataclass(frozen=True, slots=True)
class PasswordView:
    """Name and password. ``other_ways`` leads back to the names of a tablet or of the demo, "" where there are none."""

    title: str
    next: str
    name: str = ""
    errors: Mapping[str, str] = field(default_factory=dict)
    notice: str = ""
    other_ways: str = ""
    why: Sequence[str] = ()


@dataclass(frozen=True, slots=True)
class NamesView:
    """The names on a tablet: who has given the PIN this shift needs only tap."""

    title: str
    next: str
    tablet: str
    names: tuple[tuple[int, str, bool], ...]
    why: Sequence[str] = ()


@dataclass(frozen=True, slots=True)
class PinView:
    """The PIN of one person."""

    title: str
    next: str
    person_id: int
    name: str
    digits: int = PIN_DIGITS
    error: str = ""
    why: Sequence[str] = ()


@dataclass(frozen=True, slots=True)
class PickView:
    """Everybody in the demo season."""

    title: str
    next: str
    everyone: tuple[Person, ...]
    notice: str = ""
    why: Sequence[str] = ()


@dataclass(frozen=True, slots=True)
class NobodyView:
    """Nobody is in the books yet."""

    title: str


@dataclass(frozen=True, slots=True)
class Asked:
    """What the browser asked for: the page to go on to, the way it wants, and on a tablet the name tapped."""

    after: str = "/"
    way: str = ""
    person_id: int = 0


def ways_in(request: Request, session: Session, tablet: Tablet | None, asked: Asked) -> HTMLResponse:
    """The first page of signing in that fits this browser."""
    shed: Shed = request.app.state.shed
    names = names_on(session, shed, tablet) if tablet else []
    if asked.way != "password":
        if tapped := next((each for each in names if each.row.id == asked.person_id and each.row.pin_hash), None):
            return pin_page(request, session, tapped.row, asked.after)
        if tablet is not None and names:
            return _names_page(request, session, tablet, names, asked.after)
        if shed.settings.demo:
            return pick_page(request, session, asked.after)
    return password_page(request, session, asked.after)


def names_on(session: Session, shed: Shed, tablet: Tablet) -> list[NameOnTablet]:
    """Who finds their name on this tablet now."""
    return sign_ins.names_on(session, tablet.id or 0, good_since(session, shed.clock).on_tablet)


def password_page(
    request: Request,
    session: Session,
    after: str,
    name: str = "",
    errors: Mapping[str, str] | None = None,
    notice: str = "",
    *,
    status: int = 200,
) -> HTMLResponse:
    """Ask for name and password."""
    other = "/sign-in" if _has_other_ways(request, session) else ""
    view = PasswordView("Sign in", after, name, errors or {}, notice, other, _why(request, session))
    return page(request, "sign_in/password.html", view, status=status)


def _has_other_ways(request: Request, session: Session) -> bool:
    shed: Shed = request.app.state.shed
    tablet = tablet_here(session, request)
    return shed.settings.demo or (tablet is not None and bool(names_on(session, shed, tablet)))


def pin_page(
    request: Request, session: Session, row: PersonRow, after: str, error: str = "", *, status: int = 200
) -> HTMLResponse:
    """Ask for a PIN."""
    view = PinView(f"PIN of {row.name}", after, row.id or 0, row.name, error=error, why=_why(request, session))
    return page(request, "sign_in/pin.html", view, status=status)


def pick_page(request: Request, session: Session, after: str, notice: str = "", *, status: int = 200) -> HTMLResponse:
    """Ask who is using the demo."""
    everyone = tuple(whole.person for whole in _in_order(session) if whole.row.active)
    view = PickView("Pick who you are", after, everyone, notice, _why(request, session))
    return page(request, "sign_in/pick.html", view, status=status)


def nobody_page(request: Request) -> HTMLResponse:
    """Say how the first person gets into the books."""
    return page(request, "sign_in/nobody.html", NobodyView("Nobody is in the books yet"))


def _in_order(session: Session) -> list[people.PersonWhole]:
    return sorted(people.everyone_whole(session), key=lambda whole: whole.person.id)


def _names_page(
    request: Request, session: Session, tablet: Tablet, names: list[NameOnTablet], after: str
) -> HTMLResponse:
    keys = tuple((each.row.id or 0, each.row.name, each.on_shift is not None) for each in names)
    view = NamesView("Tap your name", after, tablet.name, keys, _why(request, session))
    return page(request, "sign_in/names.html", view)


def _why(request: Request, session: Session) -> list[str]:
    """Why somebody is asked who they are, what came of the fruit that the tablet waited for, and whose typed words wait
    here."""
    shed: Shed = request.app.state.shed
    waiting = shed.kept.waiting(request.cookies.get(KEPT_COOKIE, ""), shed.clock.real_now())
    why = request.query_params.get("why", "")
    said = [_WHY[why]] if why in _WHY else []
    if sign_ins.was_tablet(session, request.cookies.get(TABLET_COOKIE, "")):
        said = [_NO_TABLET]
    fruit = [saved] if why == LOCKED and (saved := last_saved(request)) else []
    return fruit + said + [_KEPT.format(name=name) for name in waiting]
