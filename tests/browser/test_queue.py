"""The bench tablet never loses a fruit: offline, reloaded, killed, handed over, with a server set back to a backup."""

import json
import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from shedgrade.domain.people import Role
from shedgrade.domain.units import THIN
from shedgrade.storage.database import Database
from tests.support.bench import Bench, bench
from tests.support.bench_page import judge, key_in
from tests.support.browsing import sign_in
from tests.support.chromium import ARGUMENTS, find_chromium
from tests.support.kept_fruit import (
    CAPTURE,
    UNREADABLE,
    WAITS_MS,
    Typed,
    all_sent,
    fruit_of,
    stored_as_typed,
    strip,
    typed,
    weights,
)
from tests.support.own_server import OwnServer
from tests.support.signing import somebody


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
    expect(strip(page)).to_contain_text("opens without the network", timeout=WAITS_MS)
    return page


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


def strip_since(page: Page) -> str:
    """Since when there is no link, in the strip's words."""
    expect(strip(page)).to_contain_text("no link since")
    found = re.search(r"no link since \d\d:\d\d", strip(page).inner_text())
    assert found is not None
    return found.group()


def test_the_page_opens_again_without_the_server_and_goes_on_taking_fruit(
    at_bench: Page, server: OwnServer, sqlite_database: Database, made: Bench
) -> None:
    server.kill()
    at_bench.evaluate(CAPTURE, [typed(1)])
    at_bench.reload()
    expect(at_bench.locator("#f-weight")).to_be_visible()
    expect(strip(at_bench)).to_contain_text("1 not sent yet")
    expect(strip(at_bench)).to_contain_text("no link since")
    at_bench.evaluate(CAPTURE, [typed(2)])
    expect(at_bench.locator("#last")).to_contain_text(f"200.2{THIN}g. Size")
    strip(at_bench).click()
    expect(at_bench.locator(".unsent-list li")).to_have_count(2)
    expect(at_bench.locator("#unsent-answer")).to_contain_text("2 not sent yet, 0 for you to decide")
    gone = strip_since(at_bench)
    at_bench.get_by_role("link", name="Consignments").click()
    expect(at_bench.locator("#unsent-way")).to_contain_text("Consignments cannot be opened without a link.")
    at_bench.get_by_role("link", name="Back to the bench").click()
    expect(at_bench.locator("#f-weight")).to_be_visible()
    expect(strip(at_bench)).to_contain_text(gone)
    strip(at_bench).click()
    server.start()
    at_bench.reload()
    expect(at_bench.locator("#unsent-answer")).to_have_text("All fruit of this tablet are sent.", timeout=WAITS_MS)
    assert weights(sqlite_database, made) == ["200.1", "200.2"]


def test_fruit_keeps_who_measured_it_when_another_signs_in(
    at_bench: Page, tablet: BrowserContext, server: OwnServer, sqlite_database: Database, made: Bench
) -> None:
    """In a browser that is no tablet of the shed the other's fruit waits for her; at a tablet it goes along
    (tests/web/test_fruit_entries.py)."""
    server.kill()
    at_bench.evaluate(CAPTURE, [typed(1)])
    server.start()
    bea = somebody(sqlite_database, "Bea Rowan", Role.GRADER)
    tablet.clear_cookies()
    sign_in(tablet, server.address, sqlite_database, bea)
    at_bench.goto(f"{server.address}/samples/{made.sample}")
    expect(at_bench.locator(".person strong")).to_have_text("Bea Rowan")
    at_bench.evaluate(CAPTURE, [typed(2)])
    expect(at_bench.get_by_text("Fruit 1 saved.")).to_be_visible()
    expect(strip(at_bench)).to_contain_text("1 not sent yet")
    strip(at_bench).click()
    expect(at_bench.locator(".unsent-list li")).to_contain_text("has to sign in here to send it.")
    tablet.clear_cookies()
    sign_in(tablet, server.address, sqlite_database, made.grader)
    at_bench.goto(f"{server.address}/samples/{made.sample}")
    all_sent(at_bench)
    kept = fruit_of(sqlite_database, made.sample)
    assert [(stored_as_typed(each).weight, each.measured_by_id) for each in kept] == [
        ("200.2", bea),
        ("200.1", made.grader),
    ]


