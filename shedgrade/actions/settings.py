"""Setting the shed's rules: a new row each time, from a day on, with a note of where it comes from."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlmodel import Session

from shedgrade.domain.settings import Rule
from shedgrade.storage import settings
from shedgrade.storage.history import tell
from shedgrade.storage.stale import StaleError
from shedgrade.storage.tables import SettingRow


class DayPastError(ValueError):
    """A rule cannot be set for days that are over."""


@dataclass(frozen=True, slots=True)
class RuleFacts:
    """What a rule is to be from a day on, and where that comes from."""

    value: int | str
    valid_from: date
    source: str


@dataclass(frozen=True, slots=True)
class Setter:
    """Who sets a rule, when, and which day that is in the shed."""

    person_id: int
    now: datetime
    today: date


def set_rule(session: Session, rule: Rule[Any], facts: RuleFacts, version: int, by: Setter) -> SettingRow:
    """Keep a rule's value from a day on; the rows before it stay. DayPastError for a day before today, StaleError if
    somebody set the rule since it was at ``version`` (:func:`.storage.settings.version_of`)."""
    if facts.valid_from < by.today:
        raise DayPastError("That day is over. Take today or a later day.")
    if settings.version_of(session, rule) != version:
        raise StaleError
    row = SettingRow(
        key=rule.key,
        valid_from=facts.valid_from,
        value=str(facts.value),
        source=facts.source,
        set_at=by.now,
        set_by_id=by.person_id,
    )
    tell(row, held_before=str(settings.in_force(session, rule, facts.valid_from)))
    session.add(row)
    session.flush()
    return row
