"""The shed's rules as they stand on a day."""

from datetime import date

import sqlalchemy
from sqlmodel import Session, SQLModel, col, select

from shedgrade.domain.settings import Rule
from shedgrade.storage.tables import SettingRow


def in_force(session: Session, rule: Rule, day: date) -> int:
    """The value of a rule on a day: the latest stored that has begun, else its default."""
    found = session.connection().execute(_IN_FORCE, {"key": rule.key, "day": day}).first()
    return rule.default if found is None else int(found[0])


def rows_of(session: Session, rule: Rule) -> list[SettingRow]:
    """What was stored for a rule, the latest first."""
    query = select(SettingRow).where(SettingRow.key == rule.key)
    return list(session.exec(query.order_by(col(SettingRow.valid_from).desc(), col(SettingRow.id).desc())))


# Built once and on the table: a tablet's every request asks it.
_SETTING = SQLModel.metadata.tables["setting"]
_IN_FORCE = (
    sqlalchemy.select(_SETTING.c.value)
    .where(_SETTING.c.key == sqlalchemy.bindparam("key"), _SETTING.c.valid_from <= sqlalchemy.bindparam("day"))
    .order_by(_SETTING.c.valid_from.desc(), _SETTING.c.id.desc())
    .limit(1)
)
