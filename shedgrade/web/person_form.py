"""What the shed manager types about somebody. A password or PIN is read once and never shown again."""

from collections.abc import Mapping
from typing import Annotated

from fastapi import Depends
from sqlmodel import Session

from shedgrade.actions.people import PersonFacts
from shedgrade.domain import sign_in
from shedgrade.domain.people import WHO_MAY, Deed, Person, Role, mistakes_about_roles
from shedgrade.storage import growers
from shedgrade.web.answers import Answers
from shedgrade.web.posted import Posted
from shedgrade.web.proving import NewSecret, new_secret

SECRETS = ("password", "pin")
# Named in a handler before its session: hashing is slow, and no session is held meanwhile.
GivenPassword = Annotated[NewSecret, Depends(new_secret("password", sign_in.password))]
GivenPin = Annotated[NewSecret, Depends(new_secret("pin", sign_in.pin))]
_WHAT_A_GROWER_SEES = "see the blocks of the grower they speak for, how their fruit graded and what it brings in money"
TYPE_AGAIN = "Type it again: it is not kept in the form."


def facts_in(session: Session, person: Person, answers: Answers) -> PersonFacts | None:
    """What was typed about somebody; None where something was refused."""
    name = answers.text("name", longest=sign_in.LONGEST_NAME)
    roles = _roles(answers)
    named = {str(grower_id): grower_id for grower_id, _ in grower_choices(session, person)}
    grower_id = answers.choice("grower", named, needed=False)
    if not {"roles", "grower"} & set(answers.errors):
        for field, sentence in mistakes_about_roles(roles, grower_id).items():
            answers.refuse(field, sentence)
    return PersonFacts(name, roles, grower_id) if answers.fine else None


def ticked(typed: Mapping[str, str]) -> tuple[str, ...]:
    """The roles ticked on a form: one name, sent as often as there are ticks."""
    return typed.every("roles") if isinstance(typed, Posted) else ()


def without_secrets(typed: Mapping[str, str]) -> dict[str, str]:
    """What was typed, as a page may show it again."""
    return {name: value for name, value in typed.items() if name not in SECRETS}


def refuse_secrets(answers: Answers, **given: NewSecret) -> None:
    """Say what is wrong with a password or PIN that was typed; it may be left out."""
    for name, secret in given.items():
        if answers.typed.get(name, "").strip() and secret.mistake:
            answers.refuse(name, secret.mistake)


def ask_again(answers: Answers) -> None:
    """A form that is shown again asks anew for the secrets typed into it."""
    for name in SECRETS:
        if answers.typed.get(name):
            answers.refuse(name, TYPE_AGAIN)


def grower_choices(session: Session, person: Person) -> list[tuple[int, str]]:
    """The growers somebody can speak for, by name."""
    return [(grower.id or 0, grower.name) for grower in growers.growers_for(session, person)]


def role_choices() -> list[tuple[str, str]]:
    """Every role with what it may do."""
    return [(role.value, f"{role.words}: {_what_it_may(role)}") for role in Role]


def _what_it_may(role: Role) -> str:
    deeds = [deed for deed in Deed if role in WHO_MAY[deed]]
    if len(deeds) == len(Deed):
        return "everything here"
    return ", ".join(deed.value for deed in deeds) or _WHAT_A_GROWER_SEES


def _roles(answers: Answers) -> frozenset[Role]:
    typed = ticked(answers.typed)
    known = {role.value for role in Role}
    if not known.issuperset(typed):
        answers.refuse("roles", "That is not one of the roles. Tick those that fit.")
        return frozenset()
    return frozenset(Role(each) for each in typed)
