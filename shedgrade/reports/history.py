"""The history of something, told in sentences."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from sqlmodel import Session

from shedgrade.domain.people import Person
from shedgrade.reports.told_values import Say, rows_named
from shedgrade.reports.told_words import did
from shedgrade.storage.history import Told
from shedgrade.storage.names import names_of


@dataclass(frozen=True, slots=True)
class Line:
    """One change: when (UTC), by whom as this reader may know them, and the whole sentence."""

    at: datetime
    by: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Reader:
    """Who reads, and how days and moments are said to them."""

    person: Person
    day: Callable[[date], str]
    moment: Callable[[datetime], str]

    def by(self, told: Told) -> str:
        """Who made a change, as they may know."""
        return told.doer.told_to(self.person)

    def where(self, told: Told) -> str:
        """On which device, for those who hear by whom."""
        return told.where if told.doer.known_to(self.person) else ""


def lines_of(session: Session, changes: Sequence[Told], reader: Reader) -> list[Line]:
    """The changes as sentences, in the order given."""
    names = names_of(session, {row for told in changes for row in rows_named(told)})
    say = Say(names, reader.day, reader.moment)
    return [Line(told.at, reader.by(told), _sentence(told, say, reader)) for told in _roles_together(changes)]


def _sentence(told: Told, say: Say, reader: Reader) -> str:
    head, tail = did(told, say)
    where = f", {reader.where(told)}" if reader.where(told) else ""
    after = f": {tail}" if tail else ""
    reason = told.why or told.after.get("void_reason", "")
    why = (f". Why: {reason}" if tail else f": {reason}") if reason else ""
    sentence = f"{reader.by(told)} {head}{where}{after}{why}"
    return f"{sentence[0].upper()}{sentence[1:]}{'' if sentence.endswith('.') else '.'}"


def _roles_together(changes: Iterable[Told]) -> list[Told]:
    """Roles given or taken in one save are stored one by one, and told together."""
    told: list[Told] = []
    for change in changes:
        last = told[-1] if told else None
        if last is None or not _same_save(last, change):
            told.append(change)
            continue
        told[-1] = replace(last, before=_joined(change.before, last.before), after=_joined(change.after, last.after))
    return told


def _same_save(one: Told, other: Told) -> bool:
    facts = [(each.noun, each.row_id, each.deed, each.at, each.person_id) for each in (one, other)]
    return facts[0] == facts[1] and all("role" in {**each.before, **each.after} for each in (one, other))


def _joined(first: object, second: object) -> dict[str, list[str]]:
    roles = [each["role"] for each in (first, second) if isinstance(each, dict) and "role" in each]
    flat = [role for each in roles for role in (each if isinstance(each, list) else [each])]
    return {"role": flat} if flat else {}
