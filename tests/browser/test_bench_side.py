"""What stands beside the bench's keys, however long the names: no box over another, and Undo on one line."""

from dataclasses import replace
from itertools import combinations
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from shedgrade.demo.season import spec_named
from shedgrade.storage.database import Database
from tests.support import season
from tests.support.bench import Bench, bench
from tests.support.bench_page import judge, key_in, measure
from tests.support.browsing import sign_in

SIZES = ((1280, 800), (800, 1280), (390, 844))
LONG = "The long terrace above the old packing road, upper half, of Wolfeschlegelsteinhausen and daughters"
BOXES = (
    ".bench-last",
    ".undo p",
    ".undo .button",
    ".bench-undo > .last-line",
    ".bench-where",
    ".bench-tally",
    ".bench-save",
)
IN_SIGHT = """(all) => all.filter((each) => each.getClientRects().length).map((each) => {
  const box = each.getBoundingClientRect();
  return { name: each.className, left: box.left, top: box.top, right: box.right, bottom: box.bottom };
})"""
LINES = "each => each.getBoundingClientRect().height / parseFloat(getComputedStyle(each).lineHeight)"


@pytest.fixture(params=["Class I", "Selected for the overseas shelf"])
def ids(request: pytest.FixtureRequest, sqlite_database: Database) -> Bench:
    spec = spec_named("kestrow-mango")
    made = bench(
        sqlite_database, replace(spec, classes=(replace(spec.classes[0], name=request.param), *spec.classes[1:]))
    )
    with sqlite_database.writing() as session:
        session.connection().exec_driver_sql("UPDATE block SET name = ?", (LONG,))
        session.connection().exec_driver_sql("UPDATE grower SET name = ?", (LONG,))
        session.commit()
    return made


def overlaps(page: Page) -> list[tuple[str, str]]:
    boxes: list[dict[str, Any]] = page.locator(", ".join(BOXES)).evaluate_all(IN_SIGHT)
    assert len(boxes) >= 4
    return [(one["name"], other["name"]) for one, other in combinations(boxes, 2) if _over(one, other)]


def _over(one: dict[str, Any], other: dict[str, Any]) -> bool:
    across = min(one["right"], other["right"]) - max(one["left"], other["left"])
    down = min(one["bottom"], other["bottom"]) - max(one["top"], other["top"])
    return bool(across > 1 and down > 1)


def test_undo_stands_on_one_line_and_no_box_lies_over_another(
    page: Page, site: str, sqlite_database: Database, ids: Bench
) -> None:
    sign_in(page.context, site, sqlite_database, ids.grader)
    page.goto(f"{site}/samples/{ids.sample}")
    for number, (width, height) in enumerate(SIZES, start=1):
        page.set_viewport_size({"width": width, "height": height})
        key_in(page, "440")
        page.locator(".stage-key").nth(3).click()
        if width != 1280:  # the first fruit makes the best class, the others break every limit there is
            for mark in page.locator(".defect-key [data-pad]").all():
                mark.fill("9")
        judge(page)
        expect(page.get_by_text(f"Fruit {number} saved.")).to_be_visible()
        undo = page.get_by_role("button", name="Undo").locator("span")
        assert undo.evaluate(LINES) == pytest.approx(1, abs=0.3), width
        assert overlaps(page) == [], width


def test_who_did_not_measure_it_is_offered_no_undo(
    page: Page, site: str, sqlite_database: Database, ids: Bench
) -> None:
    sign_in(page.context, site, sqlite_database, ids.grader)
    page.goto(f"{site}/samples/{ids.sample}")
    measure(page, 1, "440", "green")
    with sqlite_database.writing() as session:
        session.connection().exec_driver_sql("UPDATE person SET name = ? || id", (LONG[:78],))
        other = season.shed_person(session, "Somebody else")
        session.commit()
    page.context.clear_cookies()
    sign_in(page.context, site, sqlite_database, other)
    for width, height in SIZES:
        page.set_viewport_size({"width": width, "height": height})
        page.goto(f"{site}/samples/{ids.sample}")
        expect(page.get_by_text("Last: fruit 1, by")).to_be_visible()
        expect(page.get_by_role("button", name="Undo")).to_have_count(0)
        assert overlaps(page) == [], width
