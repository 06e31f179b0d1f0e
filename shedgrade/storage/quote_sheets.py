"""A kept quote with everything its sheet says."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

import sqlalchemy
from sqlmodel import Session, col, select

from shedgrade.domain.spec.model import Spec
from shedgrade.domain.trays.counts import TrayType
from shedgrade.storage import markets, quotes, specs
from shedgrade.storage.history import changes_of
from shedgrade.storage.tables import (
    Block,
    Consignment,
    Docket,
    PersonRow,
    Quote,
    QuoteHold,
    QuoteLine,
    QuoteSource,
    SpecVersion,
)


@dataclass(frozen=True, slots=True)
class SourceOfQuote:
    """A consignment of a quote, how much of it had been looked at, and the trays the quote holds of it, by line id."""

    consignment_id: int
    name: str
    block: str
    variety: str
    picked_from: datetime
    picked_to: datetime
    n_fruit: int
    n_draws: int
    holds: Mapping[int, int]


@dataclass(frozen=True, slots=True)
class QuoteWhole:
    """A quote with its lines in order, its tray types by id, its consignments, and the names behind its ids."""

    quote: Quote
    market: str
    spec_version: SpecVersion
    spec: Spec
    made_by: str
    withdrawn_by: str
    withdrawn_why: str
    lines: tuple[QuoteLine, ...]
    trays: Mapping[int, TrayType]
    sources: tuple[SourceOfQuote, ...]

    @property
    def tray_sum(self) -> int:
        """All trays offered."""
        return sum(line.trays for line in self.lines)

    @property
    def total_minor(self) -> int:
        """The money of all lines: the sum of the lines as they are shown."""
        return sum(line.trays * line.price_minor for line in self.lines)

    @property
    def n_fruit(self) -> int:
        """The fruit looked at."""
        return sum(source.n_fruit for source in self.sources)

    @property
    def n_draws(self) -> int:
        """The draws (bins) they came from."""
        return sum(source.n_draws for source in self.sources)


def quote_whole(session: Session, quote_id: int) -> QuoteWhole:
    """One quote with everything; MissingError if there is none."""
    quote = quotes.quote(session, quote_id)
    lines = session.exec(select(QuoteLine).where(QuoteLine.quote_id == quote_id).order_by(col(QuoteLine.line))).all()
    version = specs.version(session, quote.spec_version_id)
    return QuoteWhole(
        quote=quote,
        market=markets.market(session, quote.market_id).market.name,
        spec_version=version,
        spec=specs.spec_in(version),
        made_by=_name(session, quote.made_by_id),
        withdrawn_by=_name(session, quote.withdrawn_by_id),
        withdrawn_why=_why(session, quote),
        lines=tuple(lines),
        trays={line.tray_type_id: markets.tray_type(session, line.tray_type_id) for line in lines},
        sources=_sources(session, quote_id),
    )


def _name(session: Session, person_id: int | None) -> str:
    person = None if person_id is None else session.get(PersonRow, person_id)
    return "" if person is None else person.name


def _why(session: Session, quote: Quote) -> str:
    """The history keeps the reason of a withdrawal; "" for a quote that was not withdrawn, or before one was asked."""
    if quote.withdrawn_at is None:
        return ""
    told = changes_of(session, [("quote", quote.id or 0)])
    return next((each.why for each in told if each.after.get("withdrawn_at")), "")


def _sources(session: Session, quote_id: int) -> tuple[SourceOfQuote, ...]:
    query = (
        sqlalchemy.select(QuoteSource, Consignment, col(Docket.number), Block)
        .join(Consignment, col(Consignment.id) == QuoteSource.consignment_id)
        .join(Docket, col(Docket.id) == Consignment.docket_id)
        .join(Block, col(Block.id) == Consignment.block_id)
        .where(col(QuoteSource.quote_id) == quote_id)
        .order_by(col(Docket.number), col(Consignment.line))
    )
    holds = _holds(session, quote_id)
    return tuple(
        SourceOfQuote(
            source.consignment_id,
            f"{number}-{consignment.line}",
            block.name,
            block.variety,
            consignment.picked_from,
            consignment.picked_to,
            source.n_fruit,
            source.n_draws,
            holds.get(source.consignment_id, {}),
        )
        for source, consignment, number, block in session.execute(query)
    )


def _holds(session: Session, quote_id: int) -> dict[int, dict[int, int]]:
    query = select(QuoteHold).join(QuoteLine).where(QuoteLine.quote_id == quote_id)
    holds: dict[int, dict[int, int]] = {}
    for hold in session.exec(query):
        holds.setdefault(hold.consignment_id, {})[hold.quote_line_id] = hold.trays
    return holds
