"""Two people at two windows, the same row open in both: the later one sees what the first one stored."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from shedgrade.actions.people import add_person
from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from shedgrade.storage.tables import Block
from tests.support import season
from tests.support.browsing import sign_in
from tests.support.complaints import complaints_of

ADA, BERT = "Ada Thorne", "Bert Moss"


@pytest.fixture
def block_id(sqlite_database: Database) -> int:
    with sqlite_database.writing() as session:
        block_id = season.block(session, season.grower(session))
        session.commit()
    return block_id


def window(context: BrowserContext, site: str, database: Database, name: str) -> Page:
    """A window of its own in which this person is signed in."""
    with database.writing() as session:
        person_id = add_person(session, name, frozenset({Role.MANAGER}))
        session.commit()
    sign_in(context, site, database, person_id)
    return context.new_page()


@pytest.fixture
def windows(browser: Browser, site: str, sqlite_database: Database) -> Iterator[tuple[Page, Page]]:
    with browser.new_context() as one, browser.new_context() as other:
        pages = window(one, site, sqlite_database, ADA), window(other, site, sqlite_database, BERT)
        complaints = [complaints_of(page) for page in pages]
        yield pages
        assert complaints == [[], []]


def stored(database: Database, block_id: int) -> str:
    with database.reading() as session:
        return session.get_one(Block, block_id).name


def test_the_second_window_shows_both_sides_and_saves_on_request(
    windows: tuple[Page, Page], site: str, sqlite_database: Database, block_id: int
) -> None:
    ada, bert = windows
    for page in windows:
        page.goto(f"{site}/blocks/{block_id}/edit")
    ada.get_by_label("Name of the block").fill("Ridge 4")
    ada.get_by_role("button", name="Save").click()
    expect(ada.get_by_role("heading", level=1)).to_contain_text("Growers")
    bert.get_by_label("Name of the block").fill("Ridge Three")
    bert.get_by_label("Area").fill("2.5")
    bert.get_by_role("button", name="Save").click()
    notice = bert.locator(".notice")
    expect(notice).to_contain_text(f"{ADA} saved this at")
    expect(notice).to_contain_text("Stored now: Ridge 4, Mango, Calypso, 2.1")
    expect(bert.get_by_label("Name of the block")).to_have_value("Ridge Three")
    expect(bert.get_by_label("Area")).to_have_value("2.5")
    assert stored(sqlite_database, block_id) == "Ridge 4"
    bert.get_by_role("button", name="Save").click()
    expect(bert.get_by_role("heading", level=1)).to_contain_text("Growers")
    assert stored(sqlite_database, block_id) == "Ridge Three"
    ada.goto(f"{site}/blocks/{block_id}/history")
    told = ada.locator(".history li")
    expect(told.nth(0)).to_contain_text(f"{BERT} changed the name from Ridge 4 to Ridge Three")
    expect(told.nth(0)).to_contain_text("changed the area from 2.1 ha to 2.5 ha")
    expect(told.nth(1)).to_contain_text(f"{ADA} changed the name from Ridge 3 to Ridge 4")


def test_the_second_window_can_leave_it_as_the_first_one_stored_it(
    windows: tuple[Page, Page], site: str, sqlite_database: Database, block_id: int
) -> None:
    ada, bert = windows
    for page, name in zip(windows, ("Ridge 4", "Ridge Three"), strict=True):
        page.goto(f"{site}/blocks/{block_id}/edit")
        page.get_by_label("Name of the block").fill(name)
    ada.get_by_role("button", name="Save").click()
    bert.get_by_role("button", name="Save").click()
    expect(bert.locator(".notice")).to_contain_text("Stored now: Ridge 4")
    bert.get_by_role("link", name="Back", exact=True).click()
    expect(bert.get_by_role("heading", level=1)).to_contain_text("Growers")
    assert stored(sqlite_database, block_id) == "Ridge 4"
