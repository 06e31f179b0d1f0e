"""A shed tablet in a real browser: names, the PIN pad, and the lock that waits for a fruit on the scale."""

import re
from collections.abc import Iterator
from datetime import UTC, datetime

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect
from sqlmodel import func, select

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from shedgrade.storage.tables import FruitRow, SignIn
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
    page.wait_for_load_state()  # its scripts are all there
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
    """Let nobody touch it, once its script counts the time."""
    page.wait_for_load_state()
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
    expect(at_bench.locator("main")).to_contain_text("Fruit 1 was saved: ")
    assert fruit(sqlite_database) == 1
    press(at_bench, "Ada Birch")
    at_bench.wait_for_url(f"**/samples/{made.sample}")
    expect(at_bench.locator("#tally")).to_contain_text("1 of 50")


def test_a_fruit_that_was_refused_is_still_open(at_bench: Page, watch: Watch, sqlite_database: Database) -> None:
    key_in(at_bench, "4120")
    wait(at_bench, watch, 30)
    judge(at_bench)
    expect(at_bench.locator(".weight-box .error")).to_be_visible()
    expect(at_bench.locator(WEIGHT)).to_have_value("4120")
    at_bench.locator(WEIGHT).fill("412")
    judge(at_bench)
    expect(at_bench.locator("h1")).to_have_text("Tap your name")
    expect(at_bench.locator("main")).to_contain_text("Fruit 1 was saved: ")
    assert fruit(sqlite_database) == 1


def test_a_mark_alone_is_a_fruit_too(at_bench: Page, watch: Watch) -> None:
    at_bench.locator(".defect-key:has(input[type=checkbox])").first.click()
    wait(at_bench, watch, 30)
    expect(at_bench.locator(WEIGHT)).to_be_visible()
    press(at_bench, "Not there")
    expect(at_bench.locator("h1")).to_have_text("Tap your name")


def test_a_fruit_kept_after_the_end_leads_to_the_door_and_is_sent_behind_it(
    at_bench: Page, watch: Watch, made: Bench, sqlite_database: Database
) -> None:
    key_in(at_bench, "412")
    watch.on(hours=13)
    judge(at_bench)
    at_bench.wait_for_url(re.compile(rf"/sign-in\?next=/samples/{made.sample}"))
    expect(at_bench.locator("h1")).to_have_text("Tap your name")
    expect(at_bench.locator("#strip")).to_contain_text("1 not sent yet")
    assert fruit(sqlite_database) == 0
    press(at_bench, "Ada Birch")
    at_bench.get_by_label("Your PIN").fill(PIN)
    press(at_bench, "Sign in")
    expect(at_bench.locator("#tally")).to_contain_text("1 of 50")
    expect(at_bench.locator(".person")).to_be_in_viewport(ratio=1)
    expect(at_bench.locator("#strip")).to_contain_text("All sent")
    expect(at_bench.locator(WEIGHT)).to_have_value("")
    assert fruit(sqlite_database) == 1


def test_a_browser_of_ones_own_does_not_lock(
    page: Page, site: str, ada: int, made: Bench, sqlite_database: Database, watch: Watch
) -> None:
    sign_in(page.context, site, sqlite_database, ada)
    page.clock.install()
    page.goto(f"{site}/samples/{made.sample}")
    wait(page, watch, 59)
    page.wait_for_timeout(200)
    expect(page.locator(WEIGHT)).to_be_visible()


# Any other form is kept, and comes back.


@pytest.fixture
def dock(page: Page, site: str, cookie: str, sue: int, made: Bench, watch: Watch) -> Page:
    """Sue with an empty form for a truck, on a tablet whose time the test moves."""
    register(page.context, site, cookie)
    page.clock.install()
    page.goto(f"{site}/sign-in?next=/dockets/new")
    press(page, "Sue Marsh")
    page.get_by_label("Your PIN").fill(PIN)
    press(page, "Sign in")
    expect(page.get_by_label("Docket number")).to_be_visible()
    page.wait_for_load_state()  # its scripts are all there
    return page


@pytest.fixture
def sue(sqlite_database: Database, made: Bench) -> int:
    return somebody(sqlite_database, "Sue Marsh", Role.SUPERVISOR, pin=PIN)


def half_type(page: Page) -> None:
    page.get_by_label("Docket number").fill("1042")
    page.get_by_label("Picking team").fill("Night <team>")
    page.locator("#f-gross-2").fill("1760")
    page.locator("#f-part-2").check()


def is_half_typed(page: Page) -> None:
    expect(page.get_by_label("Docket number")).to_have_value("1042")
    expect(page.get_by_label("Picking team")).to_have_value("Night <team>")
    expect(page.locator("#f-gross-2")).to_have_value("1760")
    expect(page.locator("#f-part-2")).to_be_checked()
    expect(page.locator("form .notice")).to_contain_text("Nothing of it was saved yet.")


