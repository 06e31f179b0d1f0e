"""Keeping markets: what they are called, which currency, spec and tray types go with them."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlmodel import Session, col, select

from shedgrade.domain.names import name_among
from shedgrade.storage import markets, specs
from shedgrade.storage.history import tell
from shedgrade.storage.stale import change_of
from shedgrade.storage.tables import Consignment, Market, MarketTray, PriceList


class MarketError(ValueError):
    """A market that cannot be kept as written: ``field`` is where it is wrong, the text is the sentence."""

    def __init__(self, field: str, sentence: str) -> None:
        """Say what is wrong, and with which of name, currency, spec_version, trays."""
        super().__init__(sentence)
        self.field = field


@dataclass(frozen=True, slots=True)
class MarketFacts:
    """What is written about a market; tray types in order, the first is the one a sample is counted for."""

    name: str
    currency: str
    spec_version_id: int
    tray_type_ids: Sequence[int]
    destination: str = ""
    presentation: str = ""


def add_market(session: Session, facts: MarketFacts) -> Market:
    """Take a market into the books; MarketError."""
    _refuse_taken(session, facts.name)
    _refuse_trays(session, facts)
    market = Market(
        name=facts.name,
        currency=facts.currency,
        spec_version_id=facts.spec_version_id,
        destination=facts.destination,
        presentation=facts.presentation,
    )
    tell(market, tray_type_ids=list(facts.tray_type_ids))
    session.add(market)
    session.flush()
    _take_trays(session, market.id or 0, facts.tray_type_ids)
    return market


def change_market(session: Session, market: Market, facts: MarketFacts, version: int) -> None:
    """Write a market's new facts; MarketError, or StaleError if somebody saved meanwhile."""
    _refuse_taken(session, facts.name, but=market.id)
    _refuse_trays(session, facts)
    _refuse_other_currency(session, market, facts.currency)
    _refuse_other_fruit(session, market, facts.spec_version_id)
    taken = markets.places_of(session, market.id or 0)
    change_of(market, version)
    market.name, market.currency, market.spec_version_id = facts.name, facts.currency, facts.spec_version_id
    market.destination, market.presentation = facts.destination, facts.presentation
    session.add(market)
    _change_trays(session, market, taken, list(facts.tray_type_ids))


def _change_trays(session: Session, market: Market, taken: list[MarketTray], wanted: list[int]) -> None:
    had = [place.tray_type_id for place in taken]
    if had == wanted:
        return
    tell(market, before={"tray_type_ids": had}, tray_type_ids=wanted)
    for place in taken:
        session.delete(place)
    session.flush()  # no two tray types may have one place, not even for a moment
    _take_trays(session, market.id or 0, wanted)


def _take_trays(session: Session, market_id: int, tray_type_ids: Sequence[int]) -> None:
    for place, tray_type_id in enumerate(tray_type_ids, start=1):
        session.add(MarketTray(market_id=market_id, tray_type_id=tray_type_id, place=place))
    session.flush()


def _refuse_taken(session: Session, name: str, but: int | None = None) -> None:
    other = name_among(name, session.exec(select(Market.name).where(col(Market.id) != (but or 0))))
    if other is not None:
        raise MarketError("name", f"There is a market called {other} already. Give another name.")


def _refuse_trays(session: Session, facts: MarketFacts) -> None:
    ids = list(facts.tray_type_ids)
    if not ids:
        raise MarketError("trays", "Choose at least one tray type: fruit are counted for it.")
    if len(set(ids)) < len(ids):
        raise MarketError("trays", "One tray type is chosen twice. Choose each once.")
    crop_id = specs.version(session, facts.spec_version_id).crop_id
    for found in (markets.tray_of_shed(session, tray_type_id) for tray_type_id in ids):
        if found.row.crop_id != crop_id:
            raise MarketError(
                "trays", f"{found.row.name} is for other fruit than this spec. Choose trays of its fruit."
            )


def _refuse_other_currency(session: Session, market: Market, currency: str) -> None:
    """Prices are stored without their currency: in another one the same figures would mean other money."""
    if currency != market.currency and _has(session, PriceList, market):
        sentence = f"This market has prices in {market.currency}. Add a new market for {currency}."
        raise MarketError("currency", sentence)


def _refuse_other_fruit(session: Session, market: Market, spec_version_id: int) -> None:
    before, after = (specs.version(session, one).crop_id for one in (market.spec_version_id, spec_version_id))
    if before != after and (_has(session, Consignment, market) or _has(session, PriceList, market)):
        raise MarketError("spec_version", "This market has fruit or prices of another kind. Add a new market.")


def _has(session: Session, table: type[Consignment | PriceList], market: Market) -> bool:
    return session.exec(select(table.id).where(col(table.market_id) == market.id).limit(1)).first() is not None
