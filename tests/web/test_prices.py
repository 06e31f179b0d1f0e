"""A market's next price list: one form, and everything it refuses."""

from datetime import UTC, date, datetime, timedelta

import pytest
from bs4 import BeautifulSoup

from shedgrade.domain.people import Role
from shedgrade.domain.units import say_day
from shedgrade.storage import markets
from shedgrade.storage.database import Database
from shedgrade.storage.markets import Prices
from tests.support.stock import Stock, stock
from tests.support.visitor import Visitor, error_at, parsed, typed_in, visitor, words


@pytest.fixture
def keeper(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.MANAGER)


@pytest.fixture
def stored(sqlite_database: Database) -> Stock:
    with sqlite_database.writing() as session:
        stored = stock(session)
        session.commit()
    return stored


def typed(stored: Stock, **changes: str) -> dict[str, str]:
    """A good form: Extra 16s 26.5, waste -6 cents."""
    fields = {"valid_from": "2026-02-01", "version": "2"}
    fields |= {f"tray-{stored.tray}-Extra-16": "26.5", "outlet-waste": "-0.06"}
    return fields | changes


def lists(database: Database, stored: Stock) -> int:
    with database.reading() as session:
        return len(markets.price_lists(session, stored.market))


def in_force(database: Database, stored: Stock, day: date) -> Prices:
    with database.reading() as session:
        found = markets.prices_in_force(session, stored.market, day)
    assert found is not None
    return found


def test_the_form_is_filled_from_the_list_in_force(keeper: Visitor, stored: Stock) -> None:
    page = parsed(keeper.get(f"/markets/{stored.market}/prices/new"))
    assert typed_in(page, f"tray-{stored.tray}-Extra-16") == "24.00"
    assert typed_in(page, f"tray-{stored.tray}-II-20") == ""
    assert typed_in(page, "outlet-waste") == "-0.10"
    assert len(page.select('input[name^="tray-"]')) == 3 * 4


def test_keeps_a_list_and_blank_cells_have_no_price(keeper: Visitor, sqlite_database: Database, stored: Stock) -> None:
    blank = {f"tray-{stored.tray}-Extra-18": "  ", "note": "after the holiday"}
    answer = keeper.post(f"/markets/{stored.market}/prices", typed(stored, **blank))
    assert (answer.status_code, answer.headers["location"]) == (303, f"/markets/{stored.market}")
    kept = in_force(sqlite_database, stored, date(2026, 2, 1))
    assert dict(kept.tray_minor) == {(stored.tray, "Extra", 16): 2650}
    assert (dict(kept.outlet_kg_minor), kept.note) == ({"waste": -6}, "after the holiday")
    assert in_force(sqlite_database, stored, date(2026, 1, 31)).tray_minor[stored.tray, "Extra", 16] == 2400


def test_money_is_read_in_the_markets_currency(keeper: Visitor, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        yen = stock(session, prices=False, currency="JPY")
        session.commit()
    field = f"tray-{yen.tray}-Extra-16"
    refused = keeper.post(
        f"/markets/{yen.market}/prices", {"valid_from": "2026-02-01", "version": "1", field: "2600.5"}
    )
    assert "JPY has no decimals" in error_at(parsed(refused), field)
    keeper.post(f"/markets/{yen.market}/prices", {"valid_from": "2026-02-01", "version": "1", field: "2 600"})
    assert in_force(sqlite_database, yen, date(2026, 2, 1)).tray_minor[yen.tray, "Extra", 16] == 2600


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("valid_from", "", "Fill this in."),
        ("valid_from", "soon", "2026-01-12"),
        ("valid_from", "2025-12-31", "The list in force began on Thu 1 Jan 2026"),
        ("valid_from", "2999-01-01", "over a year away"),
        ("tray", "dear", "is not a number"),
        ("tray", "-1", "less than nothing"),
        ("tray", "26.555", "up to 2 decimals"),
        ("tray", "26 EUR", "unknown unit"),
        ("tray", "10000000.01", "too much"),
        ("outlet-waste", "--1", "less than nothing"),
        ("outlet-waste", "-99999999", "too much"),
        ("note", "x" * 201, "at most 200 fit"),
    ],
)
def test_refuses_by_the_field(
    keeper: Visitor, sqlite_database: Database, stored: Stock, field: str, value: str, sentence: str
) -> None:
    name = f"tray-{stored.tray}-Extra-16" if field == "tray" else field
    answer = keeper.post(f"/markets/{stored.market}/prices", typed(stored, **{name: value}))
    page = parsed(answer)
    assert answer.status_code == 422
    assert sentence in error_at(page, name)
    assert typed_in(page, name) == value
    other = "outlet-waste" if name != "outlet-waste" else "valid_from"
    assert typed_in(page, other) == typed(stored)[other]
    assert lists(sqlite_database, stored) == 1


def again(page: BeautifulSoup) -> dict[str, str]:
    """Every field of the price form as it came back."""
    return {str(field["name"]): str(field.get("value", "")) for field in page.select(".price-form input")}


def beside(page: BeautifulSoup, field: str) -> str:
    return words(page, f"#f-{field}-look").replace("\u202f", " ")


