"""Which consignments a quote can draw on, and the list of quotes."""

from datetime import UTC, datetime, timedelta

from sqlmodel import Session

from shedgrade.actions.quotes import QuoteFacts, make_quote
from shedgrade.domain.offer import Offer, PriceOrigin
from shedgrade.storage import quotes
from shedgrade.storage.database import Database
from shedgrade.storage.tables import Consignment
from tests.support import season
from tests.support.stock import TODAY, Stock, stock


def test_a_consignment_is_ready_when_it_was_weighed_and_looked_at(database: Database) -> None:
    with database.writing() as session:
        stored = stock(session)
        block_id = session.get_one(Consignment, stored.consignments[0]).block_id
        season.consignment(session, block_id, stored.market, number="8")
        dry = season.consignment(session, block_id, stored.market, number="9", bins_net_g=[])
        season.fruit(session, season.draw(session, season.sample(session, dry)), 4400)
        found = {each.name: each for each in quotes.quotable(session, stored.market)}
    assert {name: (each.n_fruit, each.n_bins, each.weighed, each.ready) for name, each in found.items()} == {
        "1042-1": (40, 4, True, True),
        "8-1": (0, 0, True, False),
        "9-1": (1, 1, False, False),
    }


def test_voided_fruit_and_other_questions_are_not_counted(database: Database) -> None:
    with database.writing() as session:
        stored = stock(session)
        drawn = season.draw(session, season.sample(session, stored.consignments[0]))
        season.void(session, season.fruit(session, drawn, 4400))
        season.fruit(
            session, season.draw(session, season.sample(session, stored.consignments[0], question="table")), 4400
        )
        assert quotes.looked_at(session, stored.consignments) == {stored.consignments[0]: (40, 4)}


def test_older_consignments_and_other_markets_are_left_out(database: Database) -> None:
    with database.writing() as session:
        stored = stock(session)
        other = season.market(session, season.spec_version(session), name="Other")
        assert quotes.quotable(session, stored.market, season.RECEIVED + timedelta(seconds=1)) == []
        assert len(quotes.quotable(session, stored.market, season.RECEIVED)) == 1
        assert quotes.quotable(session, other) == []


def test_a_hold_that_lapsed_is_not_listed_and_a_consignment_without_one_has_an_empty_list(database: Database) -> None:
    with database.writing() as session:
        stored = stock(session, consignments=2)
        first, second = stored.consignments
        a_quote(session, stored, trays=5, price=100)
        standing = quotes.standing_holds(session, stored.consignments, TODAY)
        assert [(held.count, held.trays, held.tray.net_g) for held in standing[first]] == [(16, 5, 7000)]
        assert standing[second] == []
        assert quotes.standing_holds(session, [first], TODAY + timedelta(days=1)) == {first: []}


def test_a_total_may_be_more_than_a_plain_whole_number_of_the_database_holds(database: Database) -> None:
    with database.writing() as session:
        a_quote(session, stock(session), trays=9_000, price=900_000_000)
        assert [(each.trays, each.total_minor) for each in quotes.quotes(session)] == [(9_000, 8_100_000_000_000)]


def a_quote(session: Session, stored: Stock, *, trays: int, price: int) -> None:
    offer = Offer("Extra", 16, trays, price, PriceOrigin.TYPED, 0, 0, {stored.consignments[0]: trays})
    facts = QuoteFacts(
        market_id=stored.market,
        spec_version_id=season.spec_version(session),
        currency="AUD",
        tray_type_id=stored.tray,
        buyer="Harbour Fruit",
        basis="Ex-shed",
        note="",
        valid_until=TODAY,
        sources={stored.consignments[0]: (40, 4)},
        offers=[offer],
    )
    make_quote(session, facts, season.shed_person(session), datetime(2026, 1, 14, 9, tzinfo=UTC))
    session.flush()
