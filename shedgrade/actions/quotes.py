"""Offering trays to a buyer, and taking an offer back."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy.exc import IntegrityError
from sqlmodel import Session

from shedgrade.domain.offer import Offer
from shedgrade.storage import quotes
from shedgrade.storage.history import tell
from shedgrade.storage.stale import StaleError, change_of
from shedgrade.storage.tables import Quote, QuoteHold, QuoteLine, QuoteSource

# As many quotes may be saved in the same moment before one of them is told to try again.
_TRIES = 20


class NothingOfferedError(ValueError):
    """A quote without a line is no offer."""


@dataclass(frozen=True, slots=True)
class QuoteFacts:
    """What is offered to whom. ``sources`` are the consignments, by id, with fruit and draws looked at."""

    market_id: int
    spec_version_id: int
    currency: str
    tray_type_id: int
    buyer: str
    basis: str
    note: str
    valid_until: date
    sources: Mapping[int, tuple[int, int]]
    offers: Sequence[Offer]


def make_quote(session: Session, facts: QuoteFacts, person_id: int, now: datetime) -> Quote:
    """Keep an offer under the next number; from now on it holds the trays of its lines."""
    if not facts.offers:
        raise NothingOfferedError("Offer at least one tray.")
    quote = _numbered(session, facts, person_id, now)
    for consignment_id, (n_fruit, n_draws) in facts.sources.items():
        session.add(
            QuoteSource(quote_id=quote.id or 0, consignment_id=consignment_id, n_fruit=n_fruit, n_draws=n_draws)
        )
    for place, offer in enumerate(facts.offers, start=1):
        _keep_line(session, quote.id or 0, place, facts.tray_type_id, offer)
    return quote


def withdraw(session: Session, quote: Quote, reason: str, version: int, person_id: int, now: datetime) -> None:
    """Take the offer back: it holds nothing any more. StaleError if somebody did so meanwhile: a withdrawn quote stays
    as it is."""
    change_of(quote, version)
    if quote.withdrawn_at is not None:
        raise StaleError
    quote.withdrawn_at, quote.withdrawn_by_id = now, person_id
    tell(quote, why=reason)
    session.add(quote)


def _numbered(session: Session, facts: QuoteFacts, person_id: int, now: datetime) -> Quote:
    """Put the quote in under the next free number: of two saved at once the database refuses the later one, which
    then takes the number after."""
    tries = 0
    while True:
        quote = _row(facts, quotes.next_number(session), person_id, now)
        tell(quote, lines=len(facts.offers), trays=sum(offer.trays for offer in facts.offers))
        try:
            with session.begin_nested():
                session.add(quote)
                session.flush()
        except IntegrityError:
            tries += 1
            if tries == _TRIES:
                raise
        else:
            return quote


def _row(facts: QuoteFacts, number: int, person_id: int, now: datetime) -> Quote:
    return Quote(
        number=number,
        market_id=facts.market_id,
        spec_version_id=facts.spec_version_id,
        currency=facts.currency,
        buyer=facts.buyer,
        basis=facts.basis,
        note=facts.note,
        valid_until=facts.valid_until,
        made_at=now,
        made_by_id=person_id,
    )


def _keep_line(session: Session, quote_id: int, place: int, tray_type_id: int, offer: Offer) -> None:
    line = QuoteLine(
        quote_id=quote_id,
        line=place,
        tray_type_id=tray_type_id,
        class_id=offer.class_id,
        count=offer.count,
        trays=offer.trays,
        price_minor=offer.price_minor,
        price_known_as=offer.price_origin,
        expected_trays=offer.likely,
        promised_trays=offer.promised,
    )
    session.add(line)
    session.flush()
    for consignment_id, trays in offer.holds.items():
        if trays:
            session.add(QuoteHold(quote_line_id=line.id or 0, consignment_id=consignment_id, trays=trays))