@pytest.mark.parametrize(
    ("value", "sentence"),
    [
        ("2400", "2 400.00 is 100 times the 24.00 in force. Save again if that is right."),
        ("72.01", "72.01 is 3 times the 24.00 in force."),
        ("7.99", "7.99 is less than a third of the 24.00 in force."),
        ("0", "0.00 is less than a third of the 24.00 in force."),
    ],
)
def test_a_price_far_from_the_one_in_force_comes_back_once(
    keeper: Visitor, sqlite_database: Database, stored: Stock, value: str, sentence: str
) -> None:
    field, address = f"tray-{stored.tray}-Extra-16", f"/markets/{stored.market}/prices"
    answer = keeper.post(address, typed(stored, **{field: value}))
    page = parsed(answer)
    assert answer.status_code == 409
    assert beside(page, field).startswith(f"Extra Class 16s: {sentence}")
    assert typed_in(page, field) == value
    assert lists(sqlite_database, stored) == 1
    assert keeper.post(address, again(page)).status_code == 303
    assert lists(sqlite_database, stored) == 2


def test_another_slip_after_the_second_look_is_asked_about_afresh(
    keeper: Visitor, sqlite_database: Database, stored: Stock
) -> None:
    field, address = f"tray-{stored.tray}-Extra-16", f"/markets/{stored.market}/prices"
    shown = again(parsed(keeper.post(address, typed(stored, **{field: "2400"}))))
    answer = keeper.post(address, shown | {field: "240"})
    assert answer.status_code == 409
    assert "240.00 is 10 times" in beside(parsed(answer), field)
    assert lists(sqlite_database, stored) == 1


@pytest.mark.parametrize("value", ["8", "72", "", "24"])
def test_a_price_within_three_times_is_kept_at_once(
    keeper: Visitor, sqlite_database: Database, stored: Stock, value: str
) -> None:
    changed = typed(stored, **{f"tray-{stored.tray}-Extra-16": value})
    assert keeper.post(f"/markets/{stored.market}/prices", changed).status_code == 303
    assert lists(sqlite_database, stored) == 2


def test_an_outlet_price_that_changes_its_sign_comes_back_once(
    keeper: Visitor, sqlite_database: Database, stored: Stock
) -> None:
    answer = keeper.post(f"/markets/{stored.market}/prices", typed(stored, **{"outlet-waste": "0.06"}))
    assert answer.status_code == 409
    assert "0.06 would be paid the other way round: \N{MINUS SIGN}0.10 is in force" in beside(
        parsed(answer), "outlet-waste"
    )
    assert lists(sqlite_database, stored) == 1


def test_a_second_list_from_the_same_day_takes_the_first_ones_place(
    keeper: Visitor, sqlite_database: Database, stored: Stock
) -> None:
    address = f"/markets/{stored.market}/prices"
    begins = datetime.now(UTC).date() + timedelta(days=30)
    for version, price in (("2", "26"), ("3", "27")):
        changed = typed(stored, valid_from=f"{begins:%Y-%m-%d}", version=version)
        changed[f"tray-{stored.tray}-Extra-16"] = price
        assert keeper.post(address, changed).status_code == 303
    found = in_force(sqlite_database, stored, begins)
    assert found.tray_minor[stored.tray, "Extra", 16] == 2700
    page = words(parsed(keeper.get(f"/markets/{stored.market}")))
    assert f"List 2, from {say_day(begins)}, replaced the same day by list 3" in page
    assert "26.00" in page


def test_a_list_that_takes_the_place_of_one_in_force_for_days_is_asked_about(
    keeper: Visitor, sqlite_database: Database, stored: Stock
) -> None:
    address = f"/markets/{stored.market}/prices"
    answer = keeper.post(address, typed(stored, valid_from="2026-01-01"))
    assert "takes its place, for all fruit received since then" in beside(parsed(answer), "valid_from")
    assert lists(sqlite_database, stored) == 1
    assert keeper.post(address, again(parsed(answer))).status_code == 303
    assert in_force(sqlite_database, stored, date(2026, 1, 20)).tray_minor[stored.tray, "Extra", 16] == 2650


def test_a_list_without_a_price_is_refused(keeper: Visitor, sqlite_database: Database, stored: Stock) -> None:
    answer = keeper.post(f"/markets/{stored.market}/prices", {"valid_from": "2026-02-01"})
    assert answer.status_code == 422
    assert "Type at least one" in error_at(parsed(answer), "prices")
    assert lists(sqlite_database, stored) == 1


def test_the_same_form_twice_stores_once(keeper: Visitor, sqlite_database: Database, stored: Stock) -> None:
    address = f"/markets/{stored.market}/prices"
    assert [keeper.post(address, typed(stored, form_key="k")).status_code for _ in range(2)] == [303, 303]
    assert lists(sqlite_database, stored) == 2


@pytest.mark.parametrize("market_id", ["0", "77", "none", "9" * 25])
def test_an_unknown_market_is_not_here(keeper: Visitor, stored: Stock, market_id: str) -> None:
    assert keeper.get(f"/markets/{market_id}/prices/new").status_code == 404
    assert keeper.post(f"/markets/{market_id}/prices", typed(stored)).status_code == 404


@pytest.mark.parametrize("role", [Role.SUPERVISOR, Role.GRADER, Role.MARKETER, Role.GROWER])
def test_only_the_manager_sets_prices(sqlite_database: Database, stored: Stock, role: Role) -> None:
    someone = visitor(sqlite_database, role)
    assert someone.get(f"/markets/{stored.market}/prices/new").status_code == 403
    assert someone.post(f"/markets/{stored.market}/prices", typed(stored)).status_code == 403
    assert lists(sqlite_database, stored) == 1


def test_a_form_from_another_site_is_refused(keeper: Visitor, sqlite_database: Database, stored: Stock) -> None:
    headers = {"origin": "http://elsewhere.example"}
    assert keeper.post(f"/markets/{stored.market}/prices", typed(stored), headers=headers).status_code == 403
    assert lists(sqlite_database, stored) == 1
