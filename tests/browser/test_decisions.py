"""What a tablet kept and the server did not take: decided once, by the right person, in the way of nothing else."""

from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any
from unittest.mock import patch

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, Page, Route, expect
from sqlmodel import col, select, update

from shedgrade.actions.samples import void_sample
from shedgrade.actions.sign_ins import sign_in as opened_sign_in
from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from shedgrade.storage.tables import FruitCapture, Sample, Tablet
from shedgrade.web.saved_fruit import save_and_commit
from shedgrade.web.static_files import static_address
from shedgrade.web.whoami import COOKIE, TABLET_COOKIE
from tests.support import season
from tests.support.bench import Bench, bench
from tests.support.bench_page import judge, key_in
from tests.support.browsing import sign_in
from tests.support.kept_fruit import (
    UNREADABLE,
    WAITS_MS,
    Typed,
    all_sent,
    capture,
    fruit_of,
    stored_as_typed,
    strip,
    typed,
    weights,
)
from tests.support.signing import somebody, tablet

NOW = datetime(2026, 1, 12, 12, tzinfo=UTC)

# The tablet's own newest entry is changed, as if the id had been given to another fruit.
CHANGE_NEWEST = """async (module) => {
  const store = await import(module);
  const newest = (await store.all()).at(-1);
  await store.changeAll([[newest.key, { state: "waiting", fields: [["weight", "300"]], words: "300 g" }]]);
}"""
STORE = f"{static_address()}/js/bench/store.js"


@pytest.fixture
def made(sqlite_database: Database) -> Bench:
    return bench(sqlite_database)


@pytest.fixture
def her_browser(browser: Browser, site: str, sqlite_database: Database, made: Bench) -> Iterator[BrowserContext]:
    """A browser that meets faults; without a service worker, which would take its requests out of a test's hand."""
    with browser.new_context(service_workers="block") as context:
        sign_in(context, site, sqlite_database, made.grader)
        yield context


@pytest.fixture
def at_bench(her_browser: BrowserContext, site: str, made: Bench) -> Page:
    return bench_in(her_browser, site, made.sample)


def bench_in(context: BrowserContext, site: str, sample: int) -> Page:
    page = context.new_page()
    page.goto(f"{site}/samples/{sample}")
    expect(strip(page)).to_be_visible()
    return page


def to_decide(page: Page, site: str) -> Locator:
    """The one thing on the page of what is not sent that waits for a person."""
    expect(strip(page)).to_contain_text("1 to decide", timeout=WAITS_MS)
    expect(strip(page)).not_to_contain_text("All sent")
    expect(strip(page)).to_have_attribute("href", "/unsent")
    page.goto(f"{site}/unsent")
    item = page.locator(".unsent-list li")
    expect(item).to_have_count(1)
    return item


def that_differs(page: Page, site: str) -> Locator:
    capture(page, typed(1))
    all_sent(page)
    page.evaluate(CHANGE_NEWEST, STORE)
    page.reload()
    return to_decide(page, site)


def test_a_fruit_that_differs_is_stored_as_another_and_once(
    at_bench: Page, site: str, sqlite_database: Database, made: Bench
) -> None:
    item = that_differs(at_bench, site)
    expect(item).to_contain_text("The server has: 200.1\u202fg")
    expect(item).to_contain_text("This tablet has: 300\u202fg")
    item.get_by_role("button", name="Store it as another fruit").evaluate("(key) => { key.click(); key.click(); }")
    all_sent(at_bench)
    assert weights(sqlite_database, made) == ["200.1", "300.0"]


def test_what_two_windows_decide_about_is_decided_once(
    at_bench: Page, site: str, sqlite_database: Database, made: Bench
) -> None:
    other = at_bench.context.new_page()
    that_differs(at_bench, site)
    other.goto(f"{site}/unsent")
    expect(other.locator(".unsent-list li")).to_have_count(1)
    other.evaluate("window.left = [...document.querySelectorAll('.unsent-list button')]")
    at_bench.get_by_role("button", name="Store it as another fruit").click()
    all_sent(at_bench)
    other.evaluate("window.left.find((each) => each.textContent.startsWith('Store it')).click()")
    other.wait_for_timeout(500)
    all_sent(other)
    assert weights(sqlite_database, made) == ["200.1", "300.0"]


