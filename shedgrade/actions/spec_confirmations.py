"""Confirming values that a spec gives from memory: by whom, on which day, where it was read."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime

from sqlmodel import Session

from shedgrade.domain.source import Mark
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.values import Value, values_of
from shedgrade.storage import specs
from shedgrade.storage.history import tell
from shedgrade.storage.spec_confirmations import confirmed_of
from shedgrade.storage.stale import StaleError
from shedgrade.storage.tables import SpecConfirmation, SpecVersion


@dataclass(frozen=True, slots=True)
class Reading:
    """Who read the text, on which day and where, and when they said so."""

    person_id: int
    read_on: date
    read_in: str
    now: datetime


def open_values(session: Session, version: SpecVersion) -> list[Value]:
    """The values of a version that are given from memory and that nobody has confirmed."""
    confirmed = confirmed_of(session, version.id or 0)
    return [value for value in values_of(specs.spec_in(version)) if _asks(value) and value.place not in confirmed]


def confirm(session: Session, version: SpecVersion, places: Collection[str], reading: Reading) -> None:
    """Confirm some values by their place; StaleError if one of them is not open any more."""
    open_now = {value.place: value for value in open_values(session, version)}
    if not set(places) <= set(open_now):
        raise StaleError
    for place in places:
        session.add(_row(version, open_now[place], reading))
    session.flush()


def withdraw(session: Session, row: SpecConfirmation, reason: str, by: int, now: datetime) -> None:
    """Take a confirmation back for a reason; it stays to be seen. StaleError if it was taken back already."""
    if row.withdrawn_at is not None:
        raise StaleError
    tell(row, why=reason, value_of=row.place)
    row.withdrawn_at, row.withdrawn_by_id, row.withdraw_reason = now, by, reason
    session.add(row)
    session.flush()


def carry_over(session: Session, before: SpecVersion, published: SpecVersion, spec: Spec) -> None:
    """Give a new version the confirmations of the one it follows, of every value that is the same in both."""
    confirmed = confirmed_of(session, before.id or 0)
    for value in values_of(spec):
        held = confirmed.get(value.place)
        if held is not None and _asks(value) and held.row.value == value.to.text():
            row = held.row
            reading = Reading(row.confirmed_by_id, row.read_on, row.read_in, row.confirmed_at)
            session.add(_row(published, value, reading, carried_from=row.carried_from_id or before.id))
    session.flush()


def _asks(value: Value) -> bool:
    return value.source.mark is Mark.FROM_MEMORY


def _row(version: SpecVersion, value: Value, reading: Reading, carried_from: int | None = None) -> SpecConfirmation:
    row = SpecConfirmation(
        spec_version_id=version.id or 0,
        place=value.place,
        value=value.to.text(),
        read_on=reading.read_on,
        read_in=reading.read_in,
        confirmed_at=reading.now,
        confirmed_by_id=reading.person_id,
        carried_from_id=carried_from,
    )
    tell(row, value_of=f"{value.words}, {value.to.says()}")
    return row
