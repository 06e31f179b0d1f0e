"""A run's board in a real browser: it asks for itself, says its age when nothing answers, and fits the screen."""

import re

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


def asked_and_answered(page: Page) -> None:
    """Ten seconds go by, and with them one question and its answer."""
    with page.expect_response("**/board/now"):
        page.clock.run_for(10_000)


def test_after_ten_seconds_it_shows_what_was_packed_since(
    at_board: Page, sqlite_database: Database, worked: Worked
) -> None:
    best = at_board.get_by_role("row", name="Class II").locator(".board-all")
    expect(best).to_have_text("300")
    with sqlite_database.writing() as session:
        entered(session, worked, [say.TraysPacked(at(40), Cell(1, "II", worked.tray, (16,)), 5)])
        session.commit()
    asked_and_answered(at_board)
    expect(best).to_have_text("305")


def test_without_an_answer_what_stands_stays_and_its_age_is_said(at_board: Page) -> None:
    old, heading = at_board.locator("#board-old"), at_board.get_by_role("heading", level=1)
    expect(old).to_be_hidden()

    def broken(route: Route) -> None:
        route.fulfill(status=502, body="The door is here, the shed is not.")

    at_board.route("**/board/now", broken)
    for _ in range(3):
        asked_and_answered(at_board)
    expect(old).to_contain_text(re.compile(r"3[05] seconds old\. The shed's computer does not answer"))
    for _ in range(4):
        asked_and_answered(at_board)
    expect(old).to_contain_text("1 minute old.")
    expect(heading).to_contain_text("20 of 40 bins tipped")
    at_board.unroute("**/board/now")
    asked_and_answered(at_board)
    at_board.clock.run_for(1_500)
    expect(old).to_be_hidden()
