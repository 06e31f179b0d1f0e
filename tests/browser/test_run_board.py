"""A run's board in a real browser: it asks for itself, says its age when nothing answers, and fits the screen."""

import pytest
from playwright.sync_api import Page, Route, expect

from shedgrade.domain.run import events as say
from shedgrade.domain.run.events import Cell
from shedgrade.storage.database import Database
from tests.support.browsing import sign_in
from tests.support.runs import at
from tests.support.season import shed_person
from tests.support.worked_run import Worked, begun, entered, packed_as_worked


@pytest.fixture
def worked(sqlite_database: Database) -> Worked:
    with sqlite_database.writing() as session:
        found = begun(session, bins=40)
        entered(session, found, packed_as_worked(found))
        session.commit()
    return found


@pytest.fixture
def at_board(page: Page, site: str, sqlite_database: Database, worked: Worked) -> Page:
    """A grader before the board, whose browser's clock the test sets."""
    with sqlite_database.writing() as session:
        grader = shed_person(session)
        session.commit()
    sign_in(page.context, site, sqlite_database, grader)
    page.clock.install()
    page.goto(f"{site}/runs/{worked.run}/board")
    return page


def test_after_ten_seconds_it_shows_what_was_packed_since(
    at_board: Page, sqlite_database: Database, worked: Worked
) -> None:
    best = at_board.get_by_role("row", name="Class II").locator(".board-all")
    expect(best).to_have_text("300")
    with sqlite_database.writing() as session:
        entered(session, worked, [say.TraysPacked(at(40), Cell(1, "II", worked.tray, (16,)), 5)])
        session.commit()
    at_board.clock.run_for(10_500)
    expect(best).to_have_text("305")


def test_without_an_answer_what_stands_stays_and_its_age_is_said(at_board: Page) -> None:
    old, heading = at_board.locator("#board-old"), at_board.get_by_role("heading", level=1)
    expect(old).to_be_hidden()

    def broken(route: Route) -> None:
        route.fulfill(status=502, body="The door is here, the shed is not.")

    at_board.route("**/board/now", broken)
    at_board.clock.run_for(31_000)
    expect(old).to_contain_text("30 seconds old.")
    at_board.clock.run_for(100_000)
    expect(old).to_contain_text("2 minutes old.")
    expect(heading).to_contain_text("20 of 40 bins tipped")
    at_board.unroute("**/board/now")
    at_board.clock.run_for(10_500)
    expect(old).to_be_hidden()
