"""A defect that was touched is never lost: it has its size, or the bench asks for it, or the hand lifts it again."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, ViewportSize, expect

from shedgrade.domain.grading.facts import Defect
from shedgrade.storage.bench import last_fruit
from shedgrade.storage.database import Database
from tests.support.bench import Bench
from tests.support.bench_page import back_to_defects, figure_of, judge, key_in, seen
from tests.support.browsing import sign_in

STAGE = "more yellow than green"
ASKED = "rub: type its area in cm², or touch it again to lift it."


@pytest.fixture(params=[True, False], ids=["scripts", "no scripts"])
def at_bench(
    request: pytest.FixtureRequest, browser: Browser, site: str, sqlite_database: Database, ids: Bench
) -> Iterator[Page]:
    size = ViewportSize(width=1280, height=800)
    with browser.new_context(viewport=size, java_script_enabled=request.param) as context:
        page = context.new_page()
        sign_in(context, site, sqlite_database, ids.grader)
        page.goto(f"{site}/samples/{ids.sample}")
        yield page


@pytest.fixture
def with_scripts(page: Page, site: str, sqlite_database: Database, ids: Bench) -> Page:
    sign_in(page.context, site, sqlite_database, ids.grader)
    page.goto(f"{site}/samples/{ids.sample}")
    return page


def defects(database: Database, ids: Bench) -> list[tuple[Defect, ...]]:
    with database.reading() as session:
        return [each.fruit.defects for each in last_fruit(session, ids.sample, 9)]


def touch(page: Page, word: str) -> None:
    """Put a finger on the key where its drawing is."""
    box = page.locator(".defect-key", has=seen(page, word)).bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + 25)


def test_a_touched_defect_without_a_size_is_asked_for(at_bench: Page, sqlite_database: Database, ids: Bench) -> None:
    key_in(at_bench, "440", STAGE)
    touch(at_bench, "rub")
    expect(at_bench.locator("#seen-mark-rub")).to_be_checked()
    judge(at_bench)
    expect(at_bench.get_by_role("alert")).to_contain_text(ASKED)
    asked = at_bench.locator("#how-large-figure")  # with a script the circles are back
    box = asked if asked.is_visible() else figure_of(at_bench, "rub")
    expect(box).to_have_accessible_description(ASKED)
    expect(at_bench.locator("#seen-mark-rub")).to_be_checked()
    assert defects(sqlite_database, ids) == []
    box.fill("4.6")
    judge(at_bench)
    expect(at_bench.get_by_text("Fruit 1 saved.")).to_be_visible()
    assert defects(sqlite_database, ids) == [(Defect("rub", area_mm2=460),)]


def test_touched_again_it_is_lifted(at_bench: Page, sqlite_database: Database, ids: Bench) -> None:
    key_in(at_bench, "440", STAGE)
    touch(at_bench, "rub")
    back_to_defects(at_bench)
    touch(at_bench, "rub")
    expect(seen(at_bench, "rub")).not_to_be_checked()
    judge(at_bench)
    expect(at_bench.get_by_text("Fruit 1 saved.")).to_be_visible()
    assert defects(sqlite_database, ids) == [()]


def test_its_size_goes_with_it(with_scripts: Page) -> None:
    touch(with_scripts, "rub")
    with_scripts.get_by_role("button", name="4", exact=True).click()
    back_to_defects(with_scripts)
    expect(figure_of(with_scripts, "rub")).to_have_value("4")
    touch(with_scripts, "rub")
    expect(figure_of(with_scripts, "rub")).to_have_value("")
    with_scripts.get_by_role("button", name="4", exact=True).click()
    expect(with_scripts.get_by_label("Weight", exact=True)).to_have_value("4")


def test_a_touch_on_the_box_is_a_touch_on_the_key(with_scripts: Page) -> None:
    box = figure_of(with_scripts, "rub").bounding_box()
    assert box is not None
    with_scripts.mouse.click(box["x"] + 5, box["y"] + 5)
    expect(with_scripts.get_by_role("textbox", name="rub: how large? cm²")).to_be_focused()
    back_to_defects(with_scripts)
    expect(seen(with_scripts, "rub")).to_be_checked()
    expect(figure_of(with_scripts, "rub")).to_be_focused()
    with_scripts.mouse.click(box["x"] + 5, box["y"] + 5)
    expect(seen(with_scripts, "rub")).not_to_be_checked()


def test_a_size_typed_by_itself_says_that_it_was_seen(with_scripts: Page) -> None:
    figure_of(with_scripts, "rub").press_sequentially("2")
    expect(seen(with_scripts, "rub")).to_be_checked()
