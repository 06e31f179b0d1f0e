"""Which bin each draw came from, and what each sample was drawn for: read for many consignments at once."""

from collections.abc import Collection

from sqlmodel import Session, col, select

from shedgrade.storage.tables import Draw, Sample


def bins_of_draws(session: Session, consignment_ids: Collection[int]) -> dict[int, int | None]:
    """By draw id, the bin it came from; None where nobody said which bin."""
    query = select(Draw.id, Draw.bin_id).join(Sample).where(col(Sample.consignment_id).in_(consignment_ids))
    return {draw_id or 0: bin_id for draw_id, bin_id in session.exec(query)}


def samples_of_all(session: Session, consignment_ids: Collection[int]) -> list[Sample]:
    """Every sample of these consignments that was not voided, oldest first."""
    stand = (col(Sample.consignment_id).in_(consignment_ids), col(Sample.voided_at).is_(None))
    return list(session.exec(select(Sample).where(*stand).order_by(col(Sample.id))))