def test_the_lock_is_announced_and_a_touch_puts_it_off(dock: Page, watch: Watch) -> None:
    expect(dock.locator("#said")).to_be_empty()
    wait(dock, watch, 9)
    dock.clock.run_for(1_000)
    expect(dock.locator("#said")).to_have_text("Nobody has touched this for 9 minutes. It locks in a minute.")
    dock.evaluate("scrollTo(0, document.body.scrollHeight)")
    expect(dock.locator("#said")).to_be_in_viewport(ratio=1)
    assert axe(dock) == []
    dock.mouse.click(5, 400)
    expect(dock.locator("#said")).to_be_empty()
    wait(dock, watch, 2)
    expect(dock.locator("h1")).to_have_text("Receive a truck")


def test_at_the_bench_it_is_said_that_the_fruit_comes_first(at_bench: Page, watch: Watch) -> None:
    key_in(at_bench, "412")
    wait(at_bench, watch, 9)
    at_bench.clock.run_for(1_000)
    said = at_bench.locator("#said")
    expect(said).to_have_text("Nobody has touched this for 9 minutes. It locks as soon as this fruit is saved.")
    wait(at_bench, watch, 4)
    at_bench.clock.run_for(1_000)
    expect(said).to_have_text("It was time to lock 3 minutes ago. It locks as soon as this fruit is saved.")


def test_a_half_typed_load_outlives_the_lock(dock: Page, watch: Watch) -> None:
    half_type(dock)
    wait(dock, watch, 11)
    expect(dock.locator("h1")).to_have_text("Tap your name")
    expect(dock.locator("main")).to_contain_text("Locked: nobody had touched this tablet for a while.")
    expect(dock.locator("main")).to_contain_text("Sign in as Sue Marsh, and it is put back into its form.")
    expect(dock.locator(".person strong")).to_have_text("Nobody is signed in")
    assert axe(dock) == []
    press(dock, "Sue Marsh")
    is_half_typed(dock)
    assert axe(dock) == []


def test_and_a_second_lock_and_somebody_between(dock: Page, watch: Watch, site: str) -> None:
    half_type(dock)
    wait(dock, watch, 11)
    press(dock, "Sue Marsh")
    is_half_typed(dock)
    wait(dock, watch, 11)
    press(dock, "Ada Birch")
    dock.get_by_label("Your PIN").fill(PIN)
    press(dock, "Sign in")
    expect(dock.locator(".person strong")).to_have_text("Ada Birch")
    assert "Night" not in dock.content()
    dock.goto(f"{site}/me")
    press(dock, "Hand over")
    press(dock, "Sue Marsh")
    dock.wait_for_url("**/dockets/new")
    is_half_typed(dock)


def test_a_load_whose_net_was_worked_out_outlives_it_too(dock: Page, watch: Watch) -> None:
    """The page answers a form, so what was typed stands in it as if it had been drawn so."""
    half_type(dock)
    press(dock, "More rows")
    dock.locator("#f-gross-9").fill("433")
    press(dock, "Work out the net")
    expect(dock.get_by_role("alert")).to_be_visible()
    dock.wait_for_load_state()
    wait(dock, watch, 11)
    press(dock, "Sue Marsh")
    is_half_typed(dock)
    expect(dock.locator("#f-gross-9")).to_have_value("433")


# A page that is left hands in what is half-typed on it.


def own_name(page: Page) -> None:
    """Tap the own name in the header."""
    page.locator("a.person").click()
    expect(page.locator("h1")).to_contain_text("You are ")


@pytest.mark.parametrize("way_out", ["Hand over", "Sign out"])
def test_whoever_leaves_by_themselves_is_led_back_to_the_load(dock: Page, way_out: str) -> None:
    half_type(dock)
    own_name(dock)
    press(dock, way_out)
    expect(dock.locator("main")).to_contain_text("Sign in as Sue Marsh, and it is put back into its form.")
    press(dock, "Sue Marsh")
    if way_out == "Sign out":
        dock.get_by_label("Your PIN").fill(PIN)
        press(dock, "Sign in")
    dock.wait_for_url("**/dockets/new")
    is_half_typed(dock)


def test_a_link_tapped_after_the_sign_in_was_ended_loses_nothing(dock: Page, sqlite_database: Database) -> None:
    half_type(dock)
    with sqlite_database.writing() as session:
        for row in session.exec(select(SignIn)):
            row.ended_at, row.ended_by_id = datetime.now(UTC), row.person_id
            session.add(row)
        session.commit()
    dock.get_by_role("link", name="Specs").click()
    expect(dock.locator("main")).to_contain_text("Sign in as Sue Marsh, and it is put back into its form.")
    press(dock, "Sue Marsh")
    dock.get_by_label("Your PIN").fill(PIN)
    press(dock, "Sign in")
    dock.wait_for_url("**/dockets/new")
    is_half_typed(dock)


def test_whoever_comes_back_finds_it_and_can_empty_it(dock: Page, site: str) -> None:
    half_type(dock)
    for _ in range(2):
        dock.get_by_role("link", name="Specs").click()
        dock.wait_for_url("**/specs")
        dock.goto(f"{site}/dockets/new")
        is_half_typed(dock)
    assert axe(dock) == []
    dock.get_by_role("link", name="Empty the form").click()
    expect(dock.get_by_label("Docket number")).to_have_value("")
    dock.goto(f"{site}/specs")
    dock.goto(f"{site}/dockets/new")
    expect(dock.get_by_label("Docket number")).to_have_value("")
    expect(dock.locator("form .notice")).to_have_count(0)


