"""The tally at the line in a real browser: quick taps, the keyboard, undo, and a link that is gone for a while."""

import pytest
from playwright.sync_api import Page, expect

from shedgrade.domain.people import Person, Role
from shedgrade.storage.database import Database
from shedgrade.storage.runs import run_for
from tests.support.bench import Bench, bench
from tests.support.browsing import sign_in
from tests.support.season import shed_person

MANAGER = Person(1, "", frozenset({Role.MANAGER}))
ALL_STORED = "() => JSON.parse(localStorage.getItem('taps') ?? '[]').length === 0"


@pytest.fixture
def made(sqlite_database: Database) -> Bench:
    return bench(sqlite_database)


@pytest.fixture
def at_line(page: Page, site: str, sqlite_database: Database, made: Bench) -> Page:
    """A line supervisor at the page of a run that has just been started."""
    with sqlite_database.writing() as session:
        supervisor = shed_person(session, "Sela", Role.SUPERVISOR)
        session.commit()
    sign_in(page.context, site, sqlite_database, supervisor)
    page.goto(f"{site}/runs/new?consignment={made.consignment}")
    page.get_by_role("button", name="Start the run").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("0 trays packed")
    return page


def stored(page: Page, database: Database) -> int:
    """Trays of the run that the page shows."""
    page.wait_for_function(ALL_STORED)
    with database.reading() as session:
        return run_for(session, MANAGER, int(page.url.rsplit("/", 1)[1])).state.trays


def tap(page: Page, count: int, times: int = 1) -> None:
    for _ in range(times):
        page.locator(f'button[name="cell"][value$="|{count}"]').first.click()


def shows(page: Page, count: int, trays: int) -> None:
    shown = page.locator(f'button[name="cell"][value$="|{count}"] .tally-trays').first
    expect(shown).to_have_text(str(trays))


def test_every_one_of_quick_taps_is_a_tray(at_line: Page, sqlite_database: Database) -> None:
    tap(at_line, 16, 7)
    shows(at_line, 16, 7)
    assert stored(at_line, sqlite_database) == 7
    shows(at_line, 16, 7)
    at_line.get_by_role("button", name="Undo").click()
    shows(at_line, 16, 6)
    assert stored(at_line, sqlite_database) == 6


def test_lines_are_typed_without_touching_the_glass(at_line: Page, sqlite_database: Database) -> None:
    box = at_line.get_by_label("Typed or scanned")
    box.focus()
    for line in ("a16", "a18 x3", "b16"):
        at_line.keyboard.type(line)
        at_line.keyboard.press("Enter")
    assert stored(at_line, sqlite_database) == 5
    expect(box).to_be_focused()
    shows(at_line, 18, 3)
    at_line.keyboard.type("a17")
    at_line.keyboard.press("Enter")
    expect(at_line.get_by_role("alert")).to_contain_text("is packed in counts")
    assert stored(at_line, sqlite_database) == 5


def test_taps_without_a_link_wait_and_are_stored_once(at_line: Page, sqlite_database: Database) -> None:
    at_line.context.set_offline(True)
    tap(at_line, 14, 3)
    shows(at_line, 14, 3)
    expect(at_line.locator("#said")).to_contain_text("3 entries are not stored yet")
    at_line.context.set_offline(False)
    assert stored(at_line, sqlite_database) == 3
    shows(at_line, 14, 3)
    at_line.reload()
    shows(at_line, 14, 3)
