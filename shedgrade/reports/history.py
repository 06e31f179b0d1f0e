"""The history of something, told in sentences."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from sqlmodel import Session

from shedgrade.domain.people import Person
from shedgrade.reports.told_values import Say, rows_named
from shedgrade.reports.told_words import did
from shedgrade.storage.history import Told
from shedgrade.storage.names import Row, names_of, samples_called


@dataclass(frozen=True, slots=True)
class Line:
    """One change: when (UTC), by whom as this reader may know them, and the whole sentence. ``linked`` are those of its
    words that call the sample ``sample_id``."""

    at: datetime
    by: str
    sentence: str
    sample_id: int | None = None
    linked: str = ""


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
        """On which device, for those who hear by whom; a draft is written at a desk, and its changes are many."""
        return told.where if told.doer.known_to(self.person) and told.noun != "spec draft" else ""


def lines_of(session: Session, changes: Sequence[Told], reader: Reader, *, one_sample: bool = False) -> list[Line]:
    """The changes as sentences, in the order given; ``one_sample`` where all are of one, which then needs no name.
    Whoever and whatever has got another name since is called by both."""
    names = names_of(session, {row for told in changes for row in (*rows_named(told), *_person(told))})
    samples = {} if one_sample else samples_called(session, {(told.noun, told.row_id) for told in changes})
    lines = []
    for told in _roles_together(changes):
        then = names.then(told.at)
        by = then[_person(told)[0]] if names.before.keys() & _person(told) else told.by
        lines.append(_line(replace(told, by=by), Say(then, reader.day, reader.moment, samples), reader))
    return lines


def _person(told: Told) -> list[Row]:
    return [] if told.person_id is None else [("person", told.person_id)]


def _line(told: Told, say: Say, reader: Reader) -> Line:
    sentence, called = _sentence(told, say, reader), say.samples.get((told.noun, told.row_id))
    if called is None:
        return Line(told.at, reader.by(told), sentence)
    words = (say.sample(told), f"a sample of {say.value('question', called.question)}")
    linked = next((each for each in words if each in sentence), "")
    return Line(told.at, reader.by(told), sentence, called.id, linked)


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
