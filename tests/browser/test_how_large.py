"""A touched defect asks how large it is: circles of known area, none hidden, and the pad types as well."""

from math import pi, sqrt

import pytest
from playwright.sync_api import Page, expect

from shedgrade.demo.season import spec_named
from shedgrade.storage.database import Database
from tests.support.bench import bench
from tests.support.bench_page import back_to_defects, figure_of, judge, key_in, seen
from tests.support.browsing import sign_in
from tests.support.kept_fruit import strip
from tests.support.touching import EDGE, OTHER, ROUNDING, tap, touched

QUESTION = "sap stain: how large? cm²"


@pytest.fixture(params=["kestrow-mango", "mango-agmark"])
def at_bench(request: pytest.FixtureRequest, tablet_page: Page, site: str, sqlite_database: Database) -> Page:
    ids = bench(sqlite_database, spec_named(request.param))
    sign_in(tablet_page.context, site, sqlite_database, ids.grader)
    tablet_page.goto(f"{site}/samples/{ids.sample}")
    expect(strip(tablet_page)).to_be_visible()  # it comes once the tablet has looked at what it keeps
    return tablet_page


def ask(page: Page, word: str = "sap stain") -> None:
    tap(page, page.locator(".defect-key", has=seen(page, word)))


def pad(page: Page, *keys: str) -> None:
    for key in keys:
        page.get_by_role("button", name=key, exact=True).click()


def test_every_circle_is_in_reach_and_as_wide_as_a_mark_of_its_area(at_bench: Page) -> None:
    px_a_mm = 5
    at_bench.evaluate(f"document.documentElement.style.setProperty('--mm', '{px_a_mm}px')")
    ask(at_bench)
    circles = at_bench.locator("[data-size]")
    assert circles.count() >= 7
    for circle in circles.all():
        expect(circle).to_be_in_viewport(ratio=1)
        shape = circle.locator(".size-circle").bounding_box()
        assert shape is not None
        area_mm2 = float(circle.get_attribute("data-size") or "") * 100
        assert shape["width"] == pytest.approx(2 * sqrt(area_mm2 / pi) * px_a_mm, abs=ROUNDING)
        assert shape["height"] == pytest.approx(shape["width"], abs=ROUNDING)


def test_what_it_offers_takes_a_thumb_and_keeps_off_the_edge(at_bench: Page) -> None:
    ask(at_bench)
    size = at_bench.viewport_size
    assert size is not None
    low, right = size["height"] - EDGE + ROUNDING, size["width"] - EDGE + ROUNDING
    above = [each for each in touched(at_bench) if each.top < low]
    assert [each for each in above if min(each.width, each.height) < OTHER - ROUNDING] == []
    offered = at_bench.locator("[data-size], [data-size-way]").evaluate_all(
        "all => all.map((each) => each.getBoundingClientRect().toJSON())"
    )
    assert [box for box in offered if box["bottom"] > low or box["right"] > right] == []
    expect(at_bench.get_by_role("button", name="Judge this fruit")).to_be_in_viewport(ratio=1)
    expect(at_bench.get_by_role("region", name="Tally")).to_be_in_viewport(ratio=1)


def test_the_pad_types_its_size_and_it_is_judged_at_once(at_bench: Page) -> None:
    key_in(at_bench, "440", "more yellow than green")
    ask(at_bench)
    expect(at_bench.get_by_role("textbox", name=QUESTION)).to_be_focused()
    pad(at_bench, "2", "Decimal point", "2")
    judge(at_bench)
    expect(at_bench.get_by_text("Fruit 1 saved.")).to_be_visible()
    expect(at_bench.locator("#last")).to_contain_text("sap stain 2.2 cm²")
    expect(at_bench.get_by_role("textbox", name=QUESTION)).to_be_hidden()


def test_a_second_tap_gives_another_size(at_bench: Page) -> None:
    ask(at_bench)
    pad(at_bench, "2")
    back_to_defects(at_bench)
    expect(figure_of(at_bench, "sap stain")).to_have_value("2")
    pad(at_bench, "3")
    expect(figure_of(at_bench, "sap stain")).to_have_value("3")


def test_not_there_lifts_it(at_bench: Page) -> None:
    ask(at_bench)
    pad(at_bench, "2")
    tap(at_bench, at_bench.get_by_role("button", name="Not there"))
    expect(seen(at_bench, "sap stain")).not_to_be_checked()
    expect(figure_of(at_bench, "sap stain")).to_have_value("")
    expect(at_bench.locator(".judge-key")).to_have_accessible_name("Clean Judge this fruit")


def test_keys_are_where_they_were_when_it_is_answered(at_bench: Page) -> None:
    before = touched(at_bench)
    ask(at_bench)
    tap(at_bench, at_bench.locator("[data-size='3']"))
    after = touched(at_bench)
    assert [each[1:] for each in after] == [each[1:] for each in before]


def test_for_a_key_further_down_the_question_comes_into_sight(at_bench: Page) -> None:
    key = at_bench.locator(".defect-key", has=seen(at_bench, "stalk"))
    key.scroll_into_view_if_needed()
    tap(at_bench, key)
    expect(at_bench.locator("#how-large")).to_be_in_viewport(ratio=1)
    tap(at_bench, at_bench.locator("[data-size='10']"))
    expect(figure_of(at_bench, "stalk")).to_have_value("10")
