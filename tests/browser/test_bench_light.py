"""The bench is light to fetch, soon usable on a slow tablet, and its figures can be read in low sun."""

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from shedgrade.demo.season import spec_named
from shedgrade.storage.database import Database
from tests.support.bench import bench
from tests.support.bench_page import measure, seen
from tests.support.browsing import sign_in
from tests.support.touching import tap

MOST_BYTES_OF_BODIES = 150_000
SLOWER, SOON_MS = 4, 1_000
LEAST_CONTRAST = 7

# By WCAG 2.2: relative luminance, and the contrast of two of them; the ground is the nearest that is not see-through.
_CONTRASTS = """(all) => all.filter((each) => each.checkVisibility()).map((each) => {
  const channels = (colour) => colour.match(/[\\d.]+/g).map(Number);
  const light = (colour) => channels(colour).slice(0, 3).map((each) => each / 255)
    .map((each) => (each <= 0.04045 ? each / 12.92 : ((each + 0.055) / 1.055) ** 2.4))
    .reduce((sum, each, place) => sum + each * [0.2126, 0.7152, 0.0722][place], 0);
  let ground = each;
  while ((channels(getComputedStyle(ground).backgroundColor)[3] ?? 1) === 0) ground = ground.parentElement;
  const two = [getComputedStyle(each).color, getComputedStyle(ground).backgroundColor].map(light).sort((a, b) => b - a);
  return [each.className || each.tagName, (two[0] + 0.05) / (two[1] + 0.05)];
})"""
_FIGURES = (
    ".pad-key, .weight-box input, .stage-number, .key-entry input, .progress, .tally dd, .judge-words, .size-word"
)
_FIGURES += ", .size-head input, .class-word, .wiping-left"


@pytest.fixture
def address(page: Page, site: str, sqlite_database: Database) -> str:
    ids = bench(sqlite_database, spec_named("kestrow-mango"))
    sign_in(page.context, site, sqlite_database, ids.grader)
    return f"{site}/samples/{ids.sample}"


def test_the_bodies_of_all_that_the_bench_fetches_are_light(page: Page, address: str) -> None:
    """Bodies alone are counted, compressed as they come over the line. What the heads of the answers add is printed and
    held by nothing: it is the same few lines for every file."""
    fetched: dict[str, float] = {}
    heads: dict[str, float] = {}
    network = page.context.new_cdp_session(page)
    network.send("Network.enable")
    network.send("Network.setCacheDisabled", {"cacheDisabled": True})
    urls: dict[str, str] = {}

    def began(each: dict[str, Any]) -> None:
        urls[each["requestId"]] = each["response"]["url"]
        heads[each["requestId"]] = each["response"]["encodedDataLength"]

    network.on("Network.responseReceived", began)
    network.on("Network.loadingFinished", lambda each: fetched.update({each["requestId"]: each["encodedDataLength"]}))
    page.goto(address)
    measure(page, 1, "440", "more yellow than green", wind_rub="4.6")
    page.wait_for_load_state("networkidle")
    bodies = {each: size - heads[each] for each, size in fetched.items() if size}
    total, all_heads = sum(bodies.values()), sum(heads[each] for each in bodies)
    told = f"{total / 1000:.0f} kB in {len(bodies)} answers with {all_heads / 1000:.0f} kB of heads"
    print(f"the bench and one fruit fetch {told}")  # noqa: T201 - a figure to read
    assert len(bodies) > 60
    assert total <= MOST_BYTES_OF_BODIES, sorted((size, urls.get(each)) for each, size in bodies.items())[-12:]


def visited_before(page: Page, address: str) -> None:
    page.goto(address)
    expect(page.locator("#strip")).to_contain_text("opens without the network", timeout=60_000)


@pytest.mark.browser_context_args(service_workers="allow")
def test_a_visit_after_the_first_fetches_no_part_again(page: Page, address: str) -> None:
    visited_before(page, address)
    page.goto(address)
    page.wait_for_load_state("networkidle")
    parts = """performance.getEntriesByType("resource").filter((each) => each.name.includes("/static/"))
      .map((each) => [each.name, each.transferSize])"""
    sizes = dict(page.evaluate(parts))
    assert len(sizes) > 60
    assert {name: size for name, size in sizes.items() if size} == {}


@pytest.mark.browser_context_args(service_workers="allow")
def test_how_soon_a_slow_tablet_has_it_is_told(page: Page, address: str) -> None:
    """A figure to read, not a gate: a machine that does other things besides is slow, not wrong."""
    visited_before(page, address)
    slow = page.context.new_cdp_session(page)
    slow.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    page.goto(address)
    expect(page.get_by_label("Weight", exact=True)).to_be_focused()
    page.wait_for_selector("[data-judge-words]:not([hidden])")
    usable = page.evaluate("performance.getEntriesByType('navigation')[0].domContentLoadedEventEnd")
    print(f"usable after {usable:.0f} ms at {SLOWER}x slower on a repeat visit; {SOON_MS} ms are wanted")  # noqa: T201
    assert usable > 0


def test_every_figure_stands_out(tablet_page: Page, address: str) -> None:
    page = tablet_page
    page.goto(address)
    measure(page, 1, "440", "more yellow than green", wind_rub="4.6")
    page.locator(".stage-key").nth(2).click()
    told = page.locator(_FIGURES).evaluate_all(_CONTRASTS)
    tap(page, page.locator(".defect-key", has=seen(page, "rub")))
    told += page.locator(_FIGURES).evaluate_all(_CONTRASTS)
    assert len(told) > 40
    assert [each for each in told if each[1] < LEAST_CONTRAST] == []
