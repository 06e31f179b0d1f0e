"""Receiving a truck in a real browser: by keyboard, without JavaScript, and the receipt on one sheet."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from shedgrade.actions import intake as actions
from shedgrade.actions.intake import DocketFacts, WeighingFacts
from shedgrade.storage.database import Database
from tests.support.accessibility import axe
from tests.support.browsing import sign_in
from tests.support.intake import Dock, facts, stored_dock, truck_form
from tests.support.season import RECEIVED


@pytest.fixture
def ids(sqlite_database: Database) -> Dock:
    return stored_dock(sqlite_database)


@pytest.fixture
def plain_page(browser: Browser, site: str, ids: Dock, sqlite_database: Database) -> Iterator[Page]:
    """A browser that runs no script, at the dock."""
    with browser.new_context(java_script_enabled=False) as context:
        sign_in(context, site, sqlite_database, ids.person)
        yield context.new_page()


@pytest.fixture
def at_the_dock(context: BrowserContext, site: str, ids: Dock, sqlite_database: Database) -> None:
    """The browser of whoever receives the truck."""
    sign_in(context, site, sqlite_database, ids.person)


def fill(page: Page, ids: Dock) -> None:
    """Type the truck's form: 440 kg in one bin, 1 760 kg in four."""
    for name, value in truck_form(ids).items():
        if name.startswith("part"):
            page.check(f"#f-{name}")
        elif name in {"block", "market", "type-1"}:
            page.select_option(f"#f-{name}", value)
        elif name not in {"rows", "do", "shown"}:
            page.fill(f"#f-{name}", value)


@pytest.mark.usefixtures("at_the_dock")
def test_enter_works_the_net_out_and_save_stores_it(tablet_page: Page, site: str, ids: Dock) -> None:
    page = tablet_page
    page.goto(f"{site}/dockets/new")
    assert axe(page) == []
    fill(page, ids)
    page.press("#f-gross-2", "Enter")
    expect(page.locator("#net h2")).to_have_text(re.compile("2.000.kg net"))
    expect(page.locator("#net")).to_be_in_viewport()
    assert axe(page) == []
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.locator("h1")).to_have_text(re.compile("2.000.kg of Calypso from Tallow Creek, Ridge 3, in 5 bins"))
    assert axe(page) == []


def test_all_of_it_works_without_javascript(plain_page: Page, site: str, ids: Dock) -> None:
    page = plain_page
    page.goto(f"{site}/dockets/new")
    fill(page, ids)
    page.get_by_role("button", name="More rows").click()
    expect(page.locator('[name^="gross-"]')).to_have_count(12)
    expect(page.locator("#f-gross-2")).to_have_value("1 760")
    page.locator(".button-row").get_by_role("button", name="Work out the net").click()
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.locator("#net")).to_contain_text("Net now")


@pytest.mark.usefixtures("at_the_dock")
def test_back_brings_the_typed_weights_again(page: Page, site: str, ids: Dock) -> None:
    page.goto(f"{site}/dockets/new")
    fill(page, ids)
    expect(page.locator("#row-3 .weighing-words")).to_have_text("Bin 6")
    page.locator(".button-row").get_by_role("button", name="Work out the net").click()
    expect(page.locator("#net")).to_be_visible()
    page.go_back()
    expect(page.locator("#f-gross-1")).to_have_value("440")
    expect(page.locator("#f-gross-2")).to_have_value("1 760")
    expect(page.locator("#row-3 .weighing-words")).to_have_text("Bin 6")


@pytest.mark.usefixtures("at_the_dock")
def test_a_telephone_shows_the_bin_type_and_the_net(page: Page, site: str, ids: Dock) -> None:
    page.set_viewport_size({"width": 390, "height": 800})
    page.goto(f"{site}/dockets/new")
    fill(page, ids)
    assert page.locator("#f-type-1").evaluate("each => each.clientWidth") > 200
    page.locator(".button-row").get_by_role("button", name="Work out the net").click()
    expect(page.locator("#net td:last-child").last).to_be_in_viewport(ratio=1)
    assert page.locator("#net .table-wrap").evaluate("each => each.scrollWidth <= each.clientWidth")
    assert axe(page) == []


@pytest.mark.usefixtures("at_the_dock")
def test_the_receipt_prints_at_a_press(page: Page, site: str, ids: Dock, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        docket = actions.add_docket(session, DocketFacts("1042", "Old red", RECEIVED))
        key = actions.add_consignment(session, docket.id or 0, facts(ids), ids.person).id
        session.commit()
    page.goto(f"{site}/consignments/{key}/receipt")
    expect(page.locator("[data-print-hint]")).to_be_hidden()
    page.evaluate("() => { window.print = () => { window.wasPrinted = true; }; }")
    page.get_by_role("button", name="Print").click()
    assert page.evaluate("() => window.wasPrinted")


@pytest.mark.usefixtures("at_the_dock")
def test_thirty_weighings_and_the_signatures_fit_one_sheet(
    page: Page, site: str, ids: Dock, sqlite_database: Database
) -> None:
    bins = [WeighingFacts(1, ids.bin_type, ids.tare, 440_333 + 500 * each) for each in range(30)]
    with sqlite_database.writing() as session:
        docket = actions.add_docket(session, DocketFacts("1042", "Old red", RECEIVED))
        key = actions.add_consignment(session, docket.id or 0, facts(ids, *bins), ids.person).id
        session.commit()
    page.goto(f"{site}/consignments/{key}/receipt")
    assert axe(page) == []
    sheet = page.pdf(prefer_css_page_size=True)
    assert len(re.findall(rb"/Type\s*/Page\b", sheet)) == 1