def test_what_is_typed_before_all_scripts_are_there_is_handed_in(dock: Page, site: str) -> None:
    dock.route("**/lock.js", lambda _: None)  # a link so poor that this one never comes
    with dock.expect_response("**/half-typed.js") as part:
        dock.goto(f"{site}/dockets/new", wait_until="commit")
    part.value.finished()
    half_type(dock)
    dock.unroute("**/lock.js")
    dock.get_by_role("link", name="Specs").click()
    dock.wait_for_url("**/specs")
    dock.goto(f"{site}/dockets/new")
    is_half_typed(dock)


def test_what_was_sent_is_not_handed_in(dock: Page, site: str) -> None:
    name = dock.get_by_label("What the bin is called")
    for typed in ("Plum", "Plum lug of 1998"):
        dock.goto(f"{site}/bins/new")
        name.fill(typed)
        dock.goto(f"{site}/specs")
    dock.goto(f"{site}/bins/new")
    expect(name).to_have_value("Plum lug of 1998")
    dock.locator("main form button[type=submit]").first.click()
    dock.wait_for_url("**/bins/*/**")
    dock.goto(f"{site}/bins/new")
    expect(name).to_have_value("")


def test_the_next_person_comes_to_their_own_first_page(dock: Page, watch: Watch) -> None:
    wait(dock, watch, 11)
    press(dock, "Ada Birch")
    dock.get_by_label("Your PIN").fill(PIN)
    press(dock, "Sign in")
    dock.wait_for_url("**/consignments")


def test_a_form_filled_for_long_is_no_tablet_left_alone(dock: Page, watch: Watch) -> None:
    """Typing asks the server for nothing: it is told."""
    for weight in ("440", "1760", "433"):
        wait(dock, watch, 9)
        with dock.expect_response("**/touched"):
            dock.locator("#f-gross-2").press_sequentially(weight[0])
            dock.clock.run_for(2_000)
    press(dock, "Work out the net")
    expect(dock.get_by_role("alert")).to_be_visible()


def test_while_the_server_does_not_answer_the_page_stays(dock: Page, watch: Watch) -> None:
    half_type(dock)
    dock.route("**/locking", lambda route: route.abort())
    wait(dock, watch, 11)
    dock.clock.run_for(3_000)
    expect(dock.get_by_label("Docket number")).to_have_value("1042")
    dock.unroute("**/locking")
    dock.clock.run_for(2_000)
    expect(dock.locator("h1")).to_have_text("Tap your name")
    press(dock, "Sue Marsh")
    is_half_typed(dock)


def test_a_touch_in_another_window_puts_it_off_too(dock: Page, watch: Watch, site: str) -> None:
    half_type(dock)
    other = dock.context.new_page()
    other.goto(f"{site}/specs")
    wait(dock, watch, 9)
    other.wait_for_load_state()
    other.evaluate("new Promise((done) => setTimeout(done, 1200))")
    other.mouse.click(5, 400)
    other.evaluate("new Promise((done) => setTimeout(done, 200))")
    wait(dock, watch, 2)
    dock.clock.run_for(2_000)
    expect(dock.get_by_label("Docket number")).to_have_value("1042")


def test_after_handing_over_back_shows_nobody_s_page(dock: Page, site: str) -> None:
    dock.goto(f"{site}/consignments")
    dock.goto(f"{site}/me")
    press(dock, "Hand over: the next person taps a name")
    expect(dock.locator("h1")).to_have_text("Tap your name")
    for _ in range(2):
        dock.go_back()
        expect(dock.locator("h1")).to_have_text("Tap your name")
        expect(dock.locator(".person strong")).to_have_text("Nobody is signed in")


def test_a_page_out_of_the_browser_s_memory_is_asked_for_anew(dock: Page) -> None:
    dock.wait_for_load_state()
    with dock.expect_navigation():
        dock.evaluate("dispatchEvent(new PageTransitionEvent('pageshow', {persisted: true}))")


@pytest.fixture
def plain(browser: Browser, site: str, cookie: str) -> Iterator[Page]:
    """A tablet that runs no script."""
    with browser.new_context(java_script_enabled=False) as context:
        register(context, site, cookie)
        yield context.new_page()


def test_a_load_sent_too_late_comes_back_without_scripts(plain: Page, site: str, sue: int, watch: Watch) -> None:
    plain.goto(f"{site}/dockets/new")
    press(plain, "Sue Marsh")
    plain.get_by_label("Your PIN").fill(PIN)
    press(plain, "Sign in")
    half_type(plain)
    watch.on(minutes=30)
    press(plain, "Work out the net")
    expect(plain.locator("main")).to_contain_text("Sign in as Sue Marsh, and it is put back into its form.")
    press(plain, "Sue Marsh")
    is_half_typed(plain)


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
    expect(plain.locator("#tally")).to_contain_text("1 of 50")
