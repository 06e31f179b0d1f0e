"""Whatever long word people typed, no page scrolls sideways: at the desk, on the tablet either way up, on a phone."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from shedgrade.demo.start import demo_settings
from shedgrade.storage.database import Database
from shedgrade.web.app import create_app
from tests.support.browsing import sign_in
from tests.support.every_page import EVERY_VISIT, Visit, person_ids, season_ids
from tests.support.serving import serve
from tests.support.templates import SqliteTemplate

SIZES = ((1280, 800), (800, 1280), (390, 844))
NAME, SOURCE = "Wolfeschlegelsteinhausenbergerdorff" * 2 + "Voralte", "Rechtsschutzversicherung" * 7 + "Gesellschaft"
# What reaches furthest to the right, to be told where a page scrolls.
WIDEST = """() => [...document.querySelectorAll('main *, header *')]
  .map((each) => [each.getBoundingClientRect().right, each.outerHTML.slice(0, 160)])
  .sort((one, other) => other[0] - one[0])[0].join(' ')"""
# The names people give, in letters without a space: each as long as its form takes or nearly so.
LONG = {
    "person": ("name", NAME),
    "grower": ("name", NAME),
    "block": ("name", NAME),
    "market": ("name", NAME),
    "bin_type": ("name", NAME),
    "tray_type": ("name", NAME),
    "quote": ("buyer", NAME),
    "docket": ("number", "D-/" + "10010" * 5),
}


@pytest.fixture(scope="module")
def told_at_length(demo_template: SqliteTemplate, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Database]:
    with demo_template.copy(tmp_path_factory.mktemp("long")) as database:
        yield database


@pytest.fixture(scope="module")
def everybody(told_at_length: Database) -> dict[str, int]:
    return person_ids(told_at_length)


@pytest.fixture(scope="module")
def ids(told_at_length: Database) -> dict[str, int]:
    return season_ids(told_at_length)


@pytest.fixture(scope="module")
def long_site(told_at_length: Database, everybody: dict[str, int], ids: dict[str, int]) -> Iterator[str]:
    """The demo season, every name in it made long once everybody and everything is known by its id."""
    assert everybody
    assert ids
    with told_at_length.writing() as session:
        statement = session.connection().exec_driver_sql
        for table, (column, word) in LONG.items():
            statement(f"UPDATE {table} SET {column} = ? || id", (word,))
        statement(
            "INSERT INTO setting (key, valid_from, value, source, set_at, set_by_id) VALUES"
            " ('keeping-years', '2026-01-01', '7', ?, '2026-01-01 00:00:00', 1),"
            " ('keeping-years', '2026-01-02', '8', ?, '2026-01-02 00:00:00', 1),"
            " ('shed-name', '2026-01-01', ?, ?, '2026-01-01 00:00:00', 1)",
            (SOURCE, SOURCE, NAME, SOURCE),
        )
        session.commit()
    with serve(create_app(demo_settings(told_at_length.url), told_at_length)) as address:
        yield address


@pytest.fixture(scope="module")
def tab(browser: Browser) -> Iterator[Page]:
    with browser.new_context() as context:
        yield context.new_page()


@pytest.mark.parametrize("visit", EVERY_VISIT, ids=str)
def test_no_page_scrolls_sideways(
    tab: Page,
    long_site: str,
    told_at_length: Database,
    everybody: dict[str, int],
    ids: dict[str, int],
    visit: Visit,
) -> None:
    sign_in(tab.context, long_site, told_at_length, everybody[visit.person])
    tab.goto(long_site + visit.address.format(**ids))
    sideways = []
    for width, height in SIZES:
        tab.set_viewport_size({"width": width, "height": height})
        if tab.evaluate("document.documentElement.scrollWidth > innerWidth"):
            sideways.append(f"{width}x{height}: {tab.evaluate(WIDEST)}")
    assert sideways == []


def test_a_docket_s_number_is_not_broken_at_its_stroke(
    tab: Page, long_site: str, told_at_length: Database, everybody: dict[str, int], ids: dict[str, int]
) -> None:
    with told_at_length.writing() as session:
        session.connection().exec_driver_sql("UPDATE docket SET number = 'D-/1001' WHERE id = ?", (ids["docket_id"],))
        session.commit()
    sign_in(tab.context, long_site, told_at_length, everybody["Line supervisor"])
    for width, height in SIZES:
        tab.set_viewport_size({"width": width, "height": height})
        tab.goto(f"{long_site}/dockets/{ids['docket_id']}")
        number = tab.get_by_role("heading", level=1).get_by_text("D-/1001")
        expect(number).to_be_visible()
        assert number.evaluate("each => each.getClientRects().length") == 1
        assert number.evaluate("each => each.offsetHeight < 1.6 * parseFloat(getComputedStyle(each).fontSize)")


@pytest.mark.parametrize("address", ["/markets/{market_id}", "/markets/{market_id}/prices/new"])
def test_prices_stack_on_a_phone_instead_of_leaving_the_screen(
    tab: Page, long_site: str, told_at_length: Database, everybody: dict[str, int], ids: dict[str, int], address: str
) -> None:
    sign_in(tab.context, long_site, told_at_length, everybody["Shed manager"])
    tab.set_viewport_size({"width": 390, "height": 844})
    tab.goto(long_site + address.format(**ids))
    tables = tab.locator("table:visible")
    assert tables.count() > 1
    assert (
        tables.evaluate_all("all => all.filter((each) => each.getBoundingClientRect().right > innerWidth).length") == 0
    )
    assert (
        tab.locator("td[data-word]:visible")
        .first.evaluate("each => getComputedStyle(each, '::before').content")
        .endswith('s"')
    )
