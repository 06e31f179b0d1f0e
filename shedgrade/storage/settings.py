"""The shed's rules as they stand on a day."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, TypeVar

import sqlalchemy
from sqlmodel import Session, SQLModel, col, func, select

from shedgrade.domain.settings import KEEPING_YEARS, Rule, years_after
from shedgrade.storage.tables import PersonRow, SettingRow

V = TypeVar("V")


@dataclass(frozen=True, slots=True)
class SetValue:
    """A value stored for a rule, and who stored it. ``replaced`` by one entered later for the same day."""

    row: SettingRow
    by: str
    replaced: bool


def in_force(session: Session, rule: Rule[V], day: date) -> V:
    """The value of a rule on a day: the latest stored that has begun, else its default."""
    found = session.connection().execute(_IN_FORCE, {"key": rule.key, "day": day}).first()
    return rule.default if found is None else rule.read(found[0])


def values_of(session: Session, rule: Rule[Any]) -> list[SetValue]:
    """What was stored for a rule, the latest day first; of one day, what was entered last."""
    query = (
        select(SettingRow, PersonRow.name)
        .join(PersonRow, col(PersonRow.id) == SettingRow.set_by_id)
        .where(SettingRow.key == rule.key)
        .order_by(col(SettingRow.valid_from).desc(), col(SettingRow.id).desc())
    )
    values: list[SetValue] = []
    for row, name in session.exec(query):
        replaced = bool(values) and values[-1].row.valid_from == row.valid_from
        values.append(SetValue(row, name, replaced))
    return values


def version_of(session: Session, rule: Rule[Any]) -> int:
    """How often a rule was set, and one: what a form for it was opened at."""
    query = select(func.count()).select_from(SettingRow).where(SettingRow.key == rule.key)
    return session.exec(query).one() + 1


def kept_until(session: Session, moment: datetime) -> date:
    """The day before which a trading record made at ``moment``, in the shed's own time, is not deleted.

    The longest of the keeping times in force on that day and set for later ones: a rule made shorter afterwards
    shortens nothing that was promised.
    """
    made = moment.date()
    values = values_of(session, KEEPING_YEARS)
    later = [KEEPING_YEARS.read(value.row.value) for value in values if _counts_after(value, made)]
    return years_after(made, max([in_force(session, KEEPING_YEARS, made), *later]))


def _counts_after(value: SetValue, day: date) -> bool:
    return not value.replaced and value.row.valid_from > day


# Built once and on the table: a tablet's every request asks it.
_SETTING = SQLModel.metadata.tables["setting"]
_IN_FORCE = (
    sqlalchemy.select(_SETTING.c.value)
    .where(_SETTING.c.key == sqlalchemy.bindparam("key"), _SETTING.c.valid_from <= sqlalchemy.bindparam("day"))
    .order_by(_SETTING.c.valid_from.desc(), _SETTING.c.id.desc())
    .limit(1)
)
