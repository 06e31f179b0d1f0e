"""Making quotes, what they hold, and taking them back."""

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, date, datetime, timedelta
from threading import Barrier

import pytest
from sqlmodel import Session, select

from shedgrade.actions.quotes import NothingOfferedError, QuoteFacts, make_quote, withdraw
from shedgrade.reports.quote import Chosen, offers_of
from shedgrade.storage import quotes
from shedgrade.storage.database import Database
from shedgrade.storage.quote_sheets import quote_whole
from shedgrade.storage.stale import StaleError
from shedgrade.storage.tables import Quote, QuoteHold
from tests.support import season
from tests.support.stock import TODAY, Stock, cell, sheet, stock

NOW = datetime(2026, 1, 14, 9, 0, tzinfo=UTC)


def facts(session: Session, stored: Stock, trays: int = 50, until: date = TODAY) -> QuoteFacts:
    found = sheet(session, stored)
    return QuoteFacts(
        market_id=stored.market,
        spec_version_id=found.spec_version.id or 0,
        currency="AUD",
        tray_type_id=stored.tray,
        buyer="Harbour Fruit",
        basis="Ex-shed",
        note="",
        valid_until=until,
        sources={source.whole.id: (source.n_fruit, source.n_draws) for source in found.sources},
        offers=offers_of(found, [Chosen(cell(found, 16), trays, 2400)]) if trays else (),
    )


def quoted(session: Session, stored: Stock, trays: int = 50, until: date = TODAY) -> Quote:
    return make_quote(session, facts(session, stored, trays, until), season.shed_person(session), NOW)


def promised(session: Session, stored: Stock) -> int:
    return cell(sheet(session, stored), 16).promise.promised


def test_a_quote_is_kept_with_what_was_known_when_it_was_made(database: Database) -> None:
    with database.writing() as session:
        stored = stock(session, consignments=2)
        whole = quote_whole(session, quoted(session, stored, 300).id or 0)
    line = whole.lines[0]
    assert (whole.quote.number, whole.quote.currency, whole.tray_sum, whole.total_minor) == (1, "AUD", 300, 720_000)
    assert (line.promised_trays, line.expected_trays, line.price_known_as) == (264, 283, "list")
    assert (whole.n_fruit, whole.n_draws) == (80, 8)
    assert [source.name for source in whole.sources] == ["1042-1", "1043-1"]
    assert [dict(source.holds) for source in whole.sources] == [{line.id: 150}, {line.id: 150}]


def test_a_second_quote_sees_less_by_what_the_first_holds(database: Database) -> None:
    with database.writing() as session:
        stored = stock(session)
        assert promised(session, stored) == 126
        quoted(session, stored, 50)
        assert promised(session, stored) == 76


def test_what_one_quote_put_on_a_consignment_is_missing_from_every_other_that_draws_on_it(database: Database) -> None:
    with database.writing() as session:
        stored = stock(session, consignments=2)
        quoted(session, stored, 100)
        alone = stored._replace(consignments=stored.consignments[:1])
        assert promised(session, alone) == 126 - 50
        assert promised(session, stored) == 264 - 100


@pytest.mark.parametrize(("days", "free"), [(0, 76), (-1, 126)], ids=["the last day", "the day after"])
def test_a_quote_holds_until_its_last_day_has_passed(database: Database, days: int, free: int) -> None:
    with database.writing() as session:
        stored = stock(session)
        quoted(session, stored, 50, TODAY + timedelta(days=days))
        assert promised(session, stored) == free


def test_a_withdrawn_quote_holds_nothing_and_says_who_withdrew_it(database: Database) -> None:
    with database.writing() as session:
        stored = stock(session)
        quote = quoted(session, stored)
        person_id = season.shed_person(session, "Marketer")
        withdraw(session, quote, "the buyer cancelled", 1, person_id, NOW)
        session.flush()
        assert promised(session, stored) == 126
        whole = quote_whole(session, quote.id or 0)
        assert (whole.withdrawn_by, whole.quote.withdrawn_at) == ("Marketer", NOW)
        assert whole.withdrawn_why == "the buyer cancelled"


def test_a_second_withdrawal_changes_nothing(database: Database) -> None:
    with database.writing() as session:
        quote = quoted(session, stock(session))
        first, second = season.shed_person(session, "One"), season.shed_person(session, "Two")
        withdraw(session, quote, "the buyer cancelled", 1, first, NOW)
        session.flush()
        for version in (1, 2):
            with pytest.raises(StaleError):
                withdraw(session, quote, "other fruit", version, second, NOW + timedelta(hours=1))
        session.flush()
        assert (quote.withdrawn_by_id, quote.withdrawn_at) == (first, NOW)


def test_a_quote_without_a_line_is_refused(database: Database) -> None:
    with database.writing() as session:
        stored = stock(session)
        with pytest.raises(NothingOfferedError, match="at least one tray"):
            quoted(session, stored, trays=0)
        assert quotes.quotes(session) == []


def test_numbers_follow_each_other(database: Database) -> None:
    with database.writing() as session:
        stored = stock(session)
        assert [quoted(session, stored, 1).number for _ in range(3)] == [1, 2, 3]
        assert [found.quote.number for found in quotes.quotes(session)] == [3, 2, 1]


def test_two_quotes_saved_at_once_get_two_numbers_and_do_not_promise_the_same_trays(database: Database) -> None:
    with database.writing() as session:
        stored = stock(session)
        person_id = season.shed_person(session)
        session.commit()
    together = Barrier(2)

    def save(_place: int) -> tuple[int, int]:
        together.wait()
        with database.writing() as session:
            quotes.hold_still(session, stored.consignments)
            before = promised(session, stored)
            quote = make_quote(session, facts(session, stored, 50), person_id, NOW)
            session.commit()
            return quote.number, before

    with ThreadPoolExecutor(2) as pool:
        saved = sorted(pool.map(save, range(2)))
    assert saved == [(1, 126), (2, 76)]


def test_two_quotes_of_different_fruit_saved_at_once_get_two_numbers(database: Database) -> None:
    with database.writing() as session:
        stored = stock(session, consignments=2)
        person_id = season.shed_person(session)
        session.commit()
    together = Barrier(2)

    def save(place: int) -> int:
        mine = stored._replace(consignments=stored.consignments[place : place + 1])
        with database.reading() as session:
            found = facts(session, mine)
        together.wait()
        with database.writing() as session:
            quote = make_quote(session, found, person_id, NOW)
            session.commit()
            return quote.number

    with ThreadPoolExecutor(2) as pool:
        assert sorted(pool.map(save, range(2))) == [1, 2]
    with database.reading() as session:
        assert len(session.exec(select(QuoteHold)).all()) == 2
