"""A quick look on the tablet, held either way: keys for wet gloves, a tap a fruit, the last one taken back in one tap.

A 10.1-inch tablet of 1280 by 800 px has 5.88 px a millimetre: the keys take 20 mm, 4 mm apart and 8 mm off the edge;
anything else that is tapped there takes 12 mm.
"""

from itertools import combinations

import pytest
from playwright.sync_api import FloatRect, Locator, Page, expect

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from tests.support import season
from tests.support.bench import Bench, bench
from tests.support.browsing import sign_in

MM = 1508 / 10.1 / 25.4  # the diagonal of 1280 by 800 is 1 509 px
ROUNDING = 0.5


@pytest.fixture
def made(sqlite_database: Database, site: str, tablet_page: Page) -> Bench:
    made = bench(sqlite_database)
    with sqlite_database.writing() as session:
        grader = season.shed_person(session, "Day grader", Role.GRADER)
        session.commit()
    sign_in(tablet_page.context, site, sqlite_database, grader)
    return made


def begin(page: Page, site: str, made: Bench, fruit: int) -> None:
    page.goto(f"{site}/consignments/{made.consignment}")
    page.get_by_role("link", name="Quick look at a tray").click()
    page.get_by_label("The full tray weighs").fill("2.1")
    page.get_by_label("The empty tray weighs").fill("0.9")
    page.get_by_label("Fruit in the tray").fill(str(fruit))
    page.get_by_role("button", name="Start tapping").click()


def boxes(keys: Locator) -> list[FloatRect]:
    found = [each.bounding_box() for each in keys.all()]
    return [box for box in found if box is not None]


def apart(one: FloatRect, other: FloatRect) -> float:
    across = max(one["x"] - other["x"] - other["width"], other["x"] - one["x"] - one["width"])
    down = max(one["y"] - other["y"] - other["height"], other["y"] - one["y"] - one["height"])
    return max(across, down)


def assert_made_for_gloves(page: Page) -> None:
    """Keys of 20 mm, 4 mm apart, 8 mm off the edge, nothing off the screen to the side; the rest 12 mm high."""
    page.wait_for_load_state()  # with its style sheets
    keys = boxes(page.locator(".send-key"))
    width = page.evaluate("innerWidth")
    assert keys
    assert min(min(box["width"], box["height"]) for box in keys) >= 20 * MM - 2 * ROUNDING
    assert min(apart(one, other) for one, other in combinations(keys, 2)) >= 4 * MM - ROUNDING
    assert min(min(box["x"], width - box["x"] - box["width"]) for box in keys) >= 8 * MM - ROUNDING
    others = boxes(page.locator("main .button"))
    assert all(box["height"] >= 12 * MM - ROUNDING for box in others)
    assert not page.evaluate("document.documentElement.scrollWidth > innerWidth")


def test_a_tray_is_tapped_through(tablet_page: Page, site: str, made: Bench) -> None:
    page = tablet_page
    begin(page, site, made, 3)
    expect(page.get_by_role("heading", level=1)).to_contain_text("1 of 3")
    assert_made_for_gloves(page)
    page.get_by_role("button", name="Extra Class").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("2 of 3")
    expect(page.locator(".undo")).to_contain_text("Fruit 1: Extra Class")
    page.get_by_role("link", name="No class").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("what is its main fault?")
    assert_made_for_gloves(page)
    page.get_by_role("button", name="Sap stain").click()
    expect(page.locator(".undo")).to_contain_text("Fruit 2: No class, sap stain")
    page.get_by_role("button", name="Undo").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("2 of 3")
    for _ in range(2):
        page.get_by_role("button", name="Extra Class").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("By eye: 3 of 3 Extra Class")


def test_a_finger_that_taps_twice_taps_one_fruit(tablet_page: Page, site: str, made: Bench) -> None:
    begin(tablet_page, site, made, 3)
    tablet_page.get_by_role("button", name="Extra Class").dblclick(no_wait_after=True)
    expect(tablet_page.get_by_role("heading", level=1)).to_contain_text("2 of 3")


def test_the_class_keys_and_the_undo_are_on_one_screen(tablet_page: Page, site: str, made: Bench) -> None:
    page = tablet_page
    begin(page, site, made, 3)
    page.get_by_role("button", name="Extra Class").click()
    expect(page.locator(".undo")).to_be_visible()
    page.wait_for_load_state()
    lowest = max(box["y"] + box["height"] for box in boxes(page.locator(".send-key, .undo .button")))
    assert lowest <= page.evaluate("innerHeight")
