"""What was measured at the bench, as the history tells it: not fruit by fruit, but who measured which in one go."""

from collections.abc import Callable, Collection, Sequence
from datetime import datetime, timedelta
from itertools import groupby, pairwise
from typing import Any

import sqlalchemy
from sqlmodel import Session, col

from shedgrade.storage.history import Told
from shedgrade.storage.tables import FruitRow, PersonRow, Sample

# Our own choice: whoever lays a longer break between two fruit was at other work meanwhile.
LONGEST_BREAK = timedelta(minutes=30)


def measured(session: Session, sample_ids: Collection[int], local: Callable[[datetime], datetime]) -> list[Told]:
    """For each sample, day, person and run without a longer break one change, made when the last of the fruit was done;
    ``local`` tells a moment in the shed's own time. No change is kept of a measured fruit, which says itself by whom
    and when; what a file brought is told with the file."""
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
        .order_by(col(FruitRow.measured_at), col(FruitRow.number))
    )

    def who(row: Sequence[Any]) -> tuple[int, int]:
        return row[0], row[1]

    by_person = groupby(sorted(session.execute(query), key=who), key=who)
    return [_told(run, local) for _, rows in by_person for run in _runs(list(rows), local)]


def _runs(rows: list[Sequence[Any]], local: Callable[[datetime], datetime]) -> list[list[Sequence[Any]]]:
    """What one person measured of one sample, parted at each longer break and each midnight of the shed."""
    runs = [rows[:1]]
    for before, row in pairwise(rows):
        if row[2] - before[2] > LONGEST_BREAK or local(row[2]).date() != local(before[2]).date():
            runs.append([])
        runs[-1].append(row)
    return runs


def _told(rows: Sequence[Sequence[Any]], local: Callable[[datetime], datetime]) -> Told:
    _, person_id, at, _, fruit_id, name, grower_id = rows[-1]
    numbers = [row[3] for row in rows]
    after = {
        "first": min(numbers),
        "last": max(numbers),
        "count": len(rows),
        "began": local(rows[0][2]),
        "ended": local(at),
    }
    return Told(at, name, "", "fruit", fruit_id, "measured", {}, after, "", person_id, grower_id)
