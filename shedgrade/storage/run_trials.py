"""The trays weighed first under the breaks of a stretch."""

from sqlalchemy.orm import aliased
from sqlmodel import Session, col, select

from shedgrade.storage.tables import RunEvent


def first_weighed(session: Session, run_id: int, stretch: int, tray_type_id: int, most: int) -> tuple[int, ...]:
    """The net weights in grams of the first ``most`` trays weighed in a stretch, in that order; what was taken back is
    none."""
    back = aliased(RunEvent)
    query = (
        select(RunEvent)
        .join(back, col(back.corrects_id) == RunEvent.id, isouter=True)
        .where(
            RunEvent.run_id == run_id,
            RunEvent.kind == "tray weighed",
            RunEvent.stretch == stretch,
            RunEvent.tray_type_id == tray_type_id,
            col(RunEvent.corrects_id).is_(None),
            col(back.id).is_(None),
        )
        .order_by(col(RunEvent.number))
        .limit(most)
    )
    return tuple((row.gross_g or 0) - (row.tare_g or 0) for row in session.exec(query))
