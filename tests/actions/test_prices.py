"""Writing a market's next price list."""

from datetime import date, timedelta

import pytest
from sqlmodel import Session

from shedgrade.actions.prices import PriceFacts, PriceListError, add_prices
from shedgrade.storage import markets
from shedgrade.storage.database import Database
from shedgrade.storage.stale import StaleError
from tests.support import season

TODAY = date(2026, 2, 10)
IN_FORCE = date(2026, 2, 1)
COMING = date(2026, 3, 1)


def market(session: Session) -> tuple[int, int]:
    """A market with a list in force and one to come; and its tray type."""
    tray_id = season.tray_type(session)
    market_id = season.market(session, season.spec_version(session), [tray_id])
    for begins in (IN_FORCE, COMING):
        season.price_list(session, market_id, {(tray_id, "Extra", 16): 2400}, valid_from=begins)
    return market_id, tray_id


def facts(tray_id: int, begins: date) -> PriceFacts:
    return PriceFacts(begins, "after the holiday", {(tray_id, "Extra", 18): 2250}, {"waste": -6})


@pytest.mark.parametrize("begins", [TODAY, IN_FORCE, COMING, date(2026, 2, 2), date(2026, 2, 20), date(2026, 3, 2)])
def test_keeps_a_list_that_begins_with_the_one_in_force_or_later(database: Database, begins: date) -> None:
    with database.writing() as session:
        market_id, tray_id = market(session)
        add_prices(session, market_id, facts(tray_id, begins), TODAY)
        found = markets.prices_in_force(session, market_id, begins)
    assert found is not None
    assert dict(found.tray_minor) == {(tray_id, "Extra", 18): 2250}
    assert dict(found.outlet_kg_minor) == {"waste": -6}
    assert found.note == "after the holiday"


@pytest.mark.parametrize(
    ("begins", "sentence"),
    [
        (date(2026, 1, 31), "The list in force began on Sun 1 Feb 2026"),
        (TODAY + timedelta(days=367), "over a year away"),
    ],
)
def test_refuses_a_day(database: Database, begins: date, sentence: str) -> None:
    with database.writing() as session:
        market_id, tray_id = market(session)
        with pytest.raises(PriceListError, match=sentence) as refused:
            add_prices(session, market_id, facts(tray_id, begins), TODAY)
        assert refused.value.field == "valid_from"
        assert len(markets.price_lists(session, market_id)) == 2


def test_of_two_lists_typed_at_once_the_later_is_stale(database: Database) -> None:
    with database.writing() as session:
        market_id, tray_id = market(session)
        version = markets.price_version(session, market_id)
        add_prices(session, market_id, facts(tray_id, TODAY), TODAY, version)
        with pytest.raises(StaleError):
            add_prices(session, market_id, facts(tray_id, TODAY), TODAY, version)
        add_prices(session, market_id, facts(tray_id, TODAY), TODAY, version + 1)
        assert len(markets.price_lists(session, market_id)) == 4


def test_refuses_a_list_without_a_price(database: Database) -> None:
    with database.writing() as session:
        market_id, _ = market(session)
        with pytest.raises(PriceListError, match="no price") as refused:
            add_prices(session, market_id, PriceFacts(TODAY, "", {}, {}), TODAY)
        assert refused.value.field == "prices"


def test_the_first_list_may_begin_on_any_day_gone_by(database: Database) -> None:
    with database.writing() as session:
        tray_id = season.tray_type(session)
        market_id = season.market(session, season.spec_version(session), [tray_id])
        assert add_prices(session, market_id, facts(tray_id, date(2025, 1, 1)), TODAY).id
