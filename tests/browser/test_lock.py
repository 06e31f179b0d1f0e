"""A shed tablet in a real browser: names, the PIN pad, and the lock that waits for a fruit on the scale."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect
from sqlmodel import func, select

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from shedgrade.storage.tables import FruitRow
from shedgrade.web.whoami import TABLET_COOKIE
from tests.support.accessibility import axe
from tests.support.bench import Bench, bench
from tests.support.bench_page import judge, key_in
from tests.support.browsing import sign_in
from tests.support.signing import PASSWORD, PIN, WRONG_PIN, Watch, somebody, tablet

WEIGHT = "#f-weight"


@pytest.fixture
def made(sqlite_database: Database) -> Bench:
    return bench(sqlite_database)


@pytest.fixture
def ada(sqlite_database: Database, made: Bench) -> int:
    return somebody(sqlite_database, "Ada Birch", Role.GRADER, password=PASSWORD, pin=PIN)


@pytest.fixture
def cookie(sqlite_database: Database, ada: int) -> str:
    """What a registered tablet holds."""
    somebody(sqlite_database, "Esther Bartholomew-Quill", pin=PIN)
    return str(tablet(sqlite_database, ada).client.cookies[TABLET_COOKIE])


@pytest.fixture
def names(tablet_page: Page, site: str, cookie: str) -> Page:
    """The tablet, showing its names."""
    register(tablet_page.context, site, cookie)
    tablet_page.goto(f"{site}/sign-in")
    return tablet_page


@pytest.fixture
def at_bench(page: Page, site: str, cookie: str, made: Bench, watch: Watch) -> Page:
    """Ada at the bench of a tablet whose time the test moves, here and at the server."""
    register(page.context, site, cookie)
    page.clock.install()
    page.goto(f"{site}/sign-in?next=/samples/{made.sample}")
    press(page, "Ada Birch")
    page.get_by_label("Your PIN").fill(PIN)
    press(page, "Sign in")
    expect(page.locator(WEIGHT)).to_be_focused()
    return page


def register(context: BrowserContext, site: str, cookie: str) -> None:
    context.add_cookies([{"name": TABLET_COOKIE, "value": cookie, "url": site}])


def press(page: Page, name: str) -> None:
    page.get_by_role("main").get_by_role("button", name=name).click()


def tap_ada(names: Page) -> None:
    """Tap Ada's name, and wait until all of the pad is there."""
    press(names, "Ada Birch")
    expect(names.locator("h1")).to_have_text("Ada Birch")
    names.wait_for_load_state()


def wait(page: Page, watch: Watch, minutes: int) -> None:
    """Let nobody touch it."""
    watch.on(minutes=minutes)
    page.clock.fast_forward(f"{minutes:02}:00")


def fruit(database: Database) -> int:
    with database.reading() as session:
        return session.exec(select(func.count()).select_from(FruitRow)).one()


def test_a_name_is_tapped_and_the_pin_typed_on_the_pad(names: Page) -> None:
    assert axe(names) == []
    tap_ada(names)
    assert axe(names) == []
    for digit in "4028177":
        names.locator(f'[data-key="{digit}"]').click()
    press(names, "Rub out the last figure")
    press(names, "Sign in")
    expect(names.locator(".person strong")).to_have_text("Ada Birch")


def test_a_wrong_pin_is_told_and_typed_again(names: Page) -> None:
    tap_ada(names)
    names.get_by_label("Your PIN").fill(WRONG_PIN)
    names.keyboard.press("Enter")
    expect(names.locator("#f-pin-error")).to_contain_text("That is not the PIN.")
    names.wait_for_load_state()
    assert axe(names) == []
    expect(names.get_by_label("Your PIN")).to_have_value("")
    names.get_by_label("Your PIN").fill(PIN)
    names.keyboard.press("Enter")
    expect(names.locator(".person strong")).to_have_text("Ada Birch")


def test_names_and_digits_are_keys_for_gloves(names: Page) -> None:
    """20 mm are 120 px and 4 mm 24 px on a tablet of 10.1 inches (static/css/bench.css)."""
    keys = [key.bounding_box() for key in names.locator(".person-key").all()]
    tap_ada(names)
    keys += [key.bounding_box() for key in names.locator(".pad-key").all()]
    assert len(keys) == 2 + 11
    assert all(key is not None and key["width"] >= 120 and key["height"] >= 120 and key["x"] >= 48 for key in keys)
    size = names.viewport_size
    assert size is not None
    assert all(key is not None and key["y"] + key["height"] <= size["height"] for key in keys)


