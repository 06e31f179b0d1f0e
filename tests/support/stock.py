"""A market and consignments of known fruit, to be quoted.

Each consignment: 1600 kg net in four bins, ten clean fruit looked at in each, all Extra under Codex CXS 184. On the
7 kg tray 440 g are 16s and 400 g are 18s; the bins hold 6, 5, 7 and 6 of the former. So of the Extra 16s

    expected   24 fruit / 169 600 dg x 16 000 000 dg / 16                     = 141.51 trays
    se         sqrt(4/3 x (0.943396^2 + 0.943396^2)) / 169 600 x 1 000 000    = 9.0835 trays
    promised   141.51 - 1.638 x 9.0835 = 126.63, whole trays: 126             (t of 4 - 1 draws, one-sided 90 %)
"""

from collections.abc import Sequence
from typing import NamedTuple

from sqlmodel import Session, select

from shedgrade.domain.people import Person, Role
from shedgrade.reports.quote import Cell, QuoteSheet, quote_sheet
from shedgrade.storage import markets
from shedgrade.storage.intake import consignment_for
from shedgrade.storage.tables import SpecVersion
from tests.support import season
from tests.support.worked import draw_all

TODAY = season.RECEIVED.date()
MARKETER = Person(1, "Marketer", frozenset({Role.MARKETER}))
SIXTEENS = (6, 5, 7, 6)


class Stock(NamedTuple):
    """The ids of what was stored."""

    market: int
    tray: int
    consignments: tuple[int, ...]


def stock(session: Session, *, consignments: int = 1, prices: bool = True, currency: str = "AUD") -> Stock:
    """The market with so many consignments, 1042-1, 1043-1 and so on. Extra 16s cost 24.00; 18s have no price."""
    block_id = season.block(session, season.grower(session))
    tray_id = season.tray_type(session)
    market_id = season.market(session, season.spec_version(session), [tray_id])
    markets.market(session, market_id).market.currency = currency
    if prices:
        season.price_list(session, market_id, {(tray_id, "Extra", 16): 2400}, {"waste": -10})
    ids = [looked_at(session, block_id, market_id, number=str(1042 + place)) for place in range(consignments)]
    return Stock(market_id, tray_id, tuple(ids))


def looked_at(
    session: Session, block_id: int, market_id: int, *, number: str, sixteens: Sequence[int] = SIXTEENS
) -> int:
    """One more consignment, with so many 16s among the ten fruit of each bin."""
    consignment_id = season.consignment(
        session, block_id, market_id, number=number, bins_net_g=[400_000] * len(sixteens)
    )
    sample_id = season.sample(session, consignment_id)
    for bin_id, heavy in zip(season.bins_of(session, consignment_id), sixteens, strict=True):
        draw_all(session, sample_id, bin_id, [(4400, ())] * heavy + [(4000, ())] * (10 - heavy))
    return consignment_id


def sheet(session: Session, stored: Stock, *, only: Sequence[int] = ()) -> QuoteSheet:
    """The sheet of the stock's consignments, or of some of them."""
    wholes = [consignment_for(session, MARKETER, each) for each in only or stored.consignments]
    return quote_sheet(session, markets.market(session, stored.market), stored.tray, wholes, TODAY)


def cell(found: QuoteSheet, count: int, class_id: str = "Extra") -> Cell:
    """The sheet's line of a class and count."""
    return next(each for each in found.cells if (each.class_id, each.count) == (class_id, count))


def spec_versions(session: Session) -> list[SpecVersion]:
    """Every published version."""
    return list(session.exec(select(SpecVersion)))
