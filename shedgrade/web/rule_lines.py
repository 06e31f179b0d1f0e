"""A rule of the shed as a page tells it: the value in force, then every value there was and will be."""

from dataclasses import dataclass
from datetime import date

from sqlmodel import Session

from shedgrade.domain.settings import AnyRule
from shedgrade.storage import settings
from shedgrade.storage.settings import SetValue


@dataclass(frozen=True, slots=True)
class RuleLine:
    """One value of a rule; ``state`` is coming, in force, earlier or replaced. What holds where nothing was stored has
    neither day nor person."""

    said: str
    state: str
    source: str
    begins: date | None = None
    by: str = ""


@dataclass(frozen=True, slots=True)
class RuleView:
    """A rule with its values, the latest day first."""

    rule: AnyRule
    in_force: RuleLine
    lines: list[RuleLine]


def rule_view(session: Session, rule: AnyRule, today: date) -> RuleView:
    """A rule as it stands today."""
    lines: list[RuleLine] = []
    for value in settings.values_of(session, rule):
        lines.append(_line(rule, value, _state(value, today, lines)))
    lines.append(RuleLine(rule.say_default(), "earlier" if _begun(lines) else "in force", rule.source))
    return RuleView(rule, next(line for line in lines if line.state == "in force"), lines)


def _line(rule: AnyRule, value: SetValue, state: str) -> RuleLine:
    row = value.row
    return RuleLine(rule.say_stored(row.value), state, row.source, row.valid_from, value.by)


def _state(value: SetValue, today: date, later: list[RuleLine]) -> str:
    if value.replaced:
        return "replaced"
    if value.row.valid_from > today:
        return "coming"
    return "earlier" if _begun(later) else "in force"


def _begun(lines: list[RuleLine]) -> bool:
    return any(line.state == "in force" for line in lines)
