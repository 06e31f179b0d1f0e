"""Oneself: the name, a new password, a new PIN, signing out."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from shedgrade.actions import sign_ins as actions
from shedgrade.domain.people import Person, tap_is_enough
from shedgrade.domain.sign_in import PASSWORD_RULE, PIN_RULE
from shedgrade.storage.people import person_whole
from shedgrade.storage.tables import PersonRow
from shedgrade.web.answers import MISSING, Answers
from shedgrade.web.fields import publishes
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page
from shedgrade.web.posted import Posted
from shedgrade.web.proving import NewPassword, NewPin, NewSecret, OwnProof, Proof
from shedgrade.web.routes.set_up import refuse_secret
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession
from shedgrade.web.whoami import CurrentPerson

router = APIRouter(prefix="/me")

_NOT_THAT = "That is not it. Nothing was changed."


@dataclass(frozen=True, slots=True)
class MeView:
    """Who somebody is here, and what they can change. ``proof`` is what they prove it with: "password", "PIN" or "".
    ``changing`` is the form that was refused, whose errors these are."""

    title: str
    person: Person
    device: str
    on_tablet: bool
    proof: str
    has_pin: bool
    demo: bool
    changing: str = ""
    errors: Mapping[str, str] = field(default_factory=dict)
    password_rule: str = PASSWORD_RULE
    pin_rule: str = PIN_RULE

    @property
    def by_a_tap(self) -> bool:
        """Whether on a tablet a tap on the name brings this person back in."""
        return tap_is_enough(self.person.roles)

    @property
    def asked_for(self) -> str:
        """What this person is asked for here after signing out: "PIN", "password", or "" in the demo."""
        return "PIN" if self.on_tablet and self.has_pin else self.proof


@router.get("")
def show(request: Request, person: CurrentPerson, shed: CurrentShed, session: ReadSession) -> HTMLResponse:
    """One's own page."""
    row = person_whole(session, person.id).row
    return _page(request, person, row, demo=shed.settings.demo)


@router.post("/password", openapi_extra=publishes("now", "new_password", "again"))
def new_password(
    request: Request,
    person: CurrentPerson,
    proof: OwnProof,
    new: NewPassword,
    session: FormSession,
    posted: CurrentPosted,
) -> Response:
    """Take a new password, from whoever knows the old one."""
    return _change(request, person, proof, new, session, posted, "password")


@router.post("/pin", openapi_extra=publishes("now", "new_pin", "again"))
def new_pin(
    request: Request, person: CurrentPerson, proof: OwnProof, new: NewPin, session: FormSession, posted: CurrentPosted
) -> Response:
    """Take a new PIN, from whoever knows the password."""
    return _change(request, person, proof, new, session, posted, "pin")


def _change(
    request: Request, person: Person, proof: Proof, new: NewSecret, session: Session, posted: Posted, what: str
) -> Response:
    shed = request.app.state.shed
    row = person_whole(session, person.id, to_change=True).row
    answers = Answers(posted)
    if proof.person_id is None:
        answers.refuse("now", proof.sentence or (_NOT_THAT if posted.get("now", "").strip() else MISSING))
    refuse_secret(answers, new.mistake, f"new_{what}")
    if not answers.fine:
        _forgive(session, proof)
        session.commit()
        status = proof.status if proof.sentence else 422
        return _page(request, person, row, demo=shed.settings.demo, changing=what, errors=answers.errors, status=status)
    store = actions.set_password if what == "password" else actions.set_pin
    store(session, row, new.kept, person.id, shed.clock.real_now(), request.state.signed_in.id)
    _forgive(session, proof)
    return done(request, session, person, posted, f"/me?done={what}")


def _forgive(session: Session, proof: Proof) -> None:
    """It was the right person, whatever else was wrong with the form."""
    if proof.account is not None and proof.sender is not None and proof.person_id is not None:
        actions.succeed(session, proof.account, proof.sender)


def _page(
    request: Request,
    person: Person,
    row: PersonRow,
    *,
    demo: bool,
    changing: str = "",
    errors: Mapping[str, str] | None = None,
    status: int = 200,
) -> HTMLResponse:
    here = request.state.signed_in
    view = MeView(
        title=person.name,
        person=person,
        device=here.device,
        on_tablet=here.tablet_id is not None,
        proof="password" if row.password_hash else "PIN" if row.pin_hash else "",
        has_pin=bool(row.pin_hash),
        demo=demo,
        changing=changing,
        errors=errors or {},
    )
    return page(request, "me/page.html", view, status=status)
