"""Taking in what a tablet kept: each entry by itself, so that one that cannot be stored never holds up the others.

Who may hand in whose: fruit of one's own from anywhere. Fruit of somebody else only on a tablet of the shed, or in a
tablet's file, by who may grade, and of who may grade; of who has left or no longer grades, by who keeps the people. The
books say who measured and who sent. Whom the tablet means is known by id and name: a server restored from a backup may
have given the id to somebody else.
"""

import logging
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, field
from datetime import datetime
from typing import Any

from sqlmodel import Session

from shedgrade.actions import samples as actions
from shedgrade.actions.samples import Capture, EntryKeyTakenError, FruitEntry, VoidedAlreadyError
from shedgrade.domain.fruit_entry import FruitMistakes, FruitReader
from shedgrade.domain.people import Deed, Person
from shedgrade.domain.sign_in import name_key
from shedgrade.reports.sample import rules_of
from shedgrade.storage import bench, people
from shedgrade.storage.captures import capture_of
from shedgrade.storage.history import Actor, act_as
from shedgrade.storage.missing import MissingError
from shedgrade.web.bench_page import closed
from shedgrade.web.bench_view import facts_words, fruit_words
from shedgrade.web.clock import Clock
from shedgrade.web.entries import SentEntry, shifted
from shedgrade.web.fruit_form import by_form_field, typed_fruit
from shedgrade.web.ids import row_id
from shedgrade.web.saved_fruit import save_and_commit
from shedgrade.web.undoing import NOT_YOURS, may_undo_as_captured

log = logging.getLogger("shedgrade")

STORED, HAD_ALREADY = "stored", "had already"
REFUSED, DIFFERS, NOT_YOURS_TO_SEND, CLOSED, AGAIN = "refused", "differs", "not yours", "closed", "again"
_ANOTHER = (
    "This sample is not there any more. The server may have been set back to a backup: choose where the fruit goes."
)
_FAULT = "The shed's computer met a fault over this one. It stays on the tablet and is sent again."