def test_left_alone_it_asks_who_is_there_and_goes_on_after_a_tap(at_bench: Page, watch: Watch, made: Bench) -> None:
    wait(at_bench, watch, 9)
    at_bench.mouse.click(5, 400)
    wait(at_bench, watch, 9)
    expect(at_bench.locator(WEIGHT)).to_be_visible()
    wait(at_bench, watch, 2)
    expect(at_bench.locator("h1")).to_have_text("Tap your name")
    press(at_bench, "Ada Birch")
    at_bench.wait_for_url(f"**/samples/{made.sample}")
    expect(at_bench.locator(".person strong")).to_have_text("Ada Birch")


def test_a_fruit_on_the_scale_is_never_interrupted(
    at_bench: Page, watch: Watch, made: Bench, sqlite_database: Database
) -> None:
    key_in(at_bench, "412")
    wait(at_bench, watch, 30)
    at_bench.mouse.click(5, 400)
    wait(at_bench, watch, 30)
    expect(at_bench.locator(WEIGHT)).to_have_value("412")
    judge(at_bench)
    expect(at_bench.locator("h1")).to_have_text("Tap your name")
    assert fruit(sqlite_database) == 1
    press(at_bench, "Ada Birch")
    at_bench.wait_for_url(f"**/samples/{made.sample}")
    expect(at_bench.locator("#tally")).to_contain_text("1 fruit")


def test_a_fruit_that_was_refused_is_still_open(at_bench: Page, watch: Watch, sqlite_database: Database) -> None:
    key_in(at_bench, "4120")
    wait(at_bench, watch, 30)
    judge(at_bench)
    expect(at_bench.locator(".weight-box .error")).to_be_visible()
    expect(at_bench.locator(WEIGHT)).to_have_value("4120")
    at_bench.locator(WEIGHT).fill("412")
    judge(at_bench)
    expect(at_bench.locator("h1")).to_have_text("Tap your name")
    assert fruit(sqlite_database) == 1


def test_a_mark_alone_is_a_fruit_too(at_bench: Page, watch: Watch) -> None:
    at_bench.locator(".defect-key:has(input[type=checkbox])").first.click()
    wait(at_bench, watch, 30)
    expect(at_bench.locator(WEIGHT)).to_be_visible()
    at_bench.locator(".defect-key:has(input:checked)").first.click()
    expect(at_bench.locator("h1")).to_have_text("Tap your name")


def test_a_part_of_the_bench_asked_for_after_the_end_leads_to_the_door(
    at_bench: Page, watch: Watch, made: Bench
) -> None:
    key_in(at_bench, "412")
    watch.on(hours=13)
    judge(at_bench)
    at_bench.wait_for_url(re.compile(rf"/sign-in\?next=/samples/{made.sample}"))
    expect(at_bench.locator("h1")).to_have_text("Tap your name")


def test_a_browser_of_ones_own_does_not_lock(
    page: Page, site: str, ada: int, made: Bench, sqlite_database: Database, watch: Watch
) -> None:
    sign_in(page.context, site, sqlite_database, ada)
    page.clock.install()
    page.goto(f"{site}/samples/{made.sample}")
    wait(page, watch, 59)
    page.wait_for_timeout(200)
    expect(page.locator(WEIGHT)).to_be_visible()


@pytest.fixture
def plain(browser: Browser, site: str, cookie: str) -> Iterator[Page]:
    """A tablet that runs no script."""
    with browser.new_context(java_script_enabled=False) as context:
        register(context, site, cookie)
        yield context.new_page()


def test_all_of_it_works_without_scripts(
    plain: Page, site: str, made: Bench, watch: Watch, sqlite_database: Database
) -> None:
    plain.goto(f"{site}/samples/{made.sample}")
    press(plain, "Ada Birch")
    expect(plain.locator(".pad")).to_be_hidden()
    plain.get_by_label("Your PIN").fill(PIN)
    press(plain, "Sign in")
    key_in(plain, "412")
    watch.on(minutes=30)
    judge(plain)
    expect(plain.locator("h1")).to_have_text("Tap your name")
    assert fruit(sqlite_database) == 1
    press(plain, "Ada Birch")
    expect(plain.locator("#tally")).to_contain_text("1 fruit")
