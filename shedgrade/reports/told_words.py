"""What each kind of change is called, as the part of a sentence that follows who did it."""

from collections.abc import Mapping
from typing import Any

from shedgrade.domain.people import Role
from shedgrade.domain.units import digits
from shedgrade.reports.told_new import ADDED, Did
from shedgrade.reports.told_specs import of_spec
from shedgrade.reports.told_values import Say, label
from shedgrade.storage.history import Told
from shedgrade.storage.nouns import SIGN_IN


def did(told: Told, say: Say) -> Did:
    """One change in words."""
    if told.noun in ("spec", "spec draft"):
        return of_spec(told, say)
    if told.noun == SIGN_IN:
        return Did(_ended(told, say.name("person", told.row_id)))
    if word := _own_word(told, say):
        return Did(word)
    return ADDED[told.noun](told.after, say) if told.deed == "added" else Did(_changed(told, say))


def _own_word(told: Told, say: Say) -> str:
    """What is done under a name of its own; "" for all else."""
    if told.noun == "person" and "role" in {**told.before, **told.after}:
        return _role(told, say.name("person", told.row_id))
    if told.after.get("ended_at"):
        return f"ended the {told.noun} {say.name(told.noun, told.row_id)}"
    if told.after.get("withdrawn_at"):
        return "withdrew it"
    if told.deed == "measured":
        when, sample = _from_to(told.after), _in_sample(told, say)
        return f"measured {_fruit(told.after)}{when}{',' if when and sample else ''}{sample}"
    return _voided(told, say) if told.deed == "voided" or told.after.get("voided_at") else ""


def _voided(told: Told, say: Say) -> str:
    if told.noun == "fruit":
        return f"voided fruit {told.after.get('number', '')}".strip() + _in_sample(told, say)
    if told.noun == "quick look fruit":
        return f"took back fruit {told.after['number']} of a quick look"
    return f"voided {say.sample(told) or f'the {told.noun}'}"


def _in_sample(told: Told, say: Say) -> str:
    name = say.sample(told)
    return f" of {name}" if name else ""


def _fruit(after: Mapping[str, Any]) -> str:
    """The fruit somebody measured in a row; where others measured some between, how many they were."""
    first, last, count = (after[each] for each in ("first", "last", "count"))
    if count == 1:
        return f"fruit {first}"
    span = f"fruit {digits(first)} to {digits(last)}"
    return span if count == last - first + 1 else f"{digits(count)} of the {span}"


def _from_to(after: Mapping[str, Any]) -> str:
    """Between which times of the day, to the minute; "" for what was done within one."""
    began, ended = (f"{after[each]:%H:%M}" for each in ("began", "ended"))
    return f", from {began} to {ended}" if began != ended else ""


def _ended(told: Told, name: str) -> str:
    whose = "their own sign-in" if told.person_id == told.row_id else f"the sign-in of {name}"
    return f"ended {whose} on {told.after['device']}"


def _changed(told: Told, say: Say) -> str:
    columns = {**told.before, **told.after}
    parts = [_changed_column(column, told, say) for column in columns if not column.endswith("by_id")]
    return " and ".join([", ".join(parts[:-1]), parts[-1]]) if len(parts) > 1 else "".join(parts)


def _changed_column(column: str, told: Told, say: Say) -> str:
    if told.noun == "person" and (special := _of_person(column, told, say.name("person", told.row_id))):
        return special
    name = label(column)
    old, new = (say.value(column, side.get(column)) for side in (told.before, told.after))
    if not new:
        return f"took out the {name} {old}"
    return f"changed the {name} from {old} to {new}" if old else f"set the {name} to {new}"


def _of_person(column: str, told: Told, name: str) -> str:
    """What is said of somebody's leaving and of what they sign in with; "" for all else."""
    if column == "active":
        return f"took {name} back in" if told.after[column] else f"wrote down that {name} has left"
    word = {"password_hash": "password", "pin_hash": "PIN"}.get(column)
    if word is None:
        return ""
    if not told.after[column]:
        return f"took the {word} of {name} away"
    first_or_new = f"a new {word}" if told.before.get(column) else f"a {word}"
    return f"chose {first_or_new}" if told.person_id == told.row_id else f"gave {name} {first_or_new}"


def _role(told: Told, name: str) -> str:
    if "role" in told.after:
        return f"gave {name} {_roles(told.after['role'])}"
    return f"took from {name} {_roles(told.before['role'])}"


def _roles(roles: Any) -> str:
    had = set(roles if isinstance(roles, list) else [roles])
    named = [role.words for role in Role if role in had]
    return f"the role {named[0]}" if len(named) == 1 else f"the roles {', '.join(named[:-1])} and {named[-1]}"
