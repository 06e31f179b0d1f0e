"""The trays of a run by class and half hour, read on from what was read before: a look costs what was entered since."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime

import sqlalchemy
from sqlalchemy import func
from sqlalchemy.orm import aliased
from sqlmodel import Session, col

from shedgrade.domain.run.drift import PERIOD
from shedgrade.storage.tables import RunEvent

_KIND = "trays"


@dataclass(frozen=True, slots=True)
class Mix:
    """Trays by class for each half hour by when it began, as they stood with entry number ``upto``.

    Entries are only ever added, and a counter-entry counts in the half hour of what it takes back, so that reading on
    gives what reading anew would."""

    upto: int = 0
    trays: Mapping[datetime, Mapping[str, int]] = field(default_factory=dict)


def mix_of(session: Session, run_id: int, known: Mix) -> Mix:
    """What is ``known``, and what was entered since."""
    of_run = col(RunEvent.run_id) == run_id
    newest = session.execute(sqlalchemy.select(func.max(col(RunEvent.number))).where(of_run)).scalar()
    if not newest or newest <= known.upto:
        return known
    found = {began: dict(counted) for began, counted in known.trays.items()}
    taken_back = aliased(RunEvent)
    query = (
        sqlalchemy.select(col(RunEvent.at), col(RunEvent.class_id), col(RunEvent.trays), col(taken_back.at))
        .join(taken_back, col(taken_back.id) == RunEvent.corrects_id, isouter=True)
        .where(of_run, col(RunEvent.number) > known.upto, col(RunEvent.kind) == _KIND)
    )
    for at, class_id, trays, first_at in session.execute(query):
        counted = found.setdefault(half_hour(first_at or at), {})
        counted[class_id] = counted.get(class_id, 0) + (-trays if first_at else trays)
    return Mix(newest, found)


def half_hour(at: datetime) -> datetime:
    """When the half hour of this moment began."""
    return at - (at - datetime.min.replace(tzinfo=at.tzinfo)) % PERIOD
