"""Starting and voiding samples, and storing measured fruit one at a time."""

from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import update
from sqlalchemy.dialects import postgresql, sqlite
from sqlmodel import Session, SQLModel, col

from shedgrade.actions import draws
from shedgrade.actions.voiding import void
from shedgrade.domain.grading.facts import Defect, Fruit
from shedgrade.domain.sampling.question import Question
from shedgrade.storage.bench import BenchSample, MeasuredFruit, OpenDraw, draw_of, fruit_of_key, fruit_with
from shedgrade.storage.history import note
from shedgrade.storage.missing import MissingError
from shedgrade.storage.samples import states_text
from shedgrade.storage.tables import FruitRow, Sample

UNDONE = "undone at the bench"


class EntryKeyTakenError(Exception):
    """The form was stored before with other content; ``stored`` is what stands."""

    def __init__(self, stored: MeasuredFruit) -> None:
        """Give what stands."""
        super().__init__(stored.number)
        self.stored = stored


class VoidedAlreadyError(Exception):
    """The fruit was voided before, for another reason; ``stored`` is what stands."""

    def __init__(self, stored: MeasuredFruit) -> None:
        """Give what stands."""
        super().__init__(stored.number)
        self.stored = stored


@dataclass(frozen=True, slots=True)
class Capture:
    """How a fruit came that was kept on a tablet first: who sent it, on which of the shed's tablets, if on one, when it
    was measured by that tablet's own clock, if that told a time, and the sum of the file it came in, "" for none."""

    sent_by_id: int
    tablet_id: int | None
    at: datetime | None
    file_sha256: str = ""


@dataclass(frozen=True, slots=True)
class FruitEntry:
    """A fruit about to be stored: as measured, from which form, by whom and when it came. ``draw_id`` None is the draw
    gone to last; ``bin_id`` is the bin the form named, if it named one; ``capture`` None is a form sent at once."""

    fruit: Fruit
    size_code: str | None
    entry_key: str
    person_id: int
    at: datetime
    draw_id: int | None = None
    bin_id: int | None = None
    capture: Capture | None = None


@dataclass(frozen=True, slots=True)
class Stored:
    """A fruit that stands in the database; ``is_new`` False if this very form had stored it before."""

    fruit_id: int
    number: int
    draw: OpenDraw
    is_new: bool


def start_sample(
    session: Session, consignment_id: int, question: Question, tray_type_id: int | None, person_id: int, now: datetime
) -> Sample:
    """Begin a sample of a consignment; its first draw is opened by its first fruit, or by ``next_draw``."""
    sample = Sample(
        consignment_id=consignment_id,
        question=question.value,
        tray_type_id=tray_type_id,
        started_at=now,
        started_by_id=person_id,
    )
    session.add(sample)
    session.flush()
    return sample


def void_sample(session: Session, sample_id: int, reason: str, person_id: int, now: datetime) -> bool:
    """Make all of a sample count no longer; it stays to be seen. Load it with its lock before. False if it was voided
    before, for another reason: that one stands."""
    return void(session, session.get_one(Sample, sample_id), reason, person_id, now)


def save_fruit(session: Session, sample: BenchSample, entry: FruitEntry) -> Stored:
    """Store one fruit of a sample that was loaded with its lock. Sent twice it is stored once; EntryKeyTakenError
    if the first sending held another fruit."""
    draw = _draw_for(session, sample, entry)
    number = sample.fruit + 1
    connection = session.connection()
    statement = _NEW_FRUIT[connection.dialect.name]
    fruit_id = connection.execute(statement, _fruit_values(sample.id, draw.id, number, entry)).scalar_one_or_none()
    if fruit_id is None:
        return _stored_before(session, sample, entry)
    if entry.fruit.defects:
        connection.execute(_NEW_DEFECTS, defect_rows(fruit_id, entry.fruit.defects))
    if entry.fruit.measures:
        connection.execute(_NEW_MEASURES, measure_rows(fruit_id, entry.fruit.measures))
    if entry.capture:
        connection.execute(_NEW_CAPTURE, _capture_values(fruit_id, entry.capture))
    return Stored(fruit_id, number, draw, is_new=True)


