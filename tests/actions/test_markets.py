"""Keeping markets."""

from dataclasses import replace

import pytest
from sqlmodel import Session

from shedgrade.actions.markets import MarketError, MarketFacts, add_market, change_market
from shedgrade.domain.spec import library
from shedgrade.storage import markets
from shedgrade.storage.database import Database
from shedgrade.storage.stale import StaleError
from tests.support import season


def facts(session: Session, *, name: str = "Kestrow Markets") -> MarketFacts:
    return MarketFacts(name, "AUD", season.spec_version(session), [season.tray_type(session)])


def avocado(session: Session) -> int:
    return season.spec_version(session, next(s for s in library.standards().values() if s.crop.id == "avocado"))


def test_adds_a_market_with_trays_in_order(database: Database) -> None:
    with database.writing() as session:
        small, large = season.tray_type(session, 5000), season.tray_type(session, 7000)
        row = add_market(session, MarketFacts("City", "AUD", season.spec_version(session), [large, small]))
        assert [key for key, _ in markets.market(session, row.id or 0).trays] == [large, small]


def test_changes_a_market_and_counts_the_version(database: Database) -> None:
    with database.writing() as session:
        before = facts(session)
        row = add_market(session, before)
        other = season.tray_type(session, 5000)
        change_market(session, row, replace(before, name="Wharf", tray_type_ids=[other, *before.tray_type_ids]), 1)
        found = markets.market(session, row.id or 0)
        assert (found.market.name, found.market.version, found.trays[0][0]) == ("Wharf", 2, other)


def test_a_stale_change_is_refused(database: Database) -> None:
    with database.writing() as session:
        before = facts(session)
        row = add_market(session, before)
        with pytest.raises(StaleError):
            change_market(session, row, replace(before, name="Wharf"), 7)


@pytest.mark.parametrize(
    ("trays", "sentence"), [(0, "at least one tray type"), (2, "chosen twice")], ids=["none", "twice"]
)
def test_refuses_trays(database: Database, trays: int, sentence: str) -> None:
    with database.writing() as session:
        good = facts(session)
        with pytest.raises(MarketError, match=sentence) as refused:
            add_market(session, replace(good, tray_type_ids=list(good.tray_type_ids) * trays))
        assert refused.value.field == "trays"


def test_refuses_trays_for_other_fruit_than_the_spec(database: Database) -> None:
    with database.writing() as session, pytest.raises(MarketError, match="other fruit than this spec"):
        add_market(session, replace(facts(session), spec_version_id=avocado(session)))


def test_refuses_a_taken_name(database: Database) -> None:
    with database.writing() as session:
        good = facts(session)
        add_market(session, good)
        with pytest.raises(MarketError, match="called Kestrow Markets already"):
            add_market(session, good)


def test_a_market_with_prices_keeps_its_currency(database: Database) -> None:
    with database.writing() as session:
        good = facts(session)
        row = add_market(session, good)
        change_market(session, row, replace(good, currency="EUR"), 1)
        season.price_list(session, row.id or 0, {})
        with pytest.raises(MarketError, match="has prices in EUR") as refused:
            change_market(session, row, good, 2)
        assert refused.value.field == "currency"


def test_a_market_with_prices_keeps_its_fruit(database: Database) -> None:
    with database.writing() as session:
        good = facts(session)
        row = add_market(session, good)
        season.price_list(session, row.id or 0, {})
        tray = season.tray_type(session, 5000)
        markets.tray_of_shed(session, tray).row.crop_id = "avocado"
        session.flush()
        with pytest.raises(MarketError, match="another kind") as refused:
            change_market(session, row, replace(good, spec_version_id=avocado(session), tray_type_ids=[tray]), 1)
        assert refused.value.field == "spec_version"