@dataclass(frozen=True, slots=True)
class Sender:
    """Who is signed in where the entries come from: on which of the shed's tablets, if on one; the sum of the file they
    came in, "" for none. ``device`` is what people call it."""

    person: Person
    device: str
    tablet_id: int | None
    file_sha256: str = ""

    @property
    def for_others(self) -> bool:
        """Whether fruit of somebody else may come this way."""
        return self.tablet_id is not None or bool(self.file_sha256)


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of one entry, under its own id. ``says`` is the sentence for a person; ``errors`` are by the form's
    fields; ``stands`` and ``holds`` are both sides of one that differs. The last six are the words of a stored fruit,
    as the bench says them (``web/bench_view.py`` FruitWords)."""

    key: str
    answer: str
    says: str = ""
    errors: Mapping[str, str] = field(default_factory=dict)
    meant: str = ""
    stands: str = ""
    holds: str = ""
    fruit: int = 0
    number: int = 0
    draw: int = 0
    class_word: str = ""
    facts: str = ""
    sizes_and_count: str = ""
    line: str = ""
    why: tuple[tuple[str, str], ...] = ()
    not_judged: tuple[str, ...] = ()

    @property
    def told(self) -> dict[str, Any]:
        """The answer as the tablet reads it."""
        return asdict(self)

    @property
    def is_here(self) -> bool:
        """Whether the server has it."""
        return self.answer in {STORED, HAD_ALREADY}


class _RefusedError(Exception):
    """One entry is not taken; gives the kind of answer and the sentence."""

    def __init__(self, answer: str, says: str) -> None:
        super().__init__(says)
        self.answer, self.says = answer, says


def take_in(session: Session, sender: Sender, clock: Clock, entries: Iterable[SentEntry]) -> list[Answer]:
    """Store each entry in a transaction of its own, in the order sent; an answer for each."""
    return [_taken(session, sender, clock, entry) for entry in entries]


def _taken(session: Session, sender: Sender, clock: Clock, entry: SentEntry) -> Answer:
    try:
        return _stored(session, sender, clock, entry)
    except _RefusedError as refused:
        answer = Answer(entry.key, refused.answer, refused.says)
    except Exception:  # whatever it is, the entries behind it are not to wait for it
        log.exception("an entry of a tablet could not be stored: %s", entry.key)
        answer = Answer(entry.key, AGAIN, _FAULT)
    session.rollback()
    return answer


def _stored(session: Session, sender: Sender, clock: Clock, entry: SentEntry) -> Answer:
    if entry.wrong:
        raise _RefusedError(REFUSED, entry.wrong)
    person = _who_captured(session, sender, entry)
    now = clock.now()
    act_as(session, Actor(person.id, sender.device, now))
    if entry.voids:
        return _voided(session, sender, clock, entry, person)
    return _saved(session, sender, entry, person, now, shifted(entry.captured_at, clock.shift))


def _who_captured(session: Session, sender: Sender, entry: SentEntry) -> Person:
    """Whoever measured it, where this sender may hand it in for them."""
    name = entry.person_name or "somebody"
    own = entry.person_id == sender.person.id
    if not own and not sender.for_others:
        raise _RefusedError(NOT_YOURS_TO_SEND, f"{name} measured this, and has to sign in here to send it.")
    try:
        whole = people.person_whole(session, entry.person_id)
    except MissingError:
        raise _RefusedError(NOT_YOURS_TO_SEND, f"The books have no {name} any more. Say who measured it.") from None
    if name_key(whole.person.name) != name_key(entry.person_name):
        raise _RefusedError(NOT_YOURS_TO_SEND, f"The books know {name} by another name. Say who measured it.")
    if not own and not (whole.row.active and whole.person.may(Deed.GRADE)) and not sender.person.may(Deed.KEEP_PEOPLE):
        raise _RefusedError(NOT_YOURS_TO_SEND, f"{name} does not grade here any more. A shed manager can send this.")
    return whole.person


def _saved(
    session: Session, sender: Sender, entry: SentEntry, person: Person, now: datetime, captured: datetime | None
) -> Answer:
    try:
        sample = bench.bench_sample(session, entry.sample_id, lock=True)
    except MissingError:
        raise _RefusedError(CLOSED, _ANOTHER) from None
    if not sample.bears(entry.sample_mark):
        raise _RefusedError(CLOSED, _ANOTHER)
    if sample.origin != "bench":
        raise _RefusedError(CLOSED, "This sample came from a file and takes no fruit from the bench.")
    if (why := closed(sample)) and bench.fruit_of_key(session, entry.key) is None:
        raise _RefusedError(CLOSED, why)
    rules = rules_of(session, sample)
    spec = rules.spec
    try:
        fruit, code = FruitReader.at_the_bench(spec, rules.load).read(typed_fruit(entry.fields))
        place = row_id(entry.fields.get("draw", "")), row_id(entry.fields.get("bin", ""))
        capture = Capture(sender.person.id, sender.tablet_id, captured, sender.file_sha256)
        new = FruitEntry(fruit, code, entry.key, person.id, now, *place, capture=capture)
        saved = save_and_commit(session, sample, rules, new, person.doer)
    except FruitMistakes as mistakes:
        session.rollback()
        return Answer(entry.key, REFUSED, str(mistakes), by_form_field(mistakes, spec), mistakes.meant)
    except EntryKeyTakenError as taken:
        session.rollback()
        stands, holds = (facts_words(each, spec.crop) for each in (taken.stored.fruit, fruit))
        says = f"Under this id fruit {taken.stored.number} was stored before, and it is another one."
        return Answer(entry.key, DIFFERS, says, stands=stands, holds=holds, fruit=taken.stored.id)
    words = fruit_words(saved.row, spec)
    return Answer(
        entry.key,
        STORED if saved.stored.is_new else HAD_ALREADY,
        fruit=saved.stored.fruit_id,
        number=saved.stored.number,
        draw=saved.stored.draw.id,
        class_word=words.class_word,
        facts=words.facts,
        sizes_and_count=words.sizes_and_count,
        line=words.line,
        why=words.why,
        not_judged=words.not_judged,
    )


def _voided(session: Session, sender: Sender, clock: Clock, entry: SentEntry, person: Person) -> Answer:
    fruit = bench.fruit_of_key(session, entry.voids)
    if fruit is None:
        raise _RefusedError(AGAIN, "The fruit that this voids is not stored yet.")
    if entry.reason == actions.UNDONE and fruit.voided is None and not _may_undo(session, clock, entry, fruit, person):
        raise _RefusedError(REFUSED, NOT_YOURS)
    try:
        is_new = actions.void_fruit(
            session, fruit.id, entry.reason, person.id, clock.now(), sent_by_id=sender.person.id
        )
    except VoidedAlreadyError as before:
        session.rollback()
        stands = before.stored.voided.reason if before.stored.voided else ""
        says = f"Fruit {fruit.number} was voided before, for another reason."
        return Answer(entry.key, DIFFERS, says, stands=stands, holds=entry.reason, fruit=fruit.id, number=fruit.number)
    session.commit()
    return Answer(entry.key, STORED if is_new else HAD_ALREADY, fruit=fruit.id, number=fruit.number)


def _may_undo(session: Session, clock: Clock, entry: SentEntry, fruit: bench.MeasuredFruit, person: Person) -> bool:
    capture = capture_of(session, fruit.id)
    measured = capture.captured_at if capture else None
    return may_undo_as_captured(fruit, person, clock, measured, shifted(entry.captured_at, clock.shift))