def test_a_fruit_put_right_in_two_windows_is_kept_once_until_it_is_judged_again(
    at_bench: Page, site: str, sqlite_database: Database, made: Bench
) -> None:
    at_bench.context.set_offline(True)
    capture(at_bench, Typed(UNREADABLE, "2.5"))
    at_bench.context.set_offline(False)
    item = to_decide(at_bench, site)
    address = item.get_by_role("link", name="Put it right").evaluate("(link) => link.href")
    windows = at_bench, at_bench.context.new_page()
    for page in windows:
        page.goto(address)
        expect(page.locator("#f-mark-rub")).to_have_value("2.5")
    for page in windows:
        key_in(page, "412")
        judge(page)
        all_sent(page)  # the one thing to decide is decided
    expect(windows[1].locator("#said")).to_contain_text("decided about already")
    assert weights(sqlite_database, made) == ["412.0"]
    judge(windows[1])
    expect(windows[1].get_by_text("Fruit 2 saved.")).to_be_visible()
    assert weights(sqlite_database, made) == ["412.0", "412.0"]


def test_a_fruit_of_a_sample_that_was_closed_goes_into_another(
    at_bench: Page, site: str, sqlite_database: Database, made: Bench
) -> None:
    with sqlite_database.writing() as session:
        other = season.sample(session, made.consignment, tray_type_id=made.tray)
        session.execute(update(Sample).where(col(Sample.id) == other).values(started_at=NOW))
        session.commit()
    there = bench_in(at_bench.context, site, other)
    capture(there, typed(1))
    all_sent(there)
    there.close()
    at_bench.context.set_offline(True)
    capture(at_bench, typed(2))
    with sqlite_database.writing() as session:
        void_sample(session, made.sample, "wrong bins", made.grader, NOW)
        session.commit()
    at_bench.context.set_offline(False)
    item = to_decide(at_bench, site)
    expect(item).to_contain_text("This sample was voided")
    item.get_by_role("button", name="Put it into the sample of 1042-1").click()
    all_sent(at_bench)
    assert weights(sqlite_database, made) == []
    assert [stored_as_typed(each) for each in fruit_of(sqlite_database, other)] == [typed(1), typed(2)]


def test_an_undone_fruit_that_the_server_does_not_take_is_left_out_with_its_undo(
    at_bench: Page, site: str, sqlite_database: Database, made: Bench
) -> None:
    at_bench.context.set_offline(True)
    capture(at_bench, Typed(UNREADABLE, ""))
    at_bench.get_by_role("button", name="Undo").click()
    expect(at_bench.locator("#last")).to_contain_text("It counts no longer.")
    capture(at_bench, typed(2))
    at_bench.context.set_offline(False)
    all_sent(at_bench)
    assert weights(sqlite_database, made) == ["200.2"]
    at_bench.goto(f"{site}/unsent")
    expect(at_bench.locator(".unsent-list li")).to_have_count(2)
    expect(at_bench.locator(".unsent-list li").first).to_contain_text("Left out: undone at the bench")


def test_faults_over_the_first_fifty_hold_up_nothing_behind_them(
    at_bench: Page, sqlite_database: Database, made: Bench
) -> None:
    fruit = [typed(each) for each in range(53)]

    def faulty(session: Any, sample: Any, rules: Any, entry: Any, measured_by: Any) -> Any:
        if entry.fruit.weight_dg < 2050:
            raise RuntimeError
        return save_and_commit(session, sample, rules, entry, measured_by)

    at_bench.context.set_offline(True)
    capture(at_bench, *fruit)
    with patch("shedgrade.web.taking_in.save_and_commit", faulty):
        at_bench.context.set_offline(False)
        expect(strip(at_bench)).to_contain_text("50 not sent yet", timeout=WAITS_MS)
        expect(strip(at_bench)).to_contain_text("met a fault, it is tried again")
        assert weights(sqlite_database, made) == ["205.0", "205.1", "205.2"]
    all_sent(at_bench)
    assert sorted(weights(sqlite_database, made)) == [each.weight for each in fruit]


