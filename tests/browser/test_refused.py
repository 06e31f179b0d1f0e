"""A refused fruit: what is wrong is in sight, no key has moved, and putting it right takes one touch."""

import pytest
from playwright.sync_api import Locator, Page, expect

from shedgrade.demo.season import spec_named
from shedgrade.storage.database import Database
from tests.support.bench import bench
from tests.support.bench_page import back_to_defects, judge, key_in, measure, seen
from tests.support.browsing import sign_in

STAGE = "more yellow than green"

_KEYS = """() => [...document.querySelectorAll('.key, .bench-save .button')]
  .filter((each) => each.checkVisibility()).map((each) => {
  const box = each.getBoundingClientRect();
  return [box.left, box.top, box.width, box.height];
})"""
_CUT_OFF = """(alert) => {
  const place = alert.closest('.bench-last');
  return place.scrollHeight > place.clientHeight || place.scrollWidth > place.clientWidth;
}"""


@pytest.fixture
def at_bench(tablet_page: Page, site: str, sqlite_database: Database) -> Page:
    ids = bench(sqlite_database, spec_named("kestrow-mango"))
    sign_in(tablet_page.context, site, sqlite_database, ids.grader)
    tablet_page.goto(f"{site}/samples/{ids.sample}")
    return tablet_page


def pad(page: Page, *keys: str) -> None:
    for key in keys:
        page.get_by_role("button", name=key, exact=True).click()


def weight(page: Page) -> str:
    return page.get_by_label("Weight", exact=True).input_value()


def test_three_mistakes_are_told_whole_and_no_key_moves(at_bench: Page) -> None:
    measure(at_bench, 1, "440", STAGE)
    before = at_bench.evaluate(_KEYS)
    key_in(at_bench, "4120")
    seen(at_bench, "rub").check()
    judge(at_bench)
    alert = at_bench.get_by_role("alert")
    expect(alert.get_by_role("listitem")).to_have_count(3)
    expect(alert).to_be_in_viewport(ratio=1)
    assert not alert.evaluate(_CUT_OFF)
    assert at_bench.evaluate(_KEYS) == before


def mark_all(page: Page) -> None:
    """Touch every key of a measured defect and give no figure."""
    for box in page.locator("input[data-seen]").all():
        box.check()
        back_to_defects(page)


def test_of_many_mistakes_the_first_are_told_and_nothing_is_scrolled_for(at_bench: Page) -> None:
    measure(at_bench, 1, "440", STAGE)
    before = at_bench.evaluate(_KEYS)
    key_in(at_bench, "440", STAGE)
    mark_all(at_bench)
    judge(at_bench)
    alert = at_bench.get_by_role("alert")
    expect(alert.get_by_text("more, each marked on its key.")).to_be_in_viewport(ratio=1)
    assert not alert.evaluate(_CUT_OFF)
    assert alert.get_by_role("link").count() == 2
    assert at_bench.locator(".key-error").count() == at_bench.locator("input[data-seen]").count()
    assert [place[2:] for place in at_bench.evaluate(_KEYS)] == [place[2:] for place in before]


def test_a_size_that_is_missing_is_asked_for_again_and_a_lifted_mark_takes_its_message_along(
    page: Page, site: str, sqlite_database: Database
) -> None:
    ids = bench(sqlite_database, spec_named("kestrow-mango"))
    sign_in(page.context, site, sqlite_database, ids.grader)
    page.goto(f"{site}/samples/{ids.sample}")
    measure(page, 1, "440", STAGE)
    key_in(page, "441", STAGE)
    page.locator("[data-offered]").first.click()
    page.get_by_role("button", name="All defects").click()
    judge(page)
    expect(page.get_by_role("alert")).to_be_visible()
    page.get_by_role("button", name="Not there").click()
    expect(page.get_by_role("alert")).to_have_count(0)
    assert page.locator(".has-error, [aria-invalid]").count() == 0
    expect(page.get_by_text("Fruit 1 saved.")).to_be_visible()
    assert page.locator("#last").get_attribute("data-before") is not None
    judge(page)
    expect(page.get_by_text("Fruit 2 saved.")).to_be_visible()
    assert page.locator("#last").get_attribute("data-before") is None


def test_clear_takes_the_message_about_a_refused_weight_along(page: Page, site: str, sqlite_database: Database) -> None:
    ids = bench(sqlite_database, spec_named("kestrow-mango"))
    sign_in(page.context, site, sqlite_database, ids.grader)
    page.goto(f"{site}/samples/{ids.sample}")
    key_in(page, "4120", STAGE)
    judge(page)
    expect(page.get_by_role("alert")).to_be_visible()
    page.get_by_role("button", name="Clear").click()
    expect(page.get_by_role("alert")).to_have_count(0)
    assert page.locator(".has-error, [aria-invalid]").count() == 0


def test_on_a_phone_what_came_of_it_stands_above_the_button(page: Page, site: str, sqlite_database: Database) -> None:
    page.set_viewport_size({"width": 390, "height": 844})
    ids = bench(sqlite_database, spec_named("kestrow-mango"))
    sign_in(page.context, site, sqlite_database, ids.grader)
    page.goto(f"{site}/samples/{ids.sample}")
    measure(page, 1, "440", STAGE)
    button = page.get_by_role("button", name="Judge this fruit")
    for seen_there in (page.locator("#last-fruit"), page.get_by_role("button", name="Undo"), button):
        expect(seen_there).to_be_in_viewport(ratio=1)
    assert _top(page.locator("#last-fruit")) < _top(button)
    key_in(page, "440", STAGE)
    mark_all(page)
    judge(page)
    alert = page.get_by_role("alert")
    expect(alert.get_by_role("heading")).to_be_in_viewport(ratio=1)
    assert alert.get_by_role("link").count() == page.locator("input[data-seen]").count()
    assert not alert.evaluate(_CUT_OFF)
    assert _top(alert) < _top(button)


def _top(of: Locator) -> float:
    box = of.bounding_box()
    assert box is not None
    return box["y"]


def test_what_was_likely_meant_is_one_touch_away(at_bench: Page) -> None:
    key_in(at_bench, "4120", STAGE)
    judge(at_bench)
    button = at_bench.get_by_role("button", name="Put in 412 g")
    expect(button).to_be_in_viewport(ratio=1)
    button.click()
    expect(button).to_have_count(0)
    assert weight(at_bench) == "412"
    judge(at_bench)
    expect(at_bench.get_by_text("Fruit 1 saved.")).to_be_visible()


def test_the_first_key_after_a_refusal_begins_anew(at_bench: Page) -> None:
    key_in(at_bench, "4120", STAGE)
    judge(at_bench)
    expect(at_bench.get_by_role("alert")).to_be_visible()
    pad(at_bench, "4", "1")
    assert weight(at_bench) == "41"


def test_a_marked_part_gives_way_to_the_key(at_bench: Page) -> None:
    pad(at_bench, "4", "1", "2")
    at_bench.get_by_label("Weight", exact=True).evaluate("(box) => box.setSelectionRange(1, 2)")
    pad(at_bench, "5")
    assert weight(at_bench) == "452"
    at_bench.get_by_label("Weight", exact=True).select_text()
    pad(at_bench, "Rub out the last figure")
    assert weight(at_bench) == ""


def test_clear_empties_the_weight(at_bench: Page) -> None:
    pad(at_bench, "4", "1", "2", "Clear", "5")
    assert weight(at_bench) == "5"
