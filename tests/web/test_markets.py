"""Markets: the pages, and everything they refuse."""

from datetime import UTC, date, datetime

import pytest

from shedgrade.actions.specs import publish
from shedgrade.domain.people import Role
from shedgrade.domain.spec import library
from shedgrade.storage import markets
from shedgrade.storage.database import Database
from shedgrade.storage.markets import MarketWhole
from tests.support import season
from tests.support.stock import stock
from tests.support.visitor import Visitor, error_at, one, parsed, typed_in, visitor, words


@pytest.fixture
def keeper(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.MANAGER)


@pytest.fixture
def typed(sqlite_database: Database) -> dict[str, str]:
    """What a good form holds."""
    with sqlite_database.writing() as session:
        tray_id, version = season.tray_type(session), season.spec_version(session)
        session.commit()
    return {"name": "City", "currency": "aud", "spec_version": str(version), "tray-1": str(tray_id)}


def kept(database: Database) -> list[MarketWhole]:
    with database.reading() as session:
        return markets.markets(session)


def another_tray(database: Database, net_g: int) -> str:
    with database.writing() as session:
        tray_id = season.tray_type(session, net_g)
        session.commit()
    return str(tray_id)


def test_empty_list_teaches_and_offers_the_first_step(keeper: Visitor) -> None:
    assert one(parsed(keeper.get("/markets")), ".empty a.act")["href"] == "/markets/new"


def test_a_form_without_specs_and_trays_says_where_they_come_from(keeper: Visitor) -> None:
    page = parsed(keeper.get("/markets/new"))
    assert {"/specs", "/trays/new"} <= {str(link["href"]) for link in page.select("main a")}


def test_adds_a_market(keeper: Visitor, sqlite_database: Database, typed: dict[str, str]) -> None:
    second = another_tray(sqlite_database, net_g=5000)
    answer = keeper.post("/markets", {**typed, "tray-2": second})
    found = kept(sqlite_database)[0]
    assert (answer.status_code, answer.headers["location"]) == (303, f"/markets/{found.id}?done=market")
    assert (found.market.name, found.market.currency) == ("City", "AUD")
    assert [str(key) for key, _ in found.trays] == [typed["tray-1"], second]
    page = words(parsed(keeper.get(answer.headers["location"])))
    assert "The market is saved." in page
    assert "City has no prices in force yet" in page
    assert "A sample is counted for this one" in page


@pytest.mark.parametrize(
    ("field", "value", "at", "sentence"),
    [
        ("name", "", "name", "Fill this in."),
        ("name", "Here before", "name", "called Here before already"),
        ("currency", "", "currency", "Fill this in."),
        ("currency", "AUS", "currency", "three letters such as AUD or EUR"),
        ("spec_version", "", "spec_version", "Choose one."),
        ("spec_version", "77", "spec_version", "not one of the choices"),
        ("tray-1", "", "trays", "at least one tray type"),
        ("tray-1", "77", "tray-1", "not one of the choices"),
        ("tray-2", "same", "trays", "chosen twice"),
    ],
)
def test_refuses_by_the_field(
    keeper: Visitor, sqlite_database: Database, typed: dict[str, str], field: str, value: str, at: str, sentence: str
) -> None:
    with sqlite_database.writing() as session:
        season.market(session, int(typed["spec_version"]), name="Here before")
        session.commit()
    answer = keeper.post("/markets", {**typed, field: typed["tray-1"] if value == "same" else value})
    page = parsed(answer)
    assert answer.status_code == 422
    assert sentence in error_at(page, at)
    kept_field = next(name for name in ("name", "currency") if name != field)
    assert typed_in(page, kept_field) == typed[kept_field]
    assert len(kept(sqlite_database)) == 1


def test_the_same_form_twice_stores_once(keeper: Visitor, sqlite_database: Database, typed: dict[str, str]) -> None:
    assert [keeper.post("/markets", {**typed, "form_key": "k"}).status_code for _ in range(2)] == [303, 303]
    assert len(kept(sqlite_database)) == 1


def test_edits_a_market_and_counts_the_version(
    keeper: Visitor, sqlite_database: Database, typed: dict[str, str]
) -> None:
    keeper.post("/markets", typed)
    market_id = kept(sqlite_database)[0].id
    form = parsed(keeper.get(f"/markets/{market_id}/edit"))
    assert (typed_in(form, "currency"), typed_in(form, "tray-1")) == ("AUD", typed["tray-1"])
    assert keeper.post(f"/markets/{market_id}", {**typed, "name": "Wharf", "version": "1"}).status_code == 303
    found = kept(sqlite_database)[0].market
    assert (found.name, found.version) == ("Wharf", 2)