@pytest.mark.parametrize(
    ("kind", "body"),
    [("text/html", "<h1>Sign in to this network</h1>"), ("application/json", "{}"), ("application/json", "null")],
)
def test_a_page_of_the_network_in_place_of_the_answer_is_no_answer(
    kind: str, body: str, at_bench: Page, sqlite_database: Database, made: Bench
) -> None:
    wrong: list[str] = []
    at_bench.on("pageerror", lambda error: wrong.append(str(error)))

    def portal(route: Route) -> None:
        route.fulfill(status=200, content_type=kind, body=body)

    at_bench.route("**/fruit-entries*", portal)
    capture(at_bench, typed(1))
    expect(strip(at_bench)).to_contain_text("1 not sent yet")
    expect(strip(at_bench)).to_contain_text("no link since")
    at_bench.unroute("**/fruit-entries*", portal)
    all_sent(at_bench)  # by itself
    assert weights(sqlite_database, made) == ["200.1"]
    assert wrong == []


def test_who_sends_is_who_is_signed_in_now_and_not_whose_page_it_is(
    at_bench: Page, her_browser: BrowserContext, site: str, sqlite_database: Database, made: Bench
) -> None:
    """In another window somebody else signs in, and the first comes back."""
    bea = somebody(sqlite_database, "Bea Rowan", Role.GRADER)
    sign_in(her_browser, site, sqlite_database, bea)
    capture(at_bench, typed(1))
    at_unsent = her_browser.new_page()
    at_unsent.goto(f"{site}/unsent")
    item = at_unsent.locator(".unsent-list li")
    expect(item).to_contain_text("has to sign in here to send it.")
    expect(item.get_by_role("button", name="Bea Rowan measured it")).to_be_visible()
    at_unsent.close()
    sign_in(her_browser, site, sqlite_database, made.grader)
    capture(at_bench, typed(2))
    all_sent(at_bench)
    kept = fruit_of(sqlite_database, made.sample)
    assert {(stored_as_typed(each).weight, each.measured_by_id) for each in kept} == {
        ("200.1", made.grader),
        ("200.2", made.grader),
    }


def test_at_a_tablet_of_the_shed_the_next_person_sends_what_the_last_one_measured(
    at_bench: Page, her_browser: BrowserContext, site: str, sqlite_database: Database, made: Bench
) -> None:
    ada, bea = (somebody(sqlite_database, name, Role.GRADER) for name in ("Ada Birch", "Bea Rowan"))
    cookie = str(tablet(sqlite_database, ada).client.cookies[TABLET_COOKIE])
    her_browser.add_cookies([{"name": TABLET_COOKIE, "value": cookie, "url": site}])
    sign_in_at_tablet(her_browser, site, sqlite_database, ada)
    at_bench.goto(f"{site}/samples/{made.sample}")
    expect(at_bench.locator(".person strong")).to_have_text("Ada Birch")
    her_browser.set_offline(True)
    capture(at_bench, typed(1))
    sign_in_at_tablet(her_browser, site, sqlite_database, bea)
    her_browser.set_offline(False)
    all_sent(at_bench)
    at_bench.goto(f"{site}/samples/{made.sample}")
    expect(at_bench.locator(".person strong")).to_have_text("Bea Rowan")
    capture(at_bench, typed(2))
    expect(at_bench.get_by_text("Fruit 2 saved.")).to_be_visible()
    kept = fruit_of(sqlite_database, made.sample)
    assert [(stored_as_typed(each).weight, each.measured_by_id) for each in kept] == [("200.1", ada), ("200.2", bea)]
    with sqlite_database.reading() as session:
        sent = session.exec(select(FruitCapture.sent_by_id).order_by(col(FruitCapture.fruit_id))).all()
    assert sent == [bea, bea]


def sign_in_at_tablet(context: BrowserContext, site: str, database: Database, person: int) -> None:
    with database.writing() as session:
        opened = opened_sign_in(session, person, "Bench 1", datetime.now(UTC), session.exec(select(Tablet.id)).one())
        session.commit()
    context.add_cookies([{"name": COOKIE, "value": opened.token, "url": site}])
