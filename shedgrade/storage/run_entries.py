"""The entries of a run one by one, counter-entries among them, and who made them."""

from collections.abc import Collection
from dataclasses import dataclass

import sqlalchemy
from sqlalchemy import ColumnElement, func
from sqlalchemy.orm import aliased
from sqlmodel import Session, col, select

from shedgrade.domain.people import Doer
from shedgrade.domain.run.events import Event, TrayWeighed
from shedgrade.storage.missing import MissingError
from shedgrade.storage.run_rows import TRAY_WEIGHED, event_of
from shedgrade.storage.runs import RunWhole, beside_of
from shedgrade.storage.tables import PersonRow, RunEvent


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry of a run, by whom; of trays so many were ``taken_back`` by counter-entries, of all else 1 or 0."""

    id: int
    number: int
    event: Event
    by: Doer
    taken_back: int


def entries(session: Session, run: RunWhole, most: int) -> list[Entry]:
    """The entries made last, the newest first; counter-entries among them."""
    return _entries(session, run, col(RunEvent.run_id) == run.id, most)


def entry(session: Session, run: RunWhole, number: int) -> Entry:
    """One entry; MissingError if the run has none of this number."""
    found = _entries(session, run, (col(RunEvent.run_id) == run.id) & (col(RunEvent.number) == number), 1)
    if not found:
        raise MissingError
    return found[0]


def trays_weighed(session: Session, run: RunWhole) -> list[Entry]:
    """The check-weights that stand, in the order they were taken: one a tray, and as many as were typed."""
    found = _entries(session, run, (col(RunEvent.run_id) == run.id) & (col(RunEvent.kind) == TRAY_WEIGHED), None)
    return [each for each in reversed(found) if isinstance(each.event, TrayWeighed) and not each.taken_back]


def entry_of_key(session: Session, entry_key: str) -> RunEvent | None:
    """What was stored from a tap or form with this key."""
    return session.exec(select(RunEvent).where(RunEvent.entry_key == entry_key)).first()


def _entries(session: Session, run: RunWhole, where: ColumnElement[bool], most: int | None) -> list[Entry]:
    corrected = aliased(RunEvent)
    query = (
        select(RunEvent, corrected, PersonRow)
        .join(corrected, col(corrected.id) == RunEvent.corrects_id, isouter=True)
        .join(PersonRow, col(PersonRow.id) == RunEvent.by_id)
        .where(where)
        .order_by(col(RunEvent.number).desc())
        .limit(most)
    )
    rows = session.exec(query).all()
    mine = [row for row, _, _ in rows]
    back = _taken_back(session, [row.id or 0 for row in mine])
    breaks = {each.number: each.breaks for each in run.state.stretches}
    beside = beside_of(session, mine, breaks)
    return [
        Entry(
            row.id or 0,
            row.number,
            event_of(row, beside, of),
            Doer(by.name, by.grower_id),
            back.get(row.id or 0, 0),
        )
        for row, of, by in rows
    ]


def _taken_back(session: Session, ids: Collection[int]) -> dict[int, int]:
    query = (
        sqlalchemy.select(col(RunEvent.corrects_id), func.sum(func.coalesce(col(RunEvent.trays), 1)))
        .where(col(RunEvent.corrects_id).in_(ids))
        .group_by(col(RunEvent.corrects_id))
    )
    return {corrects_id: int(taken) for corrects_id, taken in session.execute(query)}