def test_a_server_set_back_to_a_backup_is_offered_again_what_it_lost(
    at_bench: Page, server: OwnServer, sqlite_database: Database, made: Bench, tmp_path: Path
) -> None:
    at_bench.evaluate(CAPTURE, [typed(1), typed(2)])
    all_sent(at_bench)
    at_bench.evaluate(CAPTURE, [typed(3)])
    all_sent(at_bench)
    server.kill()
    sqlite_database.close()
    backup = copies(sqlite_database, tmp_path / "backup")
    server.start()
    at_bench.reload()
    at_bench.evaluate(CAPTURE, [typed(4)])
    all_sent(at_bench)
    expect(at_bench.get_by_text("Fruit 4 saved.")).to_be_visible()
    at_bench.get_by_role("button", name="Undo").click()
    expect(at_bench.get_by_text("Fruit 4 voided:")).to_be_visible()
    all_sent(at_bench)
    server.kill()
    sqlite_database.close()
    put_back(sqlite_database, backup)
    assert weights(sqlite_database, made) == ["200.1", "200.2", "200.3"]
    sqlite_database.close()
    server.start()
    at_bench.reload()
    expect(at_bench.get_by_text("Fruit 4 voided:")).to_be_visible(timeout=WAITS_MS)
    all_sent(at_bench)
    kept = fruit_of(sqlite_database, made.sample)
    assert [(stored_as_typed(each).weight, each.voided is not None) for each in kept] == [
        ("200.1", False),
        ("200.2", False),
        ("200.3", False),
        ("200.4", True),
    ]


def copies(database: Database, folder: Path) -> Path:
    """The files of a database that nobody has open."""
    folder.mkdir()
    for file in Path(database.where).parent.glob(f"{Path(database.where).name}*"):
        shutil.copy(file, folder / file.name)
    return folder


def put_back(database: Database, folder: Path) -> None:
    home = Path(database.where).parent
    for file in home.glob(f"{Path(database.where).name}*"):
        file.unlink()
    for file in folder.iterdir():
        shutil.copy(file, home / file.name)


def test_the_file_of_a_tablet_is_taken_in_elsewhere_and_once(
    at_bench: Page, server: OwnServer, sqlite_database: Database, made: Bench, tmp_path: Path
) -> None:
    server.kill()
    at_bench.evaluate(CAPTURE, [typed(each) for each in range(6)])
    strip(at_bench).click()
    expect(at_bench.locator(".unsent-list li")).to_have_count(6)
    with at_bench.expect_download() as download:
        at_bench.get_by_role("button", name="Keep a file of it").click()
    file = tmp_path / "unsent.json"
    download.value.save_as(file)
    assert json.loads(file.read_text())["count"] == 6
    at_bench.context.set_offline(True)  # or it would send them by itself
    server.start()
    boss = somebody(sqlite_database, "Cleo Marsh", Role.SUPERVISOR)
    assert at_bench.context.browser is not None
    with at_bench.context.browser.new_context() as desk:
        sign_in(desk, server.address, sqlite_database, boss)
        page = desk.new_page()
        for says in ("6 fruit stored, 0 stored before", "0 fruit stored, 6 stored before"):
            page.goto(f"{server.address}/unsent/file")
            page.get_by_label("The tablet's file").set_input_files(file)
            page.get_by_role("button", name="Hand it in").click()
            expect(page.locator("h1")).to_contain_text(says)
    kept = fruit_of(sqlite_database, made.sample)
    assert [stored_as_typed(each) for each in kept] == [typed(each) for each in range(6)]
    assert {each.measured_by_id for each in kept} == {made.grader}
    at_bench.context.set_offline(False)
    at_bench.reload()
    expect(at_bench.locator("#unsent-answer")).to_have_text("All fruit of this tablet are sent.", timeout=WAITS_MS)
    assert len(fruit_of(sqlite_database, made.sample)) == 6


def test_a_refused_fruit_comes_back_to_be_put_right(
    at_bench: Page, server: OwnServer, sqlite_database: Database, made: Bench
) -> None:
    server.kill()
    at_bench.evaluate(CAPTURE, [Typed(UNREADABLE, "2.5"), typed(2)])
    server.start()
    expect(strip(at_bench)).to_contain_text("1 to decide", timeout=WAITS_MS)
    expect(strip(at_bench)).not_to_contain_text("not sent yet")
    expect(strip(at_bench)).not_to_contain_text("All sent")
    assert weights(sqlite_database, made) == ["200.2"]
    strip(at_bench).click()
    expect(at_bench.locator(".unsent-list li")).to_contain_text("is not written with the digits 0 to 9")
    at_bench.get_by_role("link", name="Put it right").click()
    expect(at_bench.get_by_role("alert")).to_contain_text("Not saved.")
    expect(at_bench.locator("#f-mark-rub")).to_have_value("2.5")
    expect(strip(at_bench)).to_contain_text("opens without the network")  # its scripts are all there
    key_in(at_bench, "412")
    judge(at_bench)
    expect(at_bench.get_by_text("Fruit 2 saved.")).to_be_visible()
    all_sent(at_bench)
    expect(strip(at_bench)).not_to_contain_text("to decide")
    assert weights(sqlite_database, made) == ["200.2", "412.0"]


