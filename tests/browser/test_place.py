"""The bin of a fruit is the one on the screen when it was judged; what opens that screen again stays whole."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from shedgrade.storage.database import Database
from tests.support.bench import Bench, bench
from tests.support.bench_page import next_bin
from tests.support.browsing import sign_in
from tests.support.kept_fruit import WAITS_MS, all_sent, capture, fruit_of, strip, typed, weights

# Asks the service worker to keep these pages and the parts of the bench; gives whether it holds them.
KEEP = """async (pages) => {
  const { active } = await navigator.serviceWorker.ready;
  const { port1, port2 } = new MessageChannel();
  return new Promise((resolve) => {
    port1.onmessage = ({ data }) => resolve(data);
    active.postMessage({ keep: pages }, [port2]);
  });
}"""
STORES = "async () => (await caches.keys()).filter((each) => each.startsWith('parts'))"
# As if the parts that are kept were those of an earlier version.
AGE = """async () => {
  const [name] = (await caches.keys()).filter((each) => each.startsWith("parts"));
  const [from, to] = await Promise.all([caches.open(name), caches.open("parts of before")]);
  for (const each of await from.keys()) await to.put(each, await from.match(each));
  await caches.delete(name);
}"""


@pytest.fixture
def made(sqlite_database: Database) -> Bench:
    return bench(sqlite_database)


@pytest.fixture
def at_bench(browser: Browser, site: str, sqlite_database: Database, made: Bench) -> Iterator[Page]:
    """A bench that can be opened again without the server."""
    with browser.new_context() as context:
        sign_in(context, site, sqlite_database, made.grader)
        page = context.new_page()
        page.goto(f"{site}/samples/{made.sample}")
        expect(strip(page)).to_contain_text("opens without the network", timeout=WAITS_MS)
        yield page


def shows(page: Page, name: str) -> None:
    expect(page.locator("#next")).to_contain_text(name)


def draws(database: Database, made: Bench) -> list[str]:
    return [each.draw_name for each in fruit_of(database, made.sample)]


def reload_without_the_server(page: Page) -> None:
    page.context.set_offline(True)
    page.reload()
    expect(strip(page)).to_contain_text("no link since")


def test_a_bin_gone_to_without_the_server_stays_over_a_reload_and_back(
    at_bench: Page, sqlite_database: Database, made: Bench
) -> None:
    at_bench.context.set_offline(True)
    capture(at_bench, typed(1))
    at_bench.get_by_role("button", name="Next bin").click()
    shows(at_bench, "bin 2")
    reload_without_the_server(at_bench)
    shows(at_bench, "bin 2")
    capture(at_bench, typed(2))
    strip(at_bench).click()
    expect(at_bench.locator(".unsent-list li")).to_have_count(2)
    at_bench.go_back()
    shows(at_bench, "bin 2")
    capture(at_bench, typed(3))
    at_bench.context.set_offline(False)
    all_sent(at_bench)
    shows(at_bench, "bin 2 of the receipt")
    assert draws(sqlite_database, made) == ["bin 1", "bin 2", "bin 2"]


def test_the_page_kept_at_the_first_bin_opens_at_the_one_gone_to_since(
    at_bench: Page, sqlite_database: Database, made: Bench
) -> None:
    capture(at_bench, typed(1))
    expect(at_bench.get_by_text("Fruit 1 saved.")).to_be_visible()
    next_bin(at_bench, "bin 2")
    reload_without_the_server(at_bench)
    shows(at_bench, "bin 2 of the receipt")
    capture(at_bench, typed(2))
    at_bench.context.set_offline(False)
    all_sent(at_bench)
    assert draws(sqlite_database, made) == ["bin 1", "bin 2"]


def test_a_kept_page_of_which_nothing_else_is_known_stores_the_bin_that_it_shows(
    at_bench: Page, sqlite_database: Database, made: Bench
) -> None:
    """The browser was closed meanwhile; the bench had gone on."""
    capture(at_bench, typed(1))
    expect(at_bench.get_by_text("Fruit 1 saved.")).to_be_visible()
    next_bin(at_bench, "bin 2")
    at_bench.context.set_offline(True)
    anew = at_bench.context.new_page()
    anew.goto(at_bench.url)
    expect(strip(anew)).to_contain_text("no link since")
    shows(anew, "bin 1")
    capture(anew, typed(2))
    at_bench.context.set_offline(False)
    all_sent(anew)
    assert draws(sqlite_database, made) == ["bin 1", "bin 1"]


def test_answers_about_bins_before_lead_the_bench_to_none_of_them(
    at_bench: Page, sqlite_database: Database, made: Bench
) -> None:
    capture(at_bench, typed(1))
    expect(at_bench.get_by_text("Fruit 1 saved.")).to_be_visible()
    at_bench.context.set_offline(True)
    capture(at_bench, typed(2))
    at_bench.get_by_role("button", name="Next bin").click()
    shows(at_bench, "bin 2")
    capture(at_bench, typed(3))
    at_bench.get_by_text("Another bin", exact=True).click()
    at_bench.get_by_role("button", name="bin 1", exact=True).click()
    shows(at_bench, "bin 1")
    at_bench.context.set_offline(False)
    all_sent(at_bench)
    expect(at_bench.locator(".bench-undo")).to_have_count(0)
    expect(at_bench.locator("#bench-side")).to_have_attribute("data-fruit", "3")
    shows(at_bench, "bin 1")
    capture(at_bench, typed(4))
    expect(at_bench.get_by_text("Fruit 4 saved.")).to_be_visible()
    shows(at_bench, "bin 1")
    assert draws(sqlite_database, made) == ["bin 1", "bin 1", "bin 2", "bin 1"]


def test_on_a_full_disk_the_page_is_the_server_s_and_what_was_kept_stays(
    at_bench: Page, site: str, sqlite_database: Database, made: Bench
) -> None:
    capture(at_bench, typed(1))
    all_sent(at_bench)
    at_bench.evaluate(AGE)
    disk = at_bench.context.new_cdp_session(at_bench)
    disk.send("Storage.overrideQuotaForOrigin", {"origin": site, "quotaSize": 1})
    at_bench.reload()
    expect(at_bench.locator("#bench-side")).to_have_attribute("data-fruit", "1")
    expect(strip(at_bench)).to_contain_text("opens without the network", timeout=WAITS_MS)
    assert at_bench.evaluate(STORES) == ["parts of before"]
    disk.send("Storage.overrideQuotaForOrigin", {"origin": site})
    reload_without_the_server(at_bench)
    capture(at_bench, typed(2))
    expect(at_bench.locator("#last")).to_contain_text("200.2")
    at_bench.context.set_offline(False)
    all_sent(at_bench)
    assert weights(sqlite_database, made) == ["200.1", "200.2"]


def test_parts_of_a_new_version_take_the_place_of_all_older_ones(at_bench: Page) -> None:
    kept = at_bench.evaluate(STORES)
    at_bench.evaluate(AGE)
    assert at_bench.evaluate(KEEP, []) is True
    assert at_bench.evaluate(STORES) == kept


def test_a_page_that_leads_elsewhere_is_not_kept_and_not_told_to_be(at_bench: Page, made: Bench) -> None:
    """Nobody is signed in any more: the address leads to the door."""
    address = f"/samples/{made.sample}"
    at_bench.evaluate("() => caches.delete('pages')")
    at_bench.context.clear_cookies()
    assert at_bench.evaluate(KEEP, [address]) is False
    assert at_bench.evaluate("async (address) => (await caches.match(address)) === undefined", address)
