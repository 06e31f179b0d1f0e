"""The page of one person: what is written about them, how they sign in, and whether they are still here."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace

from sqlmodel import Session

from shedgrade.domain.people import Person, leaving_words, left_words, ways_in
from shedgrade.domain.sign_in import PASSWORD_RULE, PIN_RULE
from shedgrade.storage.history import Told, changes_of
from shedgrade.storage.people import PersonWhole
from shedgrade.storage.tables import PersonRow
from shedgrade.web.answers import Answers
from shedgrade.web.clock import Clock
from shedgrade.web.pages import say_moment
from shedgrade.web.person_form import grower_choices, role_choices, ticked, without_secrets
from shedgrade.web.stored_now import differing


@dataclass(frozen=True, slots=True)
class PersonFormView:
    """The form for one person: what was typed and ticked, and what is wrong."""

    title: str
    growers: list[tuple[int, str]]
    typed: Mapping[str, str] = field(default_factory=dict)
    ticked: Collection[str] = ()
    errors: Mapping[str, str] = field(default_factory=dict)
    roles: list[tuple[str, str]] = field(default_factory=role_choices)
    password_rule: str = PASSWORD_RULE
    pin_rule: str = PIN_RULE


@dataclass(frozen=True, slots=True)
class PersonView:
    """One person's page, its form in it; ``password_given`` and ``pin_given`` say when and by whom, "" if not yet."""

    title: str
    whole: PersonWhole
    form: PersonFormView
    signs_in_by: str
    password_given: str
    pin_given: str
    version: int
    stored_now: str = ""
    differs: Mapping[str, str] = field(default_factory=dict)

    @property
    def leaving(self) -> str:
        """What marking them as left, or as back, does."""
        row = self.whole.row
        return leaving_words(_ways(row)) if row.active else left_words(_ways(row))


def person_view(session: Session, clock: Clock, keeper: Person, whole: PersonWhole) -> PersonView:
    """The page as it is stored."""
    row, roles = whole.row, {role.value for role in whole.person.roles}
    typed = {"name": row.name, "grower": str(row.grower_id or "")}
    form = PersonFormView(row.name, grower_choices(session, keeper), typed, roles)
    told = changes_of(session, [("person", whole.person.id)])
    password, pin = (_given(told, column, clock) for column in ("password_hash", "pin_hash"))
    return PersonView(row.name, whole, form, signs_in_by(whole), password, pin, row.version)


def refused_view(view: PersonView, answers: Answers, stored: str) -> PersonView:
    """The page with what is wrong beside its field; what was typed into the person's own form is kept. ``stored`` is
    what somebody else saved meanwhile: only then does sending it again put it in that one's place."""
    form = replace(view.form, errors=answers.errors)
    if "name" in answers.typed:
        form = replace(form, typed=without_secrets(answers.typed), ticked=ticked(answers.typed))
    if not stored:
        return replace(view, form=form, version=answers.version())
    return replace(view, form=form, stored_now=stored, differs=_differing(view.whole, form))


def _differing(whole: PersonWhole, form: PersonFormView) -> dict[str, str]:
    row, roles = whole.row, {role.value for role in whole.person.roles}
    stored = {"name": row.name, "grower": str(row.grower_id or "")}
    differs = differing(form.typed, stored, {"grower": whole.grower_name or "Nobody"})
    return differs | ({"roles": whole.person.role_words} if set(form.ticked) != roles else {})


def said(whole: PersonWhole) -> str:
    """What is stored about somebody, in a line."""
    parts = [whole.row.name, whole.person.role_words]
    if whole.grower_name:
        parts.append(f"speaks for {whole.grower_name}")
    if not whole.row.active:
        parts.append("has left")
    return ", ".join(parts)


def signs_in_by(whole: PersonWhole) -> str:
    """How somebody can sign in, in words; "" if they cannot."""
    return _ways(whole.row) if whole.row.active else ""


def _ways(row: PersonRow) -> str:
    return ways_in(password=bool(row.password_hash), pin=bool(row.pin_hash))


def _given(told: list[Told], column: str, clock: Clock) -> str:
    change = next((each for each in told if column in each.after), None)
    return f"{say_moment(clock.local(change.at))}, by {change.by}" if change else ""
