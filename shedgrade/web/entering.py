"""Letting somebody in, once they have proved who they are, and out again."""

from datetime import UTC, datetime, timedelta

from fastapi import Request
from fastapi.responses import RedirectResponse
from sqlmodel import Session

from shedgrade.actions import sign_ins as actions
from shedgrade.actions.sign_ins import Opened
from shedgrade.domain.people import tap_is_enough
from shedgrade.domain.settings import SHIFT_HOURS, SIGN_IN_DAYS
from shedgrade.domain.sign_in import Tried
from shedgrade.storage import people, settings, sign_ins
from shedgrade.storage.tables import SignIn, Tablet
from shedgrade.web import cookies
from shedgrade.web.browsers import browser_words
from shedgrade.web.coming_late import hold_kept
from shedgrade.web.pages import KEPT_COOKIE, own_page, see
from shedgrade.web.proving import Proof
from shedgrade.web.state import the_shed
from shedgrade.web.whoami import COOKIE, SEEN_ON_TABLET, TABLET_COOKIE, idle_after, tablet_here

# As long as browsers keep a cookie at most; the shed ends a tablet when it wants to.
TABLET_STAYS = timedelta(days=400)
# A token is held so much longer than it opens anything: it still says whose a form is that comes too late.
_STILL_HELD = timedelta(days=1)
_EVER = datetime.min.replace(tzinfo=UTC)


def enter(
    request: Request, session: Session, person_id: int, after: str, proof: Proof | None = None
) -> RedirectResponse:
    """Sign somebody in under a new token, commit, and send them on. What this browser held before is ended, but on a
    tablet the others of the shift stay, and need only tap their names."""
    now = request.app.state.shed.clock.real_now()
    after = _goes_on_to(request, session, person_id, after)
    if proof is not None:
        _forgive(session, person_id, proof)
    tablet = tablet_here(session, request)
    _end_what_was_here(request, session, person_id, tablet, now)
    browser = browser_words(request.headers.get("user-agent", ""))
    opened = actions.sign_in(session, person_id, browser, now, tablet.id if tablet else None)
    return _let_in(request, session, opened, tablet, after)


def go_on(request: Request, session: Session, row: SignIn, tablet: Tablet, after: str) -> RedirectResponse:
    """Let somebody of this shift back in on this tablet, under a new token, commit, and send them on."""
    now = request.app.state.shed.clock.real_now()
    after = _goes_on_to(request, session, row.person_id, after)
    _put_aside_other(request, session, row.person_id)
    return _let_in(request, session, actions.renew(session, row, now), tablet, after)


def hand_over(request: Request, session: Session, row: SignIn, *, by_itself: bool = False) -> None:
    """Let the next person come to this tablet. Whoever may come back by a tap keeps their shift under a token that
    nobody holds; anybody else is out, and so is whoever sits at a browser of their own. A tablet that locks
    ``by_itself`` holds its token: another window may have a form half-typed, and it is to be known whose."""
    now = request.app.state.shed.clock.real_now()
    if row.tablet_id is None or not tap_is_enough(people.person(session, row.person_id).roles):
        actions.end(session, row, row.person_id, now)
    elif by_itself:
        actions.fall_idle(session, row, now - idle_after(session, request) - 2 * SEEN_ON_TABLET)
    else:
        actions.put_aside(session, row)


def leave(request: Request, session: Session) -> RedirectResponse:
    """End what this browser holds, and commit."""
    row = sign_ins.held_by(session, request.cookies.get(COOKIE, ""))
    if row is not None:
        actions.end(session, row, row.person_id, request.app.state.shed.clock.real_now())
    session.commit()
    answer = see("/sign-in")
    cookies.drop(request, answer, COOKIE)
    return answer


def _goes_on_to(request: Request, session: Session, person_id: int, after: str) -> str:
    """The page of what they had typed last, where it waits here; else the page that was asked for, unless somebody else
    was in when it was: then their own first page."""
    shed = the_shed(request)
    kept = shed.kept.lead_to(request.cookies.get(KEPT_COOKIE, ""), person_id, shed.clock.real_now())
    if kept != "/":
        return kept
    asked = sign_ins.ever_held_by(session, request.cookies.get(COOKIE, ""))
    return after if asked is None or asked.person_id == person_id else "/"


def _forgive(session: Session, person_id: int, proof: Proof) -> None:
    """Their slips count no more; a password opens a PIN that was closed, too."""
    if proof.account is not None and proof.sender is not None:
        if proof.account.kind == "name":
            actions.forgive(session, [Tried.pin(person_id)])
        actions.succeed(session, proof.account, proof.sender)


def _end_what_was_here(
    request: Request, session: Session, person_id: int, tablet: Tablet | None, now: datetime
) -> None:
    held = sign_ins.held_by(session, request.cookies.get(COOKIE, ""))
    if held is not None and (tablet is None or held.tablet_id != tablet.id):
        actions.end(session, held, person_id, now)
    _put_aside_other(request, session, person_id)
    if tablet is not None and (own := sign_ins.on_shift(session, tablet.id or 0, _EVER).get(person_id)):
        actions.end(session, own, person_id, now)


def _put_aside_other(request: Request, session: Session, person_id: int) -> None:
    """Whoever was in here before hands over to the next, also where they walked away and the tablet fell idle."""
    held = sign_ins.held_by(session, request.cookies.get(COOKIE, ""))
    if held is not None and held.person_id != person_id:
        hand_over(request, session, held)


def _let_in(request: Request, session: Session, opened: Opened, tablet: Tablet | None, after: str) -> RedirectResponse:
    today = request.app.state.shed.clock.today()
    answer = see(own_page(after))
    if tablet is None:
        stays = timedelta(days=settings.in_force(session, SIGN_IN_DAYS, today))
        cookies.drop(request, answer, TABLET_COOKIE)  # of a tablet that was ended: from now on it is a browser like any
    else:
        stays = timedelta(hours=settings.in_force(session, SHIFT_HOURS, today))
        cookies.keep(request, answer, TABLET_COOKIE, request.cookies[TABLET_COOKIE], TABLET_STAYS)
    cookies.keep(request, answer, COOKIE, opened.token, stays + _STILL_HELD)
    hold_kept(request, answer)
    session.commit()
    return answer
