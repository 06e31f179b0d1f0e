"""Storing one fruit with what the bench says of it: the one way, for a form sent at once and for a tablet's keeping."""

from dataclasses import dataclass

from sqlmodel import Session

from shedgrade.actions import samples as actions
from shedgrade.actions.samples import FruitEntry, Stored
from shedgrade.domain.people import Doer
from shedgrade.reports.sample import GradedRow, Rules, Tally, judged, keep_tally, tally_of
from shedgrade.storage.bench import BenchSample, MeasuredFruit


@dataclass(frozen=True, slots=True)
class SavedFruit:
    """A fruit that is stored, as it is judged; the sample's tally with it, None where the fruit had been stored before
    and so was counted."""

    stored: Stored
    row: GradedRow
    tally: Tally | None


def save_and_commit(
    session: Session, sample: BenchSample, rules: Rules, entry: FruitEntry, measured_by: Doer
) -> SavedFruit:
    """Store one fruit of a sample that was loaded with its lock, and commit; EntryKeyTakenError. Where it was stored
    before nothing changes."""
    before = tally_of(session, sample, rules)
    stored = actions.save_fruit(session, sample, entry)
    row = GradedRow(_measured(sample, entry, stored, measured_by), judged(rules, entry.fruit, entry.size_code))
    if not stored.is_new:
        session.rollback()  # to find a draw for it may have gone to another bin
        return SavedFruit(stored, row, None)
    tally = before.plus(row.verdict.class_id, stored.draw.id)
    session.commit()
    keep_tally(session, sample, tally)
    return SavedFruit(stored, row, tally)


def _measured(sample: BenchSample, entry: FruitEntry, stored: Stored, measured_by: Doer) -> MeasuredFruit:
    return MeasuredFruit(
        id=stored.fruit_id,
        number=stored.number,
        sample_id=sample.id,
        draw_id=stored.draw.id,
        draw_name=stored.draw.name,
        fruit=entry.fruit,
        size_code=entry.size_code,
        measured_by=measured_by,
        measured_by_id=entry.person_id,
        measured_at=entry.at,
        voided=None,
        entry_key=entry.entry_key,
    )
