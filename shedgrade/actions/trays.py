"""Adding to the shed's dated list of tray types."""

from dataclasses import dataclass
from datetime import date

from sqlmodel import Session, select

from shedgrade.domain.trays.counts import TrayType
from shedgrade.storage.history import tell
from shedgrade.storage.tables import TrayCount, TrayTypeRow


class TrayError(ValueError):
    """A tray type that cannot be kept as written: ``field`` is where it is wrong, the text is the sentence."""

    def __init__(self, field: str, sentence: str) -> None:
        """Say what is wrong, and with which of name, counts, valid_from."""
        super().__init__(sentence)
        self.field = field


@dataclass(frozen=True, slots=True)
class TrayFacts:
    """What is written about a tray type; counts ascending."""

    name: str
    crop_id: str
    net_g: int
    counts: tuple[int, ...]
    heaviest_dg: int | None
    valid_from: date


def add_tray(session: Session, facts: TrayFacts) -> TrayTypeRow:
    """Put a tray type on the list; TrayError. Of the same name, it takes the place of the one before from its day on:
    a tray type is never edited, since fruit were counted for it and prices stand on it."""
    _refuse_unfillable(facts)
    _refuse_earlier(session, facts)
    row = TrayTypeRow(
        name=facts.name,
        crop_id=facts.crop_id,
        net_g=facts.net_g,
        heaviest_dg=facts.heaviest_dg,
        valid_from=facts.valid_from,
    )
    tell(row, counts=list(facts.counts))
    session.add(row)
    session.flush()
    for count in facts.counts:
        session.add(TrayCount(tray_type_id=row.id or 0, count=count))
    session.flush()
    return row


def _refuse_unfillable(facts: TrayFacts) -> None:
    try:
        TrayType("", facts.name, facts.net_g, facts.counts, facts.heaviest_dg)
    except ValueError as mistake:
        sentence = str(mistake)
        raise TrayError("heaviest" if facts.counts else "counts", f"{sentence[0].upper()}{sentence[1:]}.") from mistake


def _refuse_earlier(session: Session, facts: TrayFacts) -> None:
    rows = session.exec(select(TrayTypeRow).where(TrayTypeRow.name == facts.name)).all()
    if any(row.crop_id != facts.crop_id for row in rows):
        raise TrayError("name", f"{facts.name} is a tray for other fruit already. Give another name.")
    newest = max((row.valid_from for row in rows), default=None)
    if newest is not None and facts.valid_from <= newest:
        raise TrayError("valid_from", f"{facts.name} is on the list from {newest:%Y-%m-%d}. Choose a later day.")
