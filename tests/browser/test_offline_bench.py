"""The bench opened anew without the server: it judges, counts and is driven as ever, and asks for nothing in vain."""

import json
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Page, Request, expect

from shedgrade.domain.grading.facts import Defect
from shedgrade.paths import STATIC
from shedgrade.storage.bench import MeasuredFruit, fruit_after
from shedgrade.storage.database import Database
from shedgrade.web.bench_parts import bench_parts
from shedgrade.web.static_files import static_address
from tests.support.bench import Bench
from tests.support.bench_page import judge, key_in, measure
from tests.support.browsing import sign_in
from tests.support.own_server import OwnServer
from tests.support.touching import count_taps, taps
from tests.support.wired_pad import Pad

STAGE = "more yellow than green"
WAITS_MS = 60_000

# Those that look whether the server is there again.
ASKS = {"/fruit-entries", "/scales/here", "/touched"}


@pytest.fixture
def server(sqlite_database: Database, ids: Bench) -> Iterator[OwnServer]:
    server = OwnServer(sqlite_database.url)
    server.start()
    yield server
    server.kill()


@pytest.fixture
def at_bench(browser: Browser, server: OwnServer, sqlite_database: Database, ids: Bench) -> Iterator[Page]:
    """A bench opened once, of which the browser says that it can be opened again."""
    with browser.new_context(viewport={"width": 1280, "height": 800}) as context:
        sign_in(context, server.address, sqlite_database, ids.grader)
        page = context.new_page()
        count_taps(page)
        page.goto(f"{server.address}/samples/{ids.sample}")
        expect(page.locator("#strip")).to_contain_text("opens without the network", timeout=WAITS_MS)
        yield page


def stored(database: Database, ids: Bench) -> list[MeasuredFruit]:
    with database.reading() as session:
        return fruit_after(session, ids.sample, 0, 1000)


def test_it_judges_and_nothing_that_it_asks_for_is_missing(at_bench: Page, server: OwnServer) -> None:
    failed: list[str] = []
    wrong: list[str] = []

    def fell(request: Request) -> None:
        failed.append(urlsplit(request.url).path)

    at_bench.on("requestfailed", fell)
    at_bench.on("pageerror", lambda error: wrong.append(str(error)))
    server.kill()
    at_bench.reload()
    for weight, word in (("440", "Class I"), ("40", "")):
        key_in(at_bench, weight, STAGE)
        judge(at_bench)
        if word:
            expect(at_bench.locator("#last .class-word")).to_have_text(word)
            expect(at_bench.locator("#f-weight")).to_have_value("")
    expect(at_bench.locator("#f-weight-error")).to_be_attached()
    expect(at_bench.get_by_text("1 of 50", exact=True)).to_be_visible()
    assert set(failed) - ASKS == set()
    assert wrong == []


def test_what_was_sent_since_the_page_was_kept_counts_too(
    at_bench: Page, server: OwnServer, sqlite_database: Database, ids: Bench
) -> None:
    measure(at_bench, 1, "440", STAGE)
    measure(at_bench, 2, "390", STAGE)
    at_bench.get_by_role("button", name="Undo").click()
    expect(at_bench.get_by_text("Fruit 2 voided:")).to_be_visible()
    server.kill()
    at_bench.reload()
    expect(at_bench.get_by_text("1 of 50", exact=True)).to_be_visible()
    expect(at_bench.locator(".next-fruit")).to_contain_text("fruit 3,")
    key_in(at_bench, "410", STAGE)
    judge(at_bench)
    expect(at_bench.get_by_text("2 of 50", exact=True)).to_be_visible()
    expect(at_bench.locator(".unsent")).to_have_text("1 not sent yet")
    at_bench.reload()
    expect(at_bench.get_by_text("2 of 50", exact=True)).to_be_visible()
    expect(at_bench.locator("#last .last-line")).to_contain_text("410\u202fg, stage 4. Size")
    at_bench.get_by_role("button", name="Undo").click()
    expect(at_bench.get_by_text("1 of 50", exact=True)).to_be_visible()
    server.start()
    expect(at_bench.locator("#strip")).to_contain_text("All sent", timeout=WAITS_MS)
    expect(at_bench.get_by_text("1 of 50", exact=True)).to_be_visible()
    assert [each.voided is not None for each in stored(sqlite_database, ids)] == [False, True, True]


def test_a_wired_pad_drives_the_whole_sample(
    at_bench: Page, server: OwnServer, sqlite_database: Database, ids: Bench
) -> None:
    server.kill()
    at_bench.reload()
    pad = Pad(at_bench, num_lock=False)
    class_word = at_bench.locator("#last .class-word")
    pad.press("440", "Enter", "4", "Enter")
    expect(class_word).to_have_text("Class I")
    pad.press("4400", "Enter", "3", "Enter")  # refused at once; what is typed now takes its place
    expect(at_bench.get_by_role("alert")).to_contain_text("did you mean 440")
    pad.press("440", "++", "4.6", "Enter")
    expect(class_word).to_have_text("No class")
    pad.press("390", "Enter", "4", "Enter")
    expect(class_word).to_have_text("Class I")
    pad.press("/", "1")
    expect(at_bench.locator("#last")).to_contain_text("Undone: 390 g")
    pad.press("/", "2")
    expect(at_bench.locator(".next-fruit")).to_contain_text("bin 2")
    pad.press("410", "Enter", "5", "Enter")
    expect(class_word).to_have_text("Class I")
    expect(at_bench.get_by_text("3 of 50", exact=True)).to_be_visible()
    assert taps(at_bench) == 0
    server.start()
    expect(at_bench.locator("#strip")).to_contain_text("All sent", timeout=WAITS_MS)
    expect(at_bench.get_by_text("Fruit 4 saved.")).to_be_visible()
    expect(at_bench.locator(".next-fruit")).to_contain_text("bin 2 of the receipt")
    kept = stored(sqlite_database, ids)
    assert [(each.fruit.weight_dg, each.draw_name, each.voided is None) for each in kept] == [
        (4400, "bin 1", True),
        (4400, "bin 1", True),
        (3900, "bin 1", False),
        (4100, "bin 2", True),
    ]
    assert kept[1].fruit.defects == (Defect("rub", area_mm2=460),)


def test_the_list_of_parts_holds_whatever_the_page_asks_for(
    browser: Browser, server: OwnServer, sqlite_database: Database, ids: Bench
) -> None:
    with browser.new_context() as context:
        sign_in(context, server.address, sqlite_database, ids.grader)
        page = context.new_page()
        asked: set[str] = set()
        page.on("request", lambda request: asked.add(urlsplit(request.url).path))
        page.goto(f"{server.address}/samples/{ids.sample}")
        measure(page, 1, "440", STAGE)
        parts = set(json.loads(page.request.get(f"{server.address}/bench-parts").text())["parts"])
    static = {each for each in asked if each.startswith("/static/")}
    assert len(static) > 50
    assert static - parts == set()
    assert parts == set(bench_parts())
    assert [each for each in parts if not (STATIC / Path(each).relative_to(static_address())).is_file()] == []


def test_a_page_from_before_an_upgrade_finds_its_parts_by_name(at_bench: Page, server: OwnServer) -> None:
    server.kill()
    old = "/static/0123456789ab/js/app.js"
    assert at_bench.evaluate("async (old) => (await fetch(old)).text()", old) == (STATIC / "js" / "app.js").read_text()
