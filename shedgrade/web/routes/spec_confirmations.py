"""Confirming values that a spec gives from memory, and taking a confirmation back."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from sqlmodel import Session

from shedgrade.actions import spec_confirmations as actions
from shedgrade.domain import entry
from shedgrade.domain.people import Person
from shedgrade.domain.spec.values import Value, values_of
from shedgrade.storage import specs
from shedgrade.storage.spec_confirmations import Confirmed, confirmation, confirmed_of
from shedgrade.storage.stale import StaleError
from shedgrade.storage.tables import SpecVersion
from shedgrade.web.answers import Answers
from shedgrade.web.fields import publishes
from shedgrade.web.ids import RowId
from shedgrade.web.once import FormSession, done
from shedgrade.web.pages import page
from shedgrade.web.state import CurrentPosted, CurrentShed, ReadSession
from shedgrade.web.whoami import SpecKeeper

router = APIRouter()

_NOT_OPEN = "One of these values was confirmed meanwhile, as listed below. Nothing of yours was stored."
_TAKEN_BACK = "That confirmation was taken back before. Your reason was not stored."


@dataclass(frozen=True, slots=True)
class ConfirmingView:
    """The values that wait for somebody to read them, by what they belong to, and those that are confirmed."""

    title: str
    row: SpecVersion
    groups: list[tuple[str, list[Value]]]
    confirmed: list[tuple[str, Confirmed]]
    person_name: str
    ticked: Sequence[str] = ()
    typed: Mapping[str, str] = field(default_factory=dict)
    errors: Mapping[str, str] = field(default_factory=dict)
    notice: str = ""


@router.get("/specs/{spec_version_id}/confirmations")
def ask(
    request: Request, person: SpecKeeper, session: ReadSession, shed: CurrentShed, spec_version_id: RowId
) -> HTMLResponse:
    """The values given from memory."""
    view = _view(session, person, specs.version(session, spec_version_id))
    typed = {"read_on": f"{shed.clock.today():%Y-%m-%d}"}
    return page(request, "specs/confirming.html", replace(view, typed=typed))


@router.post("/specs/{spec_version_id}/confirmations", openapi_extra=publishes("read_on", "read_in", many=("value",)))
def confirm(
    request: Request,
    person: SpecKeeper,
    session: FormSession,
    posted: CurrentPosted,
    shed: CurrentShed,
    spec_version_id: RowId,
) -> Response:
    """Say of the ticked values that they were read, when and where."""
    row, answers = specs.version(session, spec_version_id), Answers(posted)
    ticked = posted.every("value")
    reading = _reading(answers, person, shed)
    if not ticked:
        answers.refuse("value", "Tick the values that you have read.")
    notice = ""
    if answers.fine and reading is not None:
        try:
            actions.confirm(session, row, list(dict.fromkeys(ticked)), reading)
            return done(request, session, person, posted, f"/specs/{spec_version_id}?done=confirmed")
        except StaleError:
            notice = _NOT_OPEN
    view = replace(_view(session, person, row), ticked=ticked, typed=posted, errors=answers.errors, notice=notice)
    return page(request, "specs/confirming.html", view, status=409 if notice else 422)


@router.post("/confirmations/{confirmation_id}/withdrawal", openapi_extra=publishes("reason"))
def withdraw(
    request: Request,
    person: SpecKeeper,
    session: FormSession,
    posted: CurrentPosted,
    shed: CurrentShed,
    confirmation_id: RowId,
) -> Response:
    """Take a confirmation back for the reason given."""
    row = confirmation(session, confirmation_id)
    answers = Answers(posted)
    reason = answers.text("reason")
    notice = ""
    if answers.fine:
        try:
            actions.withdraw(session, row, reason, person.id, shed.clock.now())
            return done(
                request,
                session,
                person,
                posted,
                f"/specs/{row.spec_version_id}/confirmations?done=confirmation-taken-back",
            )
        except StaleError:
            notice = _TAKEN_BACK
    view = replace(
        _view(session, person, specs.version(session, row.spec_version_id)),
        errors={f"reason-{confirmation_id}": answers.errors["reason"]} if answers.errors else {},
        notice=notice,
    )
    return page(request, "specs/confirming.html", view, status=409 if notice else 422)


def _reading(answers: Answers, person: Person, shed: CurrentShed) -> actions.Reading | None:
    read_on = answers.read("read_on", entry.date)
    read_in = answers.text("read_in", longest=300)
    if read_on is not None and read_on > shed.clock.today():
        answers.refuse("read_on", "That day is still to come. Give the day it was read.")
    if not answers.fine or read_on is None:
        return None
    return actions.Reading(person.id, read_on, read_in, shed.clock.now())


def _view(session: Session, person: Person, row: SpecVersion) -> ConfirmingView:
    groups: dict[str, list[Value]] = {}
    for value in actions.open_values(session, row):
        groups.setdefault(value.place.partition(":")[0].partition(" of ")[0].split(" way ")[0], []).append(value)
    words = {value.place: f"{value.words}: {value.to.says()}" for value in values_of(specs.spec_in(row))}
    confirmed = confirmed_of(session, row.id or 0)
    return ConfirmingView(
        title="Values from memory",
        row=row,
        groups=_together(groups),
        confirmed=[(words.get(place, place), each) for place, each in confirmed.items()],
        person_name=person.name,
    )


def _together(groups: dict[str, list[Value]]) -> list[tuple[str, list[Value]]]:
    """Sizes under one heading, every limit, severity and tolerance under its own."""
    named: dict[str, list[Value]] = {}
    for key, values in groups.items():
        heading = "Sizes" if key.startswith("size ") else values[0].words.partition(",")[0].partition(":")[0]
        named.setdefault(heading, []).extend(values)
    return list(named.items())
