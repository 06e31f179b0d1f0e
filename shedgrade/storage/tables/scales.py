"""Scales that are paired with a bench: a tablet of the shed, or the browser of somebody's sign-in."""

from datetime import datetime

from sqlalchemy import CheckConstraint, UniqueConstraint
from sqlmodel import Field, SQLModel

from shedgrade.storage.tables.columns import moment, to

_ONE_BENCH = "(tablet_id IS NULL) <> (sign_in_id IS NULL)"


class PairingCode(SQLModel, table=True):
    """A code that a bench shows for some minutes; whoever types it at a scale pairs that scale with the bench."""

    __tablename__ = "pairing_code"
    __table_args__ = (CheckConstraint(_ONE_BENCH, "one_bench"),)

    code: str = Field(primary_key=True)
    tablet_id: int | None = to("tablet.id", index=False, default=None)
    sign_in_id: int | None = to("sign_in.id", index=False, default=None)
    until: datetime = moment()
    asked_by_id: int = to("person.id", index=False)


class Scale(SQLModel, table=True):
    """A scale paired with a bench, until it is ended. Only the hash of what its machine holds is kept."""

    __tablename__ = "scale"
    __table_args__ = (
        CheckConstraint("length(name) > 0", "named"),
        CheckConstraint(_ONE_BENCH, "one_bench"),
        CheckConstraint("ended_at IS NOT NULL OR ended_by_id IS NULL", "ending_person_with_time"),
    )

    id: int | None = Field(default=None, primary_key=True)
    name: str
    token_sha256: str = Field(unique=True)
    tablet_id: int | None = to("tablet.id", default=None)
    sign_in_id: int | None = to("sign_in.id", default=None)
    paired_at: datetime = moment()
    paired_by_id: int = to("person.id", index=False)
    ended_at: datetime | None = moment(default=None)
    ended_by_id: int | None = to("person.id", index=False, default=None)


class ScaleReading(SQLModel, table=True):
    """What a scale sent, for half a day: no record, it becomes one with its fruit. ``number`` counts in one ``run`` of
    the machine at the scale, so that a reading sent twice is kept once. ``waits``: it came late, and a person says
    which fruit it was; ``done_at``: they did."""

    __tablename__ = "scale_reading"
    __table_args__ = (
        UniqueConstraint("scale_id", "run", "number"),
        CheckConstraint("weight_dg > 0", "has_weight"),
        CheckConstraint("number > 0", "counts_from_one"),
        CheckConstraint("waits OR done_at IS NULL", "only_waiting_is_done"),
    )

    id: int | None = Field(default=None, primary_key=True)
    scale_id: int = to("scale.id")
    run: str
    number: int
    weight_dg: int
    read_at: datetime = moment()
    waits: bool = False
    done_at: datetime | None = moment(default=None)
