"""Every change of a record written down as it happens, by the session itself, so that no action can forget it.

A session that may change records is told by whom (``act_as``). On flush each new or changed row of a recorded table
(:mod:`.nouns`) leaves a :class:`~.tables.Change` in the same transaction. A change nobody answers for is an error, not
a gap. What an action knows beyond the columns, and why, it says by ``tell``. What is stored by plain statements, past
the session's own objects, must call ``note`` itself; only measured fruit is, whose facts never change and whose voiding
is such a call.
"""

import json
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, event, inspect, or_
from sqlalchemy.orm import InstanceState, UOWTransaction
from sqlalchemy.orm.attributes import flag_dirty
from sqlmodel import Session, SQLModel, col, select

from shedgrade.domain.people import Doer
from shedgrade.storage.nouns import NOT_TOLD, NOUNS, SECRETS, WRITTEN_ONCE
from shedgrade.storage.tables import Change, PersonRole, PersonRow, SpecConfirmation, SpecRetirement, Tablet

_ACTOR, _MORE = "actor", "told besides"


@dataclass(frozen=True, slots=True)
class Actor:
    """Who changes something, on which device, at what time; ``person_id`` None is the program itself."""

    person_id: int | None
    device: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Told:
    """One change as it is told: the columns before and after, who made it (with the grower they speak for), and why.

    ``person_id`` None is the program itself.
    """

    at: datetime
    by: str
    device: str
    noun: str
    row_id: int
    deed: str
    before: Mapping[str, Any]
    after: Mapping[str, Any]
    why: str
    person_id: int | None = None
    by_grower_id: int | None = None
    on_tablet: bool = False

    @property
    def doer(self) -> Doer:
        """Who made it, to be told to somebody."""
        return Doer(self.by, self.by_grower_id)

    @property
    def where(self) -> str:
        """The device as it stands in a sentence: "on Bench tablet 1", "in Firefox on Windows"; "" for none."""
        return f"{'on' if self.on_tablet else 'in'} {self.device}" if self.device else ""


@dataclass(frozen=True, slots=True)
class _More:
    """What is told of a row's next change besides its columns."""

    before: Mapping[str, Any] = field(default_factory=dict)
    after: Mapping[str, Any] = field(default_factory=dict)
    why: str = ""


class NobodyActsError(RuntimeError):
    """A session changed a record without being told by whom."""


class WrittenOnceError(RuntimeError):
    """A session changed a row that goes with another and is never changed."""


def act_as(session: Session, actor: Actor) -> None:
    """From now on this session's changes are this person's."""
    session.info[_ACTOR] = actor


def act_as_nobody(session: Session) -> None:
    """Until it is told by whom, this session may not change a record."""
    session.info.pop(_ACTOR, None)


def tell(row: SQLModel, *, before: Mapping[str, Any] | None = None, why: str = "", **after: Any) -> None:
    """Say of a row that is about to be stored what its columns do not: what goes with it, and why it is changed. It is
    told also if no column changes."""
    state = _state(row)
    state.info[_MORE] = _More(before or {}, after, why)
    if state.persistent:
        flag_dirty(row)


def note(session: Session, noun: str, row_id: int, after: Mapping[str, Any], *, deed: str, why: str = "") -> None:
    """Write down a change made past the session's own objects."""
    session.add(_change(_actor_of(session), (noun, row_id), deed, _More({}, after, why)))


def changes_of(
    session: Session, of: Iterable[tuple[str, int]], *, most: int | None = None, skip: int = 0
) -> list[Told]:
    """The history of some rows, each named by noun and id, the newest first; at most so many, after some skipped."""
    ids: dict[str, list[int]] = {}
    for noun, row_id in of:
        ids.setdefault(noun, []).append(row_id)
    if not ids:
        return []
    where = [(col(Change.noun) == noun) & col(Change.row_id).in_(some) for noun, some in ids.items()]
    return _read(session, or_(*where), most, skip)


def changes_in(session: Session, nouns: Collection[str], *, most: int | None = None, skip: int = 0) -> list[Told]:
    """The history of every row of these nouns, the newest first."""
    return _read(session, col(Change.noun).in_(nouns), most, skip)


def last_change(session: Session, noun: str, row_id: int) -> Told | None:
    """The newest change of a row: who saved it, and when."""
    return next(iter(changes_of(session, [(noun, row_id)], most=1)), None)


