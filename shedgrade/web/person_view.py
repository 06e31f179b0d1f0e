"""The page of one person: what is written about them, how they sign in, and whether they are still here."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace

from sqlmodel import Session

from shedgrade.domain.people import Person
from shedgrade.domain.sign_in import PIN_DIGITS, SHORTEST_PASSWORD
from shedgrade.storage.history import Told, changes_of
from shedgrade.storage.people import PersonWhole
from shedgrade.web.answers import Answers
from shedgrade.web.clock import Clock
from shedgrade.web.pages import say_moment
from shedgrade.web.person_form import grower_choices, role_choices, ticked, without_secrets


@dataclass(frozen=True, slots=True)
class PersonFormView:
    """The form for one person: what was typed and ticked, and what is wrong."""

    title: str
    growers: list[tuple[int, str]]
    typed: Mapping[str, str] = field(default_factory=dict)
    ticked: Collection[str] = ()
    errors: Mapping[str, str] = field(default_factory=dict)
    roles: list[tuple[str, str]] = field(default_factory=role_choices)
    shortest: int = SHORTEST_PASSWORD
    digits: int = PIN_DIGITS


@dataclass(frozen=True, slots=True)
class PersonView:
    """One person's page, its form in it; ``password_given`` and ``pin_given`` say when and by whom, "" if not yet."""

    title: str
    whole: PersonWhole
    form: PersonFormView
    signs_in_by: str
    password_given: str
    pin_given: str
    stored_now: str = ""


def person_view(session: Session, clock: Clock, keeper: Person, whole: PersonWhole) -> PersonView:
    """The page as it is stored."""
    ticked = {role.value for role in whole.person.roles}
    typed = {"name": whole.row.name, "grower": str(whole.row.grower_id or "")}
    return _view(session, clock, whole, PersonFormView(whole.row.name, grower_choices(session, keeper), typed, ticked))


def refused_view(
    session: Session, clock: Clock, keeper: Person, whole: PersonWhole, answers: Answers, *, stale: bool
) -> PersonView:
    """The page with what is wrong beside its field; what was typed into the person's own form is kept."""
    view = person_view(session, clock, keeper, whole)
    form = replace(view.form, errors=answers.errors)
    if "name" in answers.typed:
        form = replace(form, typed=without_secrets(answers.typed), ticked=ticked(answers.typed))
    return replace(view, form=form, stored_now=_stored_now(session, clock, whole) if stale else "")


def _view(session: Session, clock: Clock, whole: PersonWhole, form: PersonFormView) -> PersonView:
    told = _told(session, whole)
    password, pin = (_given(told, column, clock) for column in ("password_hash", "pin_hash"))
    return PersonView(whole.row.name, whole, form, signs_in_by(whole), password, pin)


def signs_in_by(whole: PersonWhole) -> str:
    """How somebody can sign in, in words; "" if they cannot."""
    if not whole.row.active:
        return ""
    ways = [word for secret, word in ((whole.row.password_hash, "password"), (whole.row.pin_hash, "PIN")) if secret]
    return " and ".join(ways)


def _told(session: Session, whole: PersonWhole) -> list[Told]:
    return changes_of(session, [("person", whole.person.id), ("role", whole.person.id)])


def _given(told: list[Told], column: str, clock: Clock) -> str:
    change = next((each for each in told if column in each.after), None)
    return f"{say_moment(clock.local(change.at))}, by {change.by}" if change else ""


def _stored_now(session: Session, clock: Clock, whole: PersonWhole) -> str:
    parts = [whole.row.name, whole.person.role_words]
    if whole.grower_name:
        parts.append(f"speaks for {whole.grower_name}")
    if not whole.row.active:
        parts.append("has left")
    last = _told(session, whole)[0]
    return f"{', '.join(parts)}; saved by {last.by} on {say_moment(clock.local(last.at))}"
