"""The bench tablet never loses a fruit: offline, reloaded, killed, handed over, and with a server set back to a backup."""

import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from shedgrade.domain.people import Role
from shedgrade.storage.bench import MeasuredFruit, last_fruit
from shedgrade.storage.database import Database
from tests.support.bench import Bench, bench
from tests.support.bench_page import judge, key_in
from tests.support.browsing import sign_in
from tests.support.own_server import OwnServer
from tests.support.signing import somebody

WAITS_MS = 60_000

# What hands do, as fast as the page lets them: type, press, and go on when the form stands empty.
CAPTURE = """async (fruit) => {
  const pause = () => new Promise((resolve) => setTimeout(resolve, 1));
  for (const [weight, mark] of fruit) {
    const form = document.getElementById("fruit-form");
    const put = (name, value) => {
      const box = document.getElementById(name);
      box.value = value;
      box.dispatchEvent(new Event("input", { bubbles: true }));
    };
    put("f-weight", weight);
    if (mark) put("f-mark-rub", mark);
    form.requestSubmit(form.querySelector("button[type=submit]:not([formaction])"));
    while (document.getElementById("f-weight").value !== "") await pause();
  }
}"""


class Typed(NamedTuple):
    """A fruit as it is typed: weights are all different, so each can be found again."""

    weight: str
    mark: str


def typed(number: int) -> Typed:
    return Typed(f"{200 + number / 10:.1f}", f"{1 + number % 7 / 10:.1f}" if number % 3 == 0 else "")


def stored_as_typed(fruit: MeasuredFruit) -> Typed:
    areas = [mark.area_mm2 for mark in fruit.fruit.defects]
    return Typed(f"{fruit.fruit.weight_dg / 10:.1f}", f"{areas[0] / 100:.1f}" if areas and areas[0] else "")


@pytest.fixture
def made(sqlite_database: Database) -> Bench:
    return bench(sqlite_database)


@pytest.fixture
def server(sqlite_database: Database, made: Bench) -> Iterator[OwnServer]:
    server = OwnServer(sqlite_database.url)
    server.start()
    yield server
    server.kill()


@pytest.fixture
def tablet(browser: Browser, server: OwnServer, sqlite_database: Database, made: Bench) -> Iterator[BrowserContext]:
    """A browser at the bench that is not looked over for complaints: it meets a server that is not there."""
    with browser.new_context(viewport={"width": 1280, "height": 800}) as context:
        sign_in(context, server.address, sqlite_database, made.grader)
        yield context


@pytest.fixture
def at_bench(tablet: BrowserContext, server: OwnServer, made: Bench) -> Page:
    page = tablet.new_page()
    page.goto(f"{server.address}/samples/{made.sample}")
    expect(strip(page)).to_contain_text("this page reloads without a link", timeout=WAITS_MS)
    return page


def strip(page: Page) -> Any:
    return page.locator("#strip")


def fruit_of(database: Database, sample: int) -> list[MeasuredFruit]:
    with database.reading() as session:
        return last_fruit(session, sample, 10_000)[::-1]


def weights(database: Database, made: Bench) -> list[str]:
    return [stored_as_typed(each).weight for each in fruit_of(database, made.sample)]


def all_sent(page: Page) -> None:
    expect(strip(page)).to_contain_text("All sent", timeout=WAITS_MS)


@pytest.mark.parametrize("number", [120, pytest.param(500, marks=pytest.mark.long)])
def test_no_fruit_is_lost_however_the_link_and_the_server_fall(
    number: int, at_bench: Page, tablet: BrowserContext, server: OwnServer, sqlite_database: Database, made: Bench
) -> None:
    """20 times the link goes or comes, 5 times the server is killed, 10 times the page is loaded anew."""
    fruit = [typed(each) for each in range(number)]
    share = number // 20
    for turn in range(20):
        tablet.set_offline(turn % 2 == 0)
        mine = fruit[turn * share : (turn + 1) * share]
        at_bench.evaluate(CAPTURE, mine[: share // 2])
        if turn % 4 == 1:
            server.kill()
        at_bench.evaluate(CAPTURE, mine[share // 2 :])
        if turn % 2 == 0:
            at_bench.reload()
            expect(at_bench.locator("#f-weight")).to_be_visible()
        if turn % 4 == 3:
            server.start()
    tablet.set_offline(False)
    all_sent(at_bench)
    kept = fruit_of(sqlite_database, made.sample)
    assert [stored_as_typed(each) for each in kept] == fruit
    assert [each.number for each in kept] == list(range(1, number + 1))
