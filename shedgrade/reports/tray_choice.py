"""Which tray the fruit of a consignment are counted for."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from sqlmodel import Session

from shedgrade.domain.trays.counts import TrayType
from shedgrade.storage import markets
from shedgrade.storage.tables import Sample


class TrayChoice(Enum):
    """Why the fruit were counted for this tray, in the words the page shows."""

    SAMPLE = "the tray the sample was counted for"
    SAMPLES_DIFFER = "the samples were counted for different trays, so this is the market's first tray"
    NOT_NAMED = "the sample names no tray, so this is the market's first tray"
    NONE = "no tray is named by the sample or by the market, so no fruit was counted into trays"


@dataclass(frozen=True, slots=True)
class ChosenTray:
    """The tray, or None, and why."""

    tray: TrayType | None
    why: TrayChoice


def chosen_tray(session: Session, market_id: int, samples: Iterable[Sample]) -> ChosenTray:
    """The one tray its intake samples name, else the market's first."""
    named = {sample.tray_type_id for sample in samples if sample.tray_type_id is not None}
    if len(named) == 1:
        return ChosenTray(markets.tray_type(session, named.pop()), TrayChoice.SAMPLE)
    trays = markets.market(session, market_id).trays
    if not trays:
        return ChosenTray(None, TrayChoice.NONE)
    return ChosenTray(trays[0][1], TrayChoice.SAMPLES_DIFFER if named else TrayChoice.NOT_NAMED)
