"""Markets, tray types and prices as they are read back."""

from datetime import date, timedelta

import pytest

from shedgrade.storage import markets
from shedgrade.storage.database import Database
from shedgrade.storage.missing import MissingError
from tests.support import season

BEGUN = date(2026, 1, 1)


def test_a_market_comes_with_its_spec_and_its_trays_in_order(database: Database) -> None:
    with database.writing() as session:
        small, large = season.tray_type(session, 5000, (12, 10)), season.tray_type(session, 7000)
        market_id = season.market(session, season.spec_version(session), [large, small])
        found = markets.market(session, market_id)
        assert [tray_type_id for tray_type_id, _ in found.trays] == [large, small]
        assert [tray.counts for _, tray in found.trays] == [(14, 16, 18, 20), (10, 12)]
        assert found.spec_version.crop_id == "mango"
        assert markets.markets(session) == [found]


def test_prices_in_force_are_those_of_the_latest_list_that_has_begun(database: Database) -> None:
    with database.writing() as session:
        tray_id = season.tray_type(session)
        market_id = season.market(session, season.spec_version(session), [tray_id])
        for days, price in ((0, 2400), (14, 2500)):
            key = {(tray_id, "Extra", 16): price}
            season.price_list(session, market_id, key, {"waste": -10}, BEGUN + timedelta(days=days))
        on = {day: markets.prices_in_force(session, market_id, BEGUN + timedelta(days=day)) for day in (-1, 0, 13, 14)}
        assert on[-1] is None
        assert [on[day].tray_minor[tray_id, "Extra", 16] for day in (0, 13, 14)] == [2400, 2400, 2500]  # type: ignore[union-attr]
        newest = on[14]
        assert newest is not None
        assert (newest.currency, newest.valid_from, dict(newest.outlet_kg_minor)) == (
            "AUD",
            BEGUN + timedelta(days=14),
            {"waste": -10},
        )
        assert [row.valid_from.day for row in markets.price_lists(session, market_id)] == [15, 1]


def test_of_two_lists_from_one_day_the_later_kept_counts_and_the_first_stays(database: Database) -> None:
    with database.writing() as session:
        tray_id = season.tray_type(session)
        market_id = season.market(session, season.spec_version(session), [tray_id])
        slip, right = (
            season.price_list(session, market_id, {(tray_id, "Extra", 16): price}, valid_from=BEGUN)
            for price in (240_000, 2400)
        )
        found = markets.prices_in_force(session, market_id, BEGUN)
        assert found is not None
        assert (found.price_list_id, found.tray_minor[tray_id, "Extra", 16]) == (right, 2400)
        assert [row.id for row in markets.price_lists(session, market_id)] == [right, slip]


def test_another_markets_prices_are_not_ours(database: Database) -> None:
    with database.writing() as session:
        tray_id, version = season.tray_type(session), season.spec_version(session)
        mine, other = (season.market(session, version, [tray_id], name) for name in ("Mine", "Other"))
        season.price_list(session, other, {(tray_id, "Extra", 16): 2400})
        assert markets.prices_in_force(session, mine, BEGUN) is None


@pytest.mark.parametrize("load", [markets.market, markets.tray_type, markets.tray_of_shed])
def test_what_is_not_there_is_missing(database: Database, load: object) -> None:
    with database.reading() as session, pytest.raises(MissingError):
        load(session, 77)  # type: ignore[operator]
