"""A market hears that a newer version of its spec is published, and that its prices no longer fit, with the way to mend
both."""

from datetime import UTC, date, datetime
from typing import NamedTuple

import pytest

from shedgrade.actions.prices import PriceFacts, add_prices
from shedgrade.actions.specs import publish, retire
from shedgrade.domain.people import Role
from shedgrade.domain.spec import library
from shedgrade.domain.spec.text import read_spec
from shedgrade.storage.database import Database
from shedgrade.storage.history import Actor, act_as
from tests.support import season
from tests.support.forms import filled
from tests.support.specs import MARKET
from tests.support.visitor import Visitor, one, parsed, typed_in, visitor, words

NOW = datetime(2026, 1, 14, 3, 20, tzinfo=UTC)
NEXT = MARKET.replace('"two"', '"three"').replace("Class two", "Class three").replace('edition = "3"', 'edition = "4"')
NEWER = "A newer version of its spec is published: Mango, Kestrow Markets, version 2."
MISFIT = (
    "The price list in force does not fit the spec. It has prices for Class two, which the spec no longer has. "
    "It has none for Class three, new in the spec."
)


class Trade(NamedTuple):
    """A market with prices for both classes and the outlet, and the manager."""

    database: Database
    market: int
    tray: int
    manager: Visitor

    @property
    def places(self) -> list[str]:
        return [f"/markets/{self.market}", "/markets", "/quotes/new", f"/quotes/new?market={self.market}"]


@pytest.fixture
def trade(sqlite_database: Database) -> Trade:
    with sqlite_database.writing() as session:
        act_as(session, Actor(None, "", NOW))
        row = publish(session, read_spec(MARKET, library.crops()), NOW)
        tray = season.tray_type(session)
        market = season.market(session, row.id or 0, [tray])
        prices = {(tray, "one", 16): 2400, (tray, "two", 16): 1800}
        add_prices(session, market, PriceFacts(date(2026, 1, 1), "", prices, {"loose": 45}), date(2026, 1, 2))
        session.commit()
    return Trade(sqlite_database, market, tray, visitor(sqlite_database, Role.MANAGER))


def publish_next(trade: Trade, text: str = NEXT) -> int:
    with trade.database.writing() as session:
        act_as(session, Actor(None, "", NOW))
        version = publish(session, read_spec(text, library.crops()), NOW).id or 0
        session.commit()
    return version


def move(trade: Trade, version: int) -> None:
    address = f"/markets/{trade.market}"
    page = parsed(trade.manager.get(f"{address}/edit?spec_version={version}"))
    assert "is chosen below and not saved yet" in words(page)
    assert trade.manager.post(address, filled(page, address)).status_code == 303


def test_a_market_that_goes_with_its_spec_hears_nothing(trade: Trade) -> None:
    for place in trade.places:
        assert "newer version" not in words(parsed(trade.manager.get(place)))
        assert "does not fit" not in words(parsed(trade.manager.get(place)))


def test_a_newer_version_is_told_wherever_the_market_is_used_until_it_is_chosen(trade: Trade) -> None:
    version = publish_next(trade)
    way = f"/markets/{trade.market}/edit?spec_version={version}"
    for place in trade.places:
        page = parsed(trade.manager.get(place))
        assert NEWER in words(page)
        assert one(page, f'main a[href="{way}"]').get_text() == "Let Kestrow Markets buy under version 2"
        assert trade.manager.get(str(one(page, 'main a[href*="comparison"]')["href"])).status_code == 200
    move(trade, version)
    for place in trade.places:
        assert "newer version" not in words(parsed(trade.manager.get(place)))


def test_a_retired_version_is_no_newer_one(trade: Trade) -> None:
    publish_next(trade)
    with trade.database.writing() as session:
        act_as(session, Actor(1, "", NOW))
        row = publish(session, read_spec(NEXT, library.crops()), NOW)
        retire(session, row, "a slip", 1, NOW)
        session.commit()
    assert "newer version" not in words(parsed(trade.manager.get("/markets")))


def test_prices_that_no_longer_fit_are_told_until_others_are_set(trade: Trade) -> None:
    move(trade, publish_next(trade))
    way = f"/markets/{trade.market}/prices/new"
    for place in trade.places:
        page = parsed(trade.manager.get(place))
        assert MISFIT in words(page)
        assert "Set prices that fit" in {link.get_text() for link in page.select(f'main a[href="{way}"]')}
    page = parsed(trade.manager.get(way))
    assert typed_in(page, f"tray-{trade.tray}-one-16") == "24.00"
    assert typed_in(page, f"tray-{trade.tray}-three-16") == ""
    assert typed_in(page, "outlet-loose") == "0.45"
    action = f"/markets/{trade.market}/prices"
    answer = trade.manager.post(action, filled(page, action, **{f"tray-{trade.tray}-three-16": "15.00"}))
    assert answer.status_code == 303
    for place in trade.places:
        assert "does not fit" not in words(parsed(trade.manager.get(place)))


def test_a_class_left_without_a_price_on_purpose_is_no_misfit(trade: Trade) -> None:
    action = f"/markets/{trade.market}/prices"
    page = parsed(trade.manager.get(f"{action}/new"))
    form = filled(page, action, **{f"tray-{trade.tray}-two-16": ""})
    answer = trade.manager.post(action, form)
    if answer.status_code != 303:  # asked once whether it is meant
        answer = trade.manager.post(action, filled(parsed(answer), action))
    assert answer.status_code == 303
    assert "does not fit" not in words(parsed(trade.manager.get(f"/markets/{trade.market}")))


def test_a_marketer_hears_who_mends_it(trade: Trade) -> None:
    publish_next(trade)
    page = parsed(visitor(trade.database, Role.MARKETER).get(f"/markets/{trade.market}"))
    assert NEWER in words(page)
    assert "The shed manager decides whether this market buys under it." in words(page)
    assert not page.select('main a[href*="/edit"]')


def test_the_page_after_publishing_offers_the_markets_on_an_older_version(trade: Trade) -> None:
    draft = str(trade.manager.post("/specs/import", {"text": NEXT}).headers["location"])
    page = parsed(trade.manager.get(f"{draft}/publishing"))
    assert "These markets go by an older version." in words(page)
    assert "Kestrow Markets, version 1" in words(page)
    assert "class Class two" in words(page)
    answer = trade.manager.post(f"{draft}/publishing", filled(page, f"{draft}/publishing"))
    version = int(answer.headers["location"].removesuffix("?done=published").rpartition("/")[2])
    way = f"/markets/{trade.market}/edit?spec_version={version}"
    page = parsed(trade.manager.get(answer.headers["location"]))
    assert words(page, f'main a[href="{way}"]') == "Let Kestrow Markets buy under version 2 it goes by version 1"
    move(trade, version)
    assert not parsed(trade.manager.get(f"/specs/{version}")).select(f'main a[href="{way}"]')
