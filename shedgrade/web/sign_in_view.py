"""The ways to sign in, as this browser is offered them."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from fastapi import Request
from fastapi.responses import HTMLResponse
from sqlmodel import Session

from shedgrade.domain.people import Person
from shedgrade.domain.sign_in import PIN_DIGITS
from shedgrade.storage import people, sign_ins
from shedgrade.storage.sign_ins import NameOnTablet
from shedgrade.storage.tables import Tablet
from shedgrade.web.pages import page
from shedgrade.web.state import Shed
from shedgrade.web.whoami import good_since


@dataclass(frozen=True, slots=True)
class PasswordView:
    """Name and password. ``other_ways`` leads back to the names of a tablet or of the demo, "" where there are none."""

    title: str
    next: str
    name: str = ""
    errors: Mapping[str, str] = field(default_factory=dict)
    notice: str = ""
    other_ways: str = ""


@dataclass(frozen=True, slots=True)
class NamesView:
    """The names on a tablet: who has given the PIN this shift needs only tap."""

    title: str
    next: str
    tablet: str
    names: tuple[tuple[int, str, bool], ...]


@dataclass(frozen=True, slots=True)
class PinView:
    """The PIN of one person."""

    title: str
    next: str
    person_id: int
    name: str
    digits: int = PIN_DIGITS
    error: str = ""


@dataclass(frozen=True, slots=True)
class PickView:
    """Everybody in the demo season."""

    title: str
    next: str
    everyone: tuple[Person, ...]
    notice: str = ""


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
            return pin_page(request, tapped.row.id or 0, tapped.row.name, asked.after)
        if tablet is not None and names:
            return _names_page(request, tablet, names, asked.after)
        if shed.settings.demo:
            return pick_page(request, session, asked.after)
    return password_page(request, asked.after, has_other_ways=bool(names) or shed.settings.demo)


def names_on(session: Session, shed: Shed, tablet: Tablet) -> list[NameOnTablet]:
    """Who finds their name on this tablet now."""
    return sign_ins.names_on(session, tablet.id or 0, good_since(session, shed.clock).on_tablet)


def password_page(
    request: Request,
    after: str,
    name: str = "",
    errors: Mapping[str, str] | None = None,
    notice: str = "",
    *,
    has_other_ways: bool = False,
    status: int = 200,
) -> HTMLResponse:
    """Ask for name and password."""
    view = PasswordView("Sign in", after, name, errors or {}, notice, "/sign-in" if has_other_ways else "")
    return page(request, "sign_in/password.html", view, status=status)


def pin_page(
    request: Request, person_id: int, name: str, after: str, error: str = "", *, status: int = 200
) -> HTMLResponse:
    """Ask for a PIN."""
    view = PinView(f"PIN of {name}", after, person_id, name, error=error)
    return page(request, "sign_in/pin.html", view, status=status)


def pick_page(request: Request, session: Session, after: str, notice: str = "", *, status: int = 200) -> HTMLResponse:
    """Ask who is using the demo."""
    everyone = tuple(whole.person for whole in _in_order(session) if whole.row.active)
    return page(request, "sign_in/pick.html", PickView("Pick who you are", after, everyone, notice), status=status)


def nobody_page(request: Request) -> HTMLResponse:
    """Say how the first person gets into the books."""
    return page(request, "sign_in/nobody.html", NobodyView("Nobody is in the books yet"))


def _in_order(session: Session) -> list[people.PersonWhole]:
    return sorted(people.everyone_whole(session), key=lambda whole: whole.person.id)


def _names_page(request: Request, tablet: Tablet, names: list[NameOnTablet], after: str) -> HTMLResponse:
    keys = tuple((each.row.id or 0, each.row.name, each.on_shift is not None) for each in names)
    return page(request, "sign_in/names.html", NamesView("Tap your name", after, tablet.name, keys))