def void_fruit(
    session: Session, fruit_id: int, reason: str, person_id: int, now: datetime, *, sent_by_id: int | None = None
) -> bool:
    """Make a fruit count no longer; it stays to be seen. False if it was voided before for the same reason,
    VoidedAlreadyError if for another. ``sent_by_id`` is who sent it for the person, where that was somebody else."""
    voiding = (
        update(FruitRow)
        .where(col(FruitRow.id) == fruit_id, col(FruitRow.voided_at).is_(None))
        .values(voided_at=now, voided_by_id=person_id, void_reason=reason)
        .returning(col(FruitRow.number))
    )
    number = session.execute(voiding).scalar_one_or_none()
    if number is not None:
        told = {"number": number} if sent_by_id in {None, person_id} else {"number": number, "sent_by_id": sent_by_id}
        note(session, "fruit", fruit_id, told, deed="voided", why=reason)
        return True
    stored = fruit_with(session, fruit_id)
    if stored.voided is not None and stored.voided.reason != reason:
        raise VoidedAlreadyError(stored)
    return False


def defect_rows(fruit_id: int, defects: tuple[Defect, ...]) -> list[dict[str, Any]]:
    """The rows of a fruit's defects."""
    return [
        {
            "fruit_id": fruit_id,
            "place": place,
            "kind": defect.kind,
            "area_mm2": defect.area_mm2,
            "share_bp": defect.share_bp,
            "length_dmm": defect.length_dmm,
            "places": defect.places,
            "states": states_text(defect.states),
        }
        for place, defect in enumerate(defects, 1)
    ]


def measure_rows(fruit_id: int, measures: tuple[tuple[str, int], ...]) -> list[dict[str, Any]]:
    """The rows of what else was taken of a fruit."""
    return [{"fruit_id": fruit_id, "measure": measure, "value": value} for measure, value in measures]


def _draw_for(session: Session, sample: BenchSample, entry: FruitEntry) -> OpenDraw:
    """The draw named if it is one of this sample, else the one gone to last, else a new one. Where somebody else has
    moved it on to another bin meanwhile, the bin that the form names counts: the fruit in the hand is from there."""
    draw = sample.draw
    if entry.draw_id and (draw is None or entry.draw_id != draw.id):
        draw = draw_of(session, sample.id, entry.draw_id) or draw
    if entry.bin_id and (draw is None or draw.bin_id != entry.bin_id):
        with suppress(MissingError):
            return draws.go_to_bin(session, sample, entry.bin_id)
    return draw or draws.next_draw(session, sample)


def _fruit_values(sample_id: int, draw_id: int, number: int, entry: FruitEntry) -> dict[str, Any]:
    return {
        "sample_id": sample_id,
        "draw_id": draw_id,
        "number": number,
        "weight_dg": entry.fruit.weight_dg,
        "stage": entry.fruit.stage,
        "size_code": entry.size_code,
        "entry_key": entry.entry_key,
        "measured_at": entry.at,
        "measured_by_id": entry.person_id,
        "void_reason": "",
    }


def _capture_values(fruit_id: int, capture: Capture) -> dict[str, Any]:
    return {
        "fruit_id": fruit_id,
        "tablet_id": capture.tablet_id,
        "captured_at": capture.at,
        "sent_by_id": capture.sent_by_id,
        "file_sha256": capture.file_sha256,
    }


# Built once, on the tables and not the classes: a fruit is stored two to three times as fast. The database itself
# drops a form that comes a second time, whatever else happens at the same moment.
_FRUIT, _DEFECT, _MEASURE, _CAPTURE = (
    SQLModel.metadata.tables[name] for name in ("fruit", "fruit_defect", "fruit_measure", "fruit_capture")
)
_NEW_FRUIT = {
    "sqlite": sqlite.insert(_FRUIT).on_conflict_do_nothing(index_elements=["entry_key"]).returning(_FRUIT.c.id),
    "postgresql": postgresql.insert(_FRUIT).on_conflict_do_nothing(index_elements=["entry_key"]).returning(_FRUIT.c.id),
}
_NEW_DEFECTS = _DEFECT.insert()
_NEW_MEASURES = _MEASURE.insert()
_NEW_CAPTURE = _CAPTURE.insert()


def _stored_before(session: Session, sample: BenchSample, entry: FruitEntry) -> Stored:
    stored = fruit_of_key(session, entry.entry_key)
    assert stored is not None
    if (stored.sample_id, stored.size_code, *_facts(stored.fruit)) != (
        sample.id,
        entry.size_code,
        *_facts(entry.fruit),
    ):
        raise EntryKeyTakenError(stored)
    draw = draw_of(session, sample.id, stored.draw_id)
    assert draw is not None
    return Stored(stored.id, stored.number, draw, is_new=False)


def _facts(fruit: Fruit) -> tuple[object, ...]:
    """What was measured on it; what was looked for is the sample's."""
    return fruit.weight_dg, fruit.stage, fruit.defects, dict(fruit.measures)
