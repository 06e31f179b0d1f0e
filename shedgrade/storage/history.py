"""Every change of a record written down as it happens, by the session itself, so that no action can forget it.

A session that may change records is told by whom (``act_as``). On flush each new or changed row of a recorded table
leaves a :class:`~.tables.Change` in the same transaction. A change nobody answers for is an error, not a gap. What is
stored by plain statements, past the session's own objects, must call ``note`` itself; only measured fruit does, whose
facts never change and whose voiding is such a call.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import event, inspect
from sqlalchemy.orm import UOWTransaction
from sqlmodel import Session, SQLModel, col, select

from shedgrade.storage import tables
from shedgrade.storage.tables import Change, PersonRow

# What stands in the history, and what people call it. Rows that belong to one of these (a bin of a consignment, a price
# of a list) come and go with it and are told by it.
NOUNS: Mapping[type[SQLModel], str] = {
    tables.Grower: "grower",
    tables.Block: "block",
    tables.BinType: "bin type",
    tables.Tare: "tare",
    tables.Docket: "docket",
    tables.Consignment: "consignment",
    tables.EmptiesWeighing: "wet empties",
    tables.Sample: "sample",
    tables.FruitRow: "fruit",
    tables.TrayTypeRow: "tray type",
    tables.Market: "market",
    tables.PriceList: "price list",
    tables.Quote: "quote",
    tables.SpecVersion: "spec",
    tables.PersonRow: "person",
    tables.PersonRole: "role",
    tables.MarketTray: "market tray",
    tables.SettingRow: "setting",
    tables.Tablet: "tablet",
}
_ACTOR = "actor"
_SECRET = frozenset({"password_hash", "pin_hash", "token_sha256"})
_NOT_TOLD = frozenset({"id", "version"})


@dataclass(frozen=True, slots=True)
class Actor:
    """Who changes something, on which device, at what time; ``person_id`` None is the program itself."""

    person_id: int | None
    device: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Told:
    """One change as it is told: the columns before and after, who made it, and why."""

    at: datetime
    by: str
    device: str
    noun: str
    deed: str
    before: Mapping[str, Any]
    after: Mapping[str, Any]
    why: str


class NobodyActsError(RuntimeError):
    """A session changed a record without being told by whom."""


def act_as(session: Session, actor: Actor) -> None:
    """From now on this session's changes are this person's."""
    session.info[_ACTOR] = actor


def act_as_nobody(session: Session) -> None:
    """Until it is told by whom, this session may not change a record."""
    session.info.pop(_ACTOR, None)


def note(session: Session, noun: str, row_id: int, after: Mapping[str, Any], *, deed: str, why: str = "") -> None:  # noqa: PLR0913
    """Write down a change made past the session's own objects."""
    session.add(_change(_actor_of(session), noun, row_id, deed, {}, after, why))


def changes_of(session: Session, of: Iterable[tuple[str, int]]) -> list[Told]:
    """The history of some rows, each named by noun and id, the newest first."""
    found: list[Told] = []
    for noun, row_id in of:
        query = (
            select(Change, PersonRow.name)
            .join(PersonRow, col(PersonRow.id) == Change.person_id, isouter=True)
            .where(Change.noun == noun, Change.row_id == row_id)
        )
        found += [_told(change, name) for change, name in session.exec(query)]
    return sorted(found, key=lambda told: told.at, reverse=True)


def last_change(session: Session, noun: str, row_id: int) -> Told | None:
    """The newest change of a row: who saved it, and when."""
    return next(iter(changes_of(session, [(noun, row_id)])), None)


def _told(change: Change, name: str | None) -> Told:
    before, after = (json.loads(text) if text else {} for text in (change.before, change.after))
    by = name or "shedgrade itself"
    return Told(change.at, by, change.device, change.noun, change.deed, before, after, change.why)


@event.listens_for(Session, "after_flush")
def _write_down(session: Session, _flush: UOWTransaction) -> None:
    """After the flush, when new rows have their ids; what is added here goes out with the next flush."""
    rows = (*session.new, *session.dirty, *session.deleted)
    changes = [change for row in rows if (change := _change_of(session, row)) is not None]
    if changes:
        session.add_all(changes)


def _change_of(session: Session, row: object) -> Change | None:
    noun = NOUNS.get(type(row))  # type: ignore[arg-type]
    if noun is None:
        return None
    if row in session.deleted:
        return _change(_actor_of(session), noun, _row_id(row), "removed", _all_of(row), {}, "")
    before, after = _difference(row)
    if not after:
        return None
    if row in session.new:
        return _change(_actor_of(session), noun, _row_id(row), "added", {}, after, "")
    return _change(_actor_of(session), noun, _row_id(row), "changed", before, after, "")


def _difference(row: object) -> tuple[dict[str, Any], dict[str, Any]]:
    """The columns that changed, as they were and as they are. A secret is told without its value."""
    before: dict[str, Any] = {}
    after: dict[str, Any] = {}
    for attribute in inspect(row).attrs:  # type: ignore[union-attr]
        history = attribute.history
        if attribute.key in _NOT_TOLD or not history.has_changes():
            continue
        old, new = (next(iter(side), None) for side in (history.deleted, history.added))
        if old == new:
            continue
        hidden = attribute.key in _SECRET
        before[attribute.key], after[attribute.key] = (None, "new") if hidden else (_plain(old), _plain(new))
    return before, after


def _all_of(row: object) -> dict[str, Any]:
    return {attribute.key: _plain(attribute.value) for attribute in inspect(row).attrs}  # type: ignore[union-attr]


def _row_id(row: object) -> int:
    """A role is told with its person, a tray a market takes with the market."""
    own = {tables.PersonRole: "person_id", tables.MarketTray: "market_id"}.get(type(row), "id")
    return int(getattr(row, own))


def _plain(value: Any) -> Any:
    return value.isoformat() if isinstance(value, date) else value


def _actor_of(session: Session) -> Actor:
    actor = session.info.get(_ACTOR)
    if not isinstance(actor, Actor):
        raise NobodyActsError
    return actor


def _change(  # noqa: PLR0913 - a change has that many facts
    actor: Actor, noun: str, row_id: int, deed: str, before: Mapping[str, Any], after: Mapping[str, Any], why: str
) -> Change:
    return Change(
        at=actor.at,
        person_id=actor.person_id,
        device=actor.device,
        noun=noun,
        row_id=row_id,
        deed=deed,
        before=json.dumps(before) if before else "",
        after=json.dumps(after) if after else "",
        why=why,
    )
