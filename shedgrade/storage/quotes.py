"""Quotes, the consignments they can draw on, and what standing quotes hold."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime

import sqlalchemy
from sqlalchemy import ColumnElement, func
from sqlmodel import Session, col, select

from shedgrade.domain.promise import Held
from shedgrade.storage import markets
from shedgrade.storage.missing import MissingError
from shedgrade.storage.tables import (
    Block,
    Consignment,
    Docket,
    Draw,
    FruitRow,
    Grower,
    Market,
    PersonRow,
    Quote,
    QuoteHold,
    QuoteLine,
    Sample,
    Weighing,
)


@dataclass(frozen=True, slots=True)
class Quotable:
    """A consignment that a quote could draw on: fruit and bins of its intake samples, and whether it was weighed."""

    consignment_id: int
    name: str
    grower: str
    block: str
    variety: str
    picked_to: datetime
    received_at: datetime
    n_fruit: int
    n_bins: int
    weighed: bool

    @property
    def ready(self) -> bool:
        """Whether anything can be worked out of it."""
        return self.n_fruit > 0 and self.weighed


@dataclass(frozen=True, slots=True)
class QuoteInList:
    """A quote in the list: its market, who made it, trays and money of all its lines."""

    quote: Quote
    market: str
    made_by: str
    trays: int
    total_minor: int


def stands(quote: Quote, day: date) -> bool:
    """Whether the quote holds stock on the day: its validity has not passed and nobody withdrew it."""
    return quote.withdrawn_at is None and quote.valid_until >= day


def quotable(session: Session, market_id: int, since: datetime | None = None) -> list[Quotable]:
    """The market's consignments that stand, the newest first; only those received from ``since`` on, if given."""
    counting = _looked_at().subquery()
    weighed = sqlalchemy.exists().where(col(Weighing.consignment_id) == col(Consignment.id))
    query = (
        sqlalchemy.select(
            Consignment,
            col(Docket.number),
            col(Grower.name),
            col(Block.name),
            col(Block.variety),
            func.coalesce(counting.c.n_fruit, 0),
            func.coalesce(counting.c.n_bins, 0),
            weighed,
        )
        .join(Docket, col(Docket.id) == Consignment.docket_id)
        .join(Block, col(Block.id) == Consignment.block_id)
        .join(Grower, col(Grower.id) == Block.grower_id)
        .join(counting, counting.c.consignment_id == Consignment.id, isouter=True)
        .where(col(Consignment.market_id) == market_id, col(Consignment.voided_at).is_(None))
        .order_by(col(Consignment.received_at).desc(), col(Consignment.id).desc())
    )
    if since is not None:
        query = query.where(col(Consignment.received_at) >= since)
    return [
        Quotable(
            row.id or 0,
            f"{number}-{row.line}",
            grower,
            block,
            variety,
            row.picked_to,
            row.received_at,
            n_fruit,
            n_bins,
            bool(on_scale),
        )
        for row, number, grower, block, variety, n_fruit, n_bins, on_scale in session.execute(query)
    ]


def looked_at(session: Session, consignment_ids: Collection[int]) -> dict[int, tuple[int, int]]:
    """By consignment, fruit and bins of its intake samples; one that nobody looked at is left out."""
    query = _looked_at().where(col(Sample.consignment_id).in_(consignment_ids))
    return {consignment_id: (n_fruit, n_bins) for consignment_id, n_fruit, n_bins in session.execute(query)}


def hold_still(session: Session, consignment_ids: Collection[int]) -> None:
    """Let nobody else quote these consignments until this session is through: two quotes saved at once would each
    promise the same trays. On SQLite there is only one writer anyway."""
    query = select(Consignment.id).where(col(Consignment.id).in_(consignment_ids)).order_by(col(Consignment.id))
    session.exec(query.with_for_update(key_share=True)).all()


def standing_holds(session: Session, consignment_ids: Collection[int], day: date) -> dict[int, list[Held]]:
    """By consignment, what the quotes that stand on the day hold of it; each asked for has its list."""
    query = (
        select(QuoteHold, QuoteLine)
        .join(QuoteLine)
        .join(Quote)
        .where(col(QuoteHold.consignment_id).in_(consignment_ids), *_standing(day))
        .order_by(col(QuoteHold.quote_line_id))
    )
    trays = {found.row.id: found.tray for found in markets.tray_types(session)}
    held: dict[int, list[Held]] = {consignment_id: [] for consignment_id in consignment_ids}
    for hold, line in session.exec(query):
        held[hold.consignment_id].append(Held(trays[line.tray_type_id], line.class_id, line.count, hold.trays))
    return held


def holding(session: Session, consignment_id: int, day: date) -> list[Quote]:
    """The quotes standing on the day that hold trays of the consignment, in the order of their numbers."""
    lines = select(QuoteLine.quote_id).join(QuoteHold).where(QuoteHold.consignment_id == consignment_id)
    query = select(Quote).where(col(Quote.id).in_(lines), *_standing(day)).order_by(col(Quote.number))
    return list(session.exec(query))


def next_number(session: Session) -> int:
    """One more than the highest number given so far; the column is unique, so that two cannot both have it."""
    return (session.exec(select(func.max(Quote.number))).one() or 0) + 1


def quote(session: Session, quote_id: int) -> Quote:
    """One quote; MissingError if there is none."""
    found = session.get(Quote, quote_id)
    if found is None:
        raise MissingError
    return found


def quotes(session: Session) -> list[QuoteInList]:
    """Every quote, the newest first."""
    query = (
        sqlalchemy.select(
            Quote,
            col(Market.name),
            col(PersonRow.name),
            func.sum(col(QuoteLine.trays)),
            # A big quote in a small currency is more than PostgreSQL's plain whole number holds.
            func.sum(sqlalchemy.cast(col(QuoteLine.trays), sqlalchemy.BigInteger) * col(QuoteLine.price_minor)),
        )
        .join(Market, col(Market.id) == Quote.market_id)
        .join(PersonRow, col(PersonRow.id) == Quote.made_by_id)
        .join(QuoteLine, col(QuoteLine.quote_id) == Quote.id)
        .group_by(*sqlalchemy.inspect(Quote).columns, col(Market.name), col(PersonRow.name))
        .order_by(col(Quote.number).desc())
    )
    return [
        QuoteInList(row, market, name, int(trays), int(money))
        for row, market, name, trays, money in session.execute(query)
    ]


def _looked_at() -> sqlalchemy.Select[int, int, int]:
    """A bin drawn from twice is one bin, as in every pack-out; a draw that names no bin is taken for one of its own."""
    place = func.coalesce(col(Draw.bin_id), -col(Draw.id))
    return (
        sqlalchemy.select(
            col(Sample.consignment_id),
            func.count(col(FruitRow.id)).label("n_fruit"),
            func.count(sqlalchemy.distinct(place)).label("n_bins"),
        )
        .join(FruitRow, col(FruitRow.sample_id) == col(Sample.id))
        .join(Draw, col(Draw.id) == col(FruitRow.draw_id))
        .where(col(Sample.question) == "intake", col(Sample.voided_at).is_(None), col(FruitRow.voided_at).is_(None))
        .group_by(col(Sample.consignment_id))
    )


def _standing(day: date) -> Sequence[ColumnElement[bool]]:
    return col(Quote.withdrawn_at).is_(None), col(Quote.valid_until) >= day
