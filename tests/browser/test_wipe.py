"""A wet glass is wiped: for ten seconds nothing on it answers, it says how long, and a keyboard ends it sooner."""

import pytest
from playwright.sync_api import Page, expect

from shedgrade.demo.season import spec_named
from shedgrade.storage.database import Database
from tests.support.accessibility import axe
from tests.support.bench import bench
from tests.support.browsing import sign_in


@pytest.fixture
def wiping(tablet_page: Page, site: str, sqlite_database: Database) -> Page:
    """The bench with the glass dead, its time standing still."""
    page = tablet_page
    ids = bench(sqlite_database, spec_named("kestrow-mango"))
    sign_in(page.context, site, sqlite_database, ids.grader)
    page.clock.install()
    page.goto(f"{site}/samples/{ids.sample}")
    page.clock.pause_at(page.evaluate("Date.now()") + 1_000)
    page.get_by_label("Weight", exact=True).fill("440")
    page.get_by_role("button", name="Wipe").click()
    expect(page.get_by_role("dialog", name="Wipe the glass.")).to_be_visible()
    return page


def test_no_touch_answers_until_the_time_is_over(wiping: Page) -> None:
    left = wiping.locator(".wiping-left")
    expect(left).to_have_text("10")
    size = wiping.viewport_size
    assert size is not None
    for across in range(60, size["width"], 150):
        for down in range(60, size["height"], 150):
            wiping.mouse.click(across, down)
    wiping.clock.run_for(4_000)
    expect(left).to_have_text("6")
    expect(wiping.get_by_role("dialog")).to_be_visible()
    wiping.clock.run_for(6_000)
    expect(wiping.get_by_role("dialog")).to_be_hidden()
    box = wiping.get_by_label("Weight", exact=True)
    expect(box).to_be_focused()
    expect(box).to_have_value("440")
    assert wiping.locator("input:checked").count() == 0
    assert wiping.url.endswith("/samples/1")


@pytest.mark.parametrize("key", ["Escape", "/"])
def test_a_keyboard_ends_it_sooner(wiping: Page, key: str) -> None:
    wiping.clock.run_for(2_000)
    wiping.keyboard.press(key)
    expect(wiping.get_by_role("dialog")).to_be_hidden()
    expect(wiping.get_by_label("Weight", exact=True)).to_have_value("440")
    wiping.get_by_role("button", name="Wipe").click()
    expect(wiping.locator(".wiping-left")).to_have_text("10")
    wiping.clock.run_for(9_000)  # the first count no longer runs
    expect(wiping.get_by_role("dialog")).to_be_visible()


def test_a_scale_that_types_does_not_end_it(wiping: Page) -> None:
    wiping.keyboard.type("412.5")
    wiping.keyboard.press("Enter")
    expect(wiping.get_by_role("dialog")).to_be_visible()


def test_it_can_be_heard(wiping: Page) -> None:
    wiping.clock.resume()  # axe waits by the same clock
    assert axe(wiping) == []
