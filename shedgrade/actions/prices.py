"""Writing a market's next price list."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from sqlmodel import Session, select

from shedgrade.actions.price_changes import price_changes
from shedgrade.domain.units import say_day
from shedgrade.storage import markets
from shedgrade.storage.history import tell
from shedgrade.storage.stale import StaleError
from shedgrade.storage.tables import Market, OutletPrice, PriceList, TrayPrice

_FURTHEST = timedelta(days=366)
# More than these are told by their number: a page of prices says the rest.
_MOST_TOLD = 8


class PriceListError(ValueError):
    """A price list that cannot be kept as written: ``field`` is where it is wrong, the text is the sentence."""

    def __init__(self, field: str, sentence: str) -> None:
        """Say what is wrong, and with which of valid_from, prices."""
        super().__init__(sentence)
        self.field = field


@dataclass(frozen=True, slots=True)
class PriceFacts:
    """Prices from a day on, in minor units: per tray by tray type, class and count; per kilogram by outlet."""

    valid_from: date
    note: str
    tray_minor: Mapping[tuple[int, str, int], int]
    outlet_kg_minor: Mapping[str, int]


def add_prices(
    session: Session, market_id: int, facts: PriceFacts, today: date, version: int | None = None
) -> PriceList:
    """Keep a price list; PriceListError, and StaleError if another was kept since the form was opened at ``version``
    (:func:`.storage.markets.price_version`; None where there was no form).

    A list may begin in the past, but not before the one in force: days that were valued already would change. One that
    begins on the same day as another takes its place from then on: that is how a slip is mended.
    """
    _refuse_day(session, market_id, facts.valid_from, today)
    if not facts.tray_minor and not facts.outlet_kg_minor:
        raise PriceListError("prices", "There is no price on this list. Type at least one.")
    if version is not None:
        _refuse_stale(session, market_id, version)
    kept = PriceList(
        market_id=market_id,
        spec_version_id=markets.market(session, market_id).market.spec_version_id,
        valid_from=facts.valid_from,
        note=facts.note,
    )
    _tell(session, kept, facts)
    session.add(kept)
    session.flush()
    key = kept.id or 0
    for (tray_type_id, class_id, count), price in facts.tray_minor.items():
        row = TrayPrice(price_list_id=key, tray_type_id=tray_type_id, class_id=class_id, count=count, price_minor=price)
        session.add(row)
    for outlet_id, price in facts.outlet_kg_minor.items():
        session.add(OutletPrice(price_list_id=key, outlet_id=outlet_id, kg_minor=price))
    session.flush()
    return kept


def _refuse_stale(session: Session, market_id: int, version: int) -> None:
    """The market is held first, so that of two lists kept at once the later one sees the first."""
    session.exec(select(Market.id).where(Market.id == market_id).with_for_update()).one()
    if markets.price_version(session, market_id) != version:
        raise StaleError


def _tell(session: Session, kept: PriceList, facts: PriceFacts) -> None:
    """Say how many prices there are and, if a list was in force until then, which of them changed: each by name if
    they are few, else how many. A list that begins the same day as that one mends it."""
    market = markets.market(session, kept.market_id)
    told: dict[str, Any] = {
        "prices": len(facts.tray_minor) + len(facts.outlet_kg_minor),
        "currency": market.market.currency,
    }
    before = markets.prices_in_force(session, market.id, facts.valid_from)
    if before is not None:
        told["mends"] = before.valid_from == facts.valid_from
        changed = price_changes(session, market, before, facts.tray_minor, facts.outlet_kg_minor)
        told["changed"] = changed if len(changed) <= _MOST_TOLD else len(changed)
    tell(kept, **told)


def _refuse_day(session: Session, market_id: int, day: date, today: date) -> None:
    begun = [row.valid_from for row in markets.price_lists(session, market_id)]
    newest = max((start for start in begun if start <= today), default=None)
    if newest is not None and day < newest:
        raise PriceListError(
            "valid_from", f"The list in force began on {say_day(newest)}. Choose that day or a later one."
        )
    if day - today > _FURTHEST:
        raise PriceListError("valid_from", f"{say_day(day)} is over a year away. Choose a nearer day.")
