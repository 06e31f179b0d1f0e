"""Markets with their spec and tray types, the shed's tray types, and the prices in force on a day."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sqlmodel import Session, col, func, select

from shedgrade.domain.trays.counts import TrayType
from shedgrade.storage.missing import MissingError
from shedgrade.storage.tables import (
    Market,
    MarketTray,
    OutletPrice,
    PriceList,
    SpecVersion,
    TrayCount,
    TrayPrice,
    TrayTypeRow,
)

_LATEST_FIRST = (col(PriceList.valid_from).desc(), col(PriceList.id).desc())


@dataclass(frozen=True, slots=True)
class TrayOfShed:
    """A row of the shed's tray list: what is stored, and the tray type the domain counts fruit for."""

    row: TrayTypeRow
    tray: TrayType


@dataclass(frozen=True, slots=True)
class MarketWhole:
    """A market, its spec version, and its tray types (id and tray) in order: a sample is counted for the first."""

    market: Market
    spec_version: SpecVersion
    trays: tuple[tuple[int, TrayType], ...]

    @property
    def id(self) -> int:
        """The market's id."""
        return self.market.id or 0


@dataclass(frozen=True, slots=True)
class Prices:
    """One price list in minor units: per tray by tray type, class and count; per kilogram by outlet."""

    price_list_id: int
    valid_from: date
    currency: str
    tray_minor: Mapping[tuple[int, str, int], int]
    outlet_kg_minor: Mapping[str, int]
    note: str = ""


def tray_types(session: Session) -> list[TrayOfShed]:
    """The shed's tray list by name, the newest row of a name first."""
    query = select(TrayTypeRow).order_by(TrayTypeRow.name, col(TrayTypeRow.valid_from).desc())
    return _with_counts(session, session.exec(query).all())


def tray_of_shed(session: Session, tray_type_id: int) -> TrayOfShed:
    """One row of the tray list; MissingError if there is none."""
    row = session.get(TrayTypeRow, tray_type_id)
    if row is None:
        raise MissingError
    return _with_counts(session, [row])[0]


def tray_type(session: Session, tray_type_id: int) -> TrayType:
    """One tray type; MissingError if there is none."""
    return tray_of_shed(session, tray_type_id).tray


def markets(session: Session) -> list[MarketWhole]:
    """Every market, by name."""
    query = select(Market, SpecVersion).join(SpecVersion).order_by(Market.name)
    taken = _trays_by_market(session)
    return [MarketWhole(row, version, taken.get(row.id or 0, ())) for row, version in session.exec(query)]


def market(session: Session, market_id: int) -> MarketWhole:
    """One market; MissingError if there is none."""
    query = select(Market, SpecVersion).join(SpecVersion).where(Market.id == market_id)
    found = session.exec(query).first()
    if found is None:
        raise MissingError
    return MarketWhole(*found, _trays_by_market(session, market_id).get(market_id, ()))


def places_of(session: Session, market_id: int) -> list[MarketTray]:
    """The tray types a market takes, as they are stored, in order."""
    query = select(MarketTray).where(MarketTray.market_id == market_id).order_by(col(MarketTray.place))
    return list(session.exec(query))


def price_lists(session: Session, market_id: int) -> list[PriceList]:
    """A market's price lists, the latest first: coming ones, the one in force, older ones; of those that begin on one
    day, the one that counts first."""
    query = select(PriceList).where(PriceList.market_id == market_id).order_by(*_LATEST_FIRST)
    return list(session.exec(query))


def price_version(session: Session, market_id: int) -> int:
    """How many lists a market has, and one: what a form for the next one was opened at."""
    return session.exec(select(func.count()).where(PriceList.market_id == market_id)).one() + 1


def prices_in_force(session: Session, market_id: int, day: date) -> Prices | None:
    """The prices of the latest list that has begun on the day, of two from one day the later kept; None before the
    first one."""
    query = (
        select(PriceList)
        .where(PriceList.market_id == market_id, col(PriceList.valid_from) <= day)
        .order_by(*_LATEST_FIRST)
    )
    found = session.exec(query).first()
    return None if found is None else prices_of(session, found)


def prices_of(session: Session, price_list: PriceList) -> Prices:
    """What one price list says."""
    trays = session.exec(select(TrayPrice).where(TrayPrice.price_list_id == price_list.id))
    outlets = session.exec(select(OutletPrice).where(OutletPrice.price_list_id == price_list.id))
    currency = session.exec(select(Market.currency).where(Market.id == price_list.market_id)).one()
    return Prices(
        price_list_id=price_list.id or 0,
        valid_from=price_list.valid_from,
        currency=currency,
        tray_minor={(row.tray_type_id, row.class_id, row.count): row.price_minor for row in trays},
        outlet_kg_minor={row.outlet_id: row.kg_minor for row in outlets},
        note=price_list.note,
    )


def _trays_by_market(session: Session, market_id: int | None = None) -> dict[int, tuple[tuple[int, TrayType], ...]]:
    query = select(MarketTray, TrayTypeRow).join(TrayTypeRow).order_by(col(MarketTray.place))
    if market_id is not None:
        query = query.where(MarketTray.market_id == market_id)
    places = session.exec(query).all()
    trays = {found.row.id or 0: found.tray for found in _with_counts(session, [row for _, row in places])}
    taken: dict[int, tuple[tuple[int, TrayType], ...]] = {}
    for place, _ in places:
        ordered = taken.get(place.market_id, ())
        taken[place.market_id] = (*ordered, (place.tray_type_id, trays[place.tray_type_id]))
    return taken


def _with_counts(session: Session, rows: Sequence[TrayTypeRow]) -> list[TrayOfShed]:
    ids = {row.id or 0 for row in rows}
    query = select(TrayCount).where(col(TrayCount.tray_type_id).in_(ids)).order_by(col(TrayCount.count))
    counts: dict[int, list[int]] = {}
    for each in session.exec(query):
        counts.setdefault(each.tray_type_id, []).append(each.count)
    return [TrayOfShed(row, _tray(row, counts.get(row.id or 0, []))) for row in rows]


def _tray(row: TrayTypeRow, counts: Sequence[int]) -> TrayType:
    return TrayType(str(row.id), row.name, row.net_g, tuple(counts), row.heaviest_dg)