@pytest.mark.parametrize("version", ["0", "2", "", "old"])
def test_a_stale_save_shows_both_sides(
    keeper: Visitor, sqlite_database: Database, typed: dict[str, str], version: str
) -> None:
    keeper.post("/markets", typed)
    market_id = kept(sqlite_database)[0].id
    answer = keeper.post(f"/markets/{market_id}", {**typed, "name": "Mine", "version": version})
    page = parsed(answer)
    assert answer.status_code == 409
    assert "Stored now: City, AUD" in words(page)
    assert (typed_in(page, "name"), typed_in(page, "version")) == ("Mine", "1")
    assert kept(sqlite_database)[0].market.name == "City"


def test_a_market_with_prices_keeps_its_currency(keeper: Visitor, sqlite_database: Database) -> None:
    stored = stored_stock(sqlite_database)
    form = parsed(keeper.get(f"/markets/{stored[0]}/edit"))
    typed = {name: typed_in(form, name) for name in ("name", "spec_version", "tray-1", "version")}
    answer = keeper.post(f"/markets/{stored[0]}", {**typed, "currency": "EUR"})
    assert answer.status_code == 422
    assert "has prices in AUD" in error_at(parsed(answer), "currency")


def test_a_market_shows_prices_in_force_and_to_come(keeper: Visitor, sqlite_database: Database) -> None:
    market_id, tray_id = stored_stock(sqlite_database)
    with sqlite_database.writing() as session:
        season.price_list(session, market_id, {(tray_id, "Extra", 16): 2600}, valid_from=date(2098, 1, 1))
        session.commit()
    page = words(parsed(keeper.get(f"/markets/{market_id}")))
    assert "24.00 no price" in page
    assert "Waste −0.10" in page
    assert "Coming List 2, from Wed 1 Jan 2098" in page
    assert "26.00" in page


@pytest.mark.parametrize("market_id", ["0", "77", "none", "9" * 25])
def test_an_unknown_market_is_not_here(keeper: Visitor, market_id: str) -> None:
    address = f"/markets/{market_id}"
    assert keeper.get(address).status_code == 404
    assert keeper.get(f"{address}/edit").status_code == 404
    assert keeper.post(address, {"name": "Mine"}).status_code == 404


@pytest.mark.parametrize("role", [Role.SUPERVISOR, Role.GRADER, Role.GROWER])
def test_who_sells_nothing_sees_no_market(sqlite_database: Database, role: Role) -> None:
    market_id, _ = stored_stock(sqlite_database)
    someone = visitor(sqlite_database, role)
    addresses = ["/markets", "/markets/new", f"/markets/{market_id}", f"/markets/{market_id}/edit"]
    assert {someone.get(address).status_code for address in addresses} == {403}
    assert {someone.post(address).status_code for address in ("/markets", f"/markets/{market_id}")} == {403}


def test_the_marketer_sees_markets_and_keeps_none(sqlite_database: Database) -> None:
    market_id, _ = stored_stock(sqlite_database)
    marketer = visitor(sqlite_database, Role.MARKETER)
    page = parsed(marketer.get(f"/markets/{market_id}"))
    links = {str(link["href"]) for link in page.select("main a")}
    assert f"/quotes/new?market={market_id}" in links
    assert not {f"/markets/{market_id}/edit", f"/markets/{market_id}/prices/new"} & links
    assert marketer.get(f"/markets/{market_id}/edit").status_code == 403
    assert [marketer.post(address).status_code for address in ("/markets", f"/markets/{market_id}")] == [403, 403]
    assert len(kept(sqlite_database)) == 1


def test_a_form_from_another_site_is_refused(keeper: Visitor, sqlite_database: Database, typed: dict[str, str]) -> None:
    assert keeper.post("/markets", typed, headers={"origin": "http://elsewhere.example"}).status_code == 403
    assert kept(sqlite_database) == []


def stored_stock(database: Database) -> tuple[int, int]:
    """A market with fruit and prices; its first tray type."""
    with database.writing() as session:
        stored = stock(session)
        session.commit()
    return stored.market, stored.tray


def test_specs_are_offered_by_kind_of_fruit_and_the_one_it_has_is_chosen(
    keeper: Visitor, sqlite_database: Database, typed: dict[str, str]
) -> None:
    with sqlite_database.writing() as session:
        for name in ("avocado-codex-cxs197", "mango-codex-cxs184"):
            publish(session, library.standards()[name], datetime(2026, 1, 14, tzinfo=UTC))
        session.commit()
    market = keeper.post("/markets", typed).headers["location"].partition("?")[0]
    page = parsed(keeper.get(f"{market}/edit"))
    groups = {
        str(each["label"]): [option.get_text() for option in each.select("option")]
        for each in page.select("[name=spec_version] optgroup")
    }
    assert list(groups) == ["Avocado", "Mango"]
    assert all(name.startswith("Avocado") for name in groups["Avocado"])
    assert one(page, "[name=spec_version] option[selected]")["value"] == typed["spec_version"]