def _read(session: Session, where: ColumnElement[bool], most: int | None, skip: int) -> list[Told]:
    on_tablet = select(Tablet.id).where(Tablet.name == Change.device).exists()
    query = (
        select(Change, PersonRow.name, PersonRow.grower_id, on_tablet)
        .join(PersonRow, col(PersonRow.id) == Change.person_id, isouter=True)
        .where(where)
        .order_by(col(Change.at).desc(), col(Change.id).desc())
        .offset(skip)
        .limit(most)
    )
    return [_told(*row) for row in session.exec(query)]


def _told(change: Change, name: str | None, grower_id: int | None, on_tablet: bool) -> Told:  # noqa: FBT001
    before, after = (json.loads(text) if text else {} for text in (change.before, change.after))
    return Told(
        change.at,
        name or "shedgrade itself",
        change.device,
        change.noun,
        change.row_id,
        change.deed,
        before,
        after,
        change.why,
        change.person_id,
        grower_id,
        on_tablet,
    )


@event.listens_for(Session, "after_flush")
def _write_down(session: Session, _flush: UOWTransaction) -> None:
    """After the flush, when new rows have their ids; what is added here goes out with the next flush."""
    for row in (*session.dirty, *session.deleted):
        if type(row) in WRITTEN_ONCE and (row in session.deleted or session.is_modified(row)):
            raise WrittenOnceError(type(row).__name__)
    rows = (*session.new, *session.dirty, *session.deleted)
    changes = [change for row in rows if (change := _change_of(session, row)) is not None]
    if changes:
        session.add_all(changes)


def _change_of(session: Session, row: SQLModel) -> Change | None:
    noun = NOUNS.get(type(row))
    if noun is None:
        return None
    more: _More = _state(row).info.pop(_MORE, _More())
    if row in session.deleted:
        return _change(_actor_of(session), (noun, _row_id(row)), "removed", _More(_filled(row), {}, more.why))
    if row in session.new:
        return _change(_actor_of(session), (noun, _row_id(row)), "added", _joined({}, _filled(row), more))
    told = _joined(*_difference(row), more)
    return _change(_actor_of(session), (noun, _row_id(row)), "changed", told) if told.after else None


def _difference(row: SQLModel) -> tuple[dict[str, Any], dict[str, Any]]:
    """The columns that changed, as they were and as they are."""
    before: dict[str, Any] = {}
    after: dict[str, Any] = {}
    for attribute in _state(row).attrs:
        history = attribute.history
        if attribute.key in NOT_TOLD or not history.has_changes():
            continue
        old, new = (next(iter(side), None) for side in (history.deleted, history.added))
        if old != new:
            before[attribute.key], after[attribute.key] = _plain(attribute.key, old), _plain(attribute.key, new)
    return before, after


def _filled(row: SQLModel) -> dict[str, Any]:
    """The columns that say something; an empty password is no password."""
    values = {each.key: _plain(each.key, each.value) for each in _state(row).attrs if each.key not in NOT_TOLD}
    return {key: value for key, value in values.items() if value not in (None, "")}


def _joined(before: Mapping[str, Any], after: Mapping[str, Any], more: _More) -> _More:
    return _More({**before, **more.before}, {**after, **more.after}, more.why)


def _row_id(row: SQLModel) -> int:
    if isinstance(row, PersonRole):
        return row.person_id
    if isinstance(row, SpecRetirement | SpecConfirmation):
        return row.spec_version_id
    return int(row.id)  # type: ignore[attr-defined]


def _plain(column: str, value: Any) -> Any:
    """A value as JSON holds it; of a secret only whether there is one."""
    if column in SECRETS:
        return "new" if value else ""
    return value.isoformat() if isinstance(value, date) else value


def _state(row: SQLModel) -> InstanceState[SQLModel]:
    state: InstanceState[SQLModel] = inspect(row)
    return state


def _actor_of(session: Session) -> Actor:
    actor = session.info.get(_ACTOR)
    if not isinstance(actor, Actor):
        raise NobodyActsError
    return actor


def _change(actor: Actor, row: tuple[str, int], deed: str, told: _More) -> Change:
    return Change(
        at=actor.at,
        person_id=actor.person_id,
        device=actor.device,
        noun=row[0],
        row_id=row[1],
        deed=deed,
        before=json.dumps(told.before) if told.before else "",
        after=json.dumps(told.after) if told.after else "",
        why=told.why,
    )