def test_what_is_left_out_asks_why_and_stays_to_be_seen(
    at_bench: Page, server: OwnServer, sqlite_database: Database, made: Bench
) -> None:
    server.kill()
    at_bench.evaluate(CAPTURE, [Typed(UNREADABLE, ""), typed(2)])
    server.start()
    expect(strip(at_bench)).to_contain_text("1 to decide", timeout=WAITS_MS)
    strip(at_bench).click()
    at_bench.get_by_role("button", name="Leave it out").click()
    expect(at_bench.locator(".unsent-list .error")).to_have_text("Say why, in a few words.")
    at_bench.get_by_label("Why").fill("it was the tare")
    at_bench.get_by_role("button", name="Leave it out").click()
    expect(at_bench.locator(".unsent-list li")).to_contain_text("Left out: it was the tare")
    assert weights(sqlite_database, made) == ["200.2"]


def test_an_undo_without_the_server_is_kept_with_its_fruit(
    at_bench: Page, server: OwnServer, sqlite_database: Database, made: Bench
) -> None:
    server.kill()
    at_bench.evaluate(CAPTURE, [typed(1), typed(2)])
    at_bench.get_by_role("button", name="Undo").click()
    expect(at_bench.locator("#last")).to_contain_text("Undone: 200.2 g. It counts no longer.")
    expect(strip(at_bench)).to_contain_text("1 not sent yet, 1 undo not sent yet")
    expect(at_bench.locator(".unsent")).to_have_text("1 not sent yet")
    strip(at_bench).click()
    expect(at_bench.locator(".unsent-list li")).to_have_count(2)  # the undone one says so, its undoing is no line more
    expect(at_bench.locator(".unsent-list s")).to_have_text("200.2\u202fg")
    at_bench.go_back()
    server.start()
    all_sent(at_bench)
    kept = fruit_of(sqlite_database, made.sample)
    assert [(stored_as_typed(each).weight, each.voided is not None) for each in kept] == [
        ("200.1", False),
        ("200.2", True),
    ]


def test_a_closed_browser_keeps_its_fruit(
    browser: Browser, server: OwnServer, sqlite_database: Database, made: Bench, tmp_path: Path
) -> None:
    """The whole browser ends while the server is away, and is started anew on the same disk."""
    for turn in range(2):
        with browser.browser_type.launch_persistent_context(
            tmp_path / "disk", executable_path=find_chromium(), args=ARGUMENTS
        ) as context:
            if turn == 1:
                server.start()
            sign_in(context, server.address, sqlite_database, made.grader)
            page = context.new_page()
            page.goto(f"{server.address}/samples/{made.sample}")
            if turn == 0:
                expect(strip(page)).to_contain_text("opens without the network", timeout=WAITS_MS)
                server.kill()
                page.evaluate(CAPTURE, [typed(1), typed(2)])
            else:
                all_sent(page)
    assert sorted(weights(sqlite_database, made)) == ["200.1", "200.2"]


def test_on_plain_http_the_open_page_goes_on_and_says_what_it_cannot_do(
    browser: Browser, server: OwnServer, sqlite_database: Database, made: Bench
) -> None:
    """By a name of the shed's network a browser gives no service worker and no locks; two windows share one queue."""
    address = server.address.replace("localhost", "bench.shed.example")
    mapped = [*ARGUMENTS, "--host-resolver-rules=MAP *.shed.example 127.0.0.1"]
    started = browser.browser_type.launch(executable_path=find_chromium(), args=mapped)
    try:
        context = started.new_context()
        sign_in(context, address, sqlite_database, made.grader)
        pages = [context.new_page() for _ in range(2)]
        for page in pages:
            page.goto(f"{address}/samples/{made.sample}")
            expect(strip(page)).to_contain_text("plain http: keep this page open")
        assert not pages[0].evaluate("isSecureContext || 'locks' in navigator")
        server.kill()
        for turn, page in enumerate(pages * 2):
            page.evaluate(CAPTURE, [typed(10 * turn + each) for each in range(5)])
        expect(strip(pages[0])).to_contain_text("20 not sent yet")
        strip(pages[0]).click()
        expect(pages[0].locator("#f-weight")).to_be_visible()
        server.start()
        for page in pages:
            all_sent(page)
    finally:
        started.close()
    assert len(weights(sqlite_database, made)) == len(set(weights(sqlite_database, made))) == 20


def test_without_the_server_the_bench_goes_on_to_the_next_bin_of_the_receipt(
    at_bench: Page, server: OwnServer, sqlite_database: Database, made: Bench
) -> None:
    server.kill()
    at_bench.evaluate(CAPTURE, [typed(1)])
    at_bench.get_by_role("button", name="Next bin").click()
    expect(at_bench.locator("#said")).to_contain_text("Now bin 2")
    at_bench.evaluate(CAPTURE, [typed(2)])
    server.start()
    all_sent(at_bench)
    kept = fruit_of(sqlite_database, made.sample)
    assert [(stored_as_typed(each).weight, each.draw_name) for each in kept] == [("200.1", "bin 1"), ("200.2", "bin 2")]
