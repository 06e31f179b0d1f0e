"""Which defects a block has had lately, so that the bench can put their keys first."""

import sqlalchemy
from sqlalchemy import func
from sqlalchemy.orm import aliased
from sqlmodel import Session, col

from shedgrade.storage.tables import Consignment, FruitDefect, FruitRow, Sample

RECENT_SAMPLES = 10


def kinds_seen_before(session: Session, sample_id: int) -> list[str]:
    """The defect kinds found on the block of a sample, in its RECENT_SAMPLES samples before this one, that on most
    fruit first. Fruit measured since this sample was begun is left out, and a void since then changes nothing, so the
    answer stays the same as long as the sample is open."""
    return [kind for (kind,) in session.connection().execute(_SEEN, {"sample_id": sample_id})]


def _statement() -> sqlalchemy.Select[str]:
    this, before, of_this, of_before = aliased(Sample), aliased(Sample), aliased(Consignment), aliased(Consignment)
    begun = col(this.started_at)
    recent = (
        sqlalchemy.select(col(before.id).label("id"), begun.label("begun"))
        .join(of_before, col(of_before.id) == before.consignment_id)
        .join(of_this, col(of_this.block_id) == of_before.block_id)
        .join(this, col(this.consignment_id) == of_this.id)
        .where(
            col(this.id) == sqlalchemy.bindparam("sample_id"),
            col(before.started_at) < begun,
            col(before.voided_at).is_(None) | (col(before.voided_at) >= begun),
        )
        .order_by(col(before.started_at).desc(), col(before.id).desc())
        .limit(RECENT_SAMPLES)
        .subquery()
    )
    return (
        sqlalchemy.select(col(FruitDefect.kind))
        .join(FruitRow, col(FruitRow.id) == FruitDefect.fruit_id)
        .join(recent, recent.c.id == FruitRow.sample_id)
        .where(
            col(FruitRow.measured_at) < recent.c.begun,
            col(FruitRow.voided_at).is_(None) | (col(FruitRow.voided_at) >= recent.c.begun),
        )
        .group_by(col(FruitDefect.kind))
        .order_by(func.count(sqlalchemy.distinct(col(FruitRow.id))).desc(), col(FruitDefect.kind))
    )


_SEEN = _statement()
