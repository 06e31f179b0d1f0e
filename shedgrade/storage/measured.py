"""What was measured at the bench, as the history tells it: not fruit by fruit, but who measured which on a day."""

from collections.abc import Callable, Collection, Sequence
from datetime import date, datetime
from itertools import groupby
from typing import Any

import sqlalchemy
from sqlmodel import Session, col

from shedgrade.storage.history import Told
from shedgrade.storage.tables import FruitRow, PersonRow, Sample


def measured(session: Session, sample_ids: Collection[int], day: Callable[[datetime], date]) -> list[Told]:
    """For each sample, day and person one change, made when the last of the fruit was done; ``day`` tells a moment's
    day in the shed. No change is kept of a measured fruit, which says itself by whom and when; what a file brought is
    told with the file."""
    query = (
        sqlalchemy.select(
            col(FruitRow.sample_id),
            col(FruitRow.measured_by_id),
            col(FruitRow.measured_at),
            col(FruitRow.number),
            col(FruitRow.id),
            col(PersonRow.name),
            col(PersonRow.grower_id),
        )
        .join(PersonRow, col(PersonRow.id) == FruitRow.measured_by_id)
        .join(Sample, col(Sample.id) == FruitRow.sample_id)
        .where(col(Sample.id).in_(sample_ids), col(Sample.origin) == "bench")
        .order_by(col(FruitRow.number))
    )

    def run(row: Sequence[Any]) -> tuple[int, int, date]:
        return row[0], row[1], day(row[2])

    rows = sorted(session.execute(query), key=run)
    return [_told(list(some)) for _, some in groupby(rows, key=run)]


def _told(rows: Sequence[Sequence[Any]]) -> Told:
    _, person_id, at, number, fruit_id, name, grower_id = rows[-1]
    after = {"first": rows[0][3], "last": number, "count": len(rows)}
    return Told(at, name, "", "fruit", fruit_id, "measured", {}, after, "", person_id, grower_id)
