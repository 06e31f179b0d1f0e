"""The screen fitted to a bank card: from then on shapes are as large as they say, at any zoom, also at the bench."""

from math import pi, sqrt

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from shedgrade.domain.people import Role
from shedgrade.domain.spec import library
from shedgrade.domain.units import THIN
from shedgrade.storage.database import Database
from tests.support import season
from tests.support.bench import bench
from tests.support.bench_page import seen
from tests.support.browsing import sign_in

CARD_MM, GUESSED = 85.6, 96 / 25.4


@pytest.fixture
def grader(sqlite_database: Database) -> int:
    with sqlite_database.writing() as session:
        person_id = season.shed_person(session, "Bench", Role.GRADER)
        session.commit()
    return person_id


def width(of: Locator) -> float:
    box = of.bounding_box()
    assert box is not None
    return box["width"]


def circle_px(page: Page, cm2: str) -> float:
    return width(page.get_by_text(f"{cm2}{THIN}cm²", exact=True).first.locator("..").locator("svg"))


def fit(page: Page, site: str, larger_mm: int) -> float:
    """Make the outline larger by so many steps and keep it; how wide it is then, in px."""
    page.goto(f"{site}/screen")
    for _ in range(larger_mm):
        page.get_by_role("button", name="Much larger").click()
    page.get_by_role("button", name="It fits").click()
    expect(page.locator("#fit-said")).to_contain_text("Kept on this tablet")
    return width(page.locator(".bank-card svg"))


def test_shapes_follow_the_fitted_card_and_it_is_kept(
    page: Page, site: str, sqlite_database: Database, grader: int
) -> None:
    sign_in(page.context, site, sqlite_database, grader)
    page.goto(f"{site}/area-card")
    assert circle_px(page, "4") == pytest.approx(sqrt(4 * 400 / pi) * GUESSED, abs=0.5)
    expect(page.locator(".not-fitted")).to_be_visible()
    card_px = fit(page, site, 9)
    assert card_px == pytest.approx(CARD_MM * GUESSED * (1 + 1 / CARD_MM) ** 9, abs=0.5)
    page.goto(f"{site}/area-card")
    expect(page.locator(".not-fitted")).to_be_hidden()
    for cm2 in ("0.25", "4", "12"):
        wanted = sqrt(4 * float(cm2) * 100 / pi) * card_px / CARD_MM
        assert circle_px(page, cm2) == pytest.approx(wanted, abs=0.5)


def test_what_is_kept_holds_on_a_screen_of_finer_dots(
    browser: Browser, site: str, sqlite_database: Database, grader: int
) -> None:
    """A zoomed page is, to the page, a screen of finer dots: the same number of dots makes a millimetre."""
    with browser.new_context(device_scale_factor=2) as context:
        sign_in(context, site, sqlite_database, grader)
        page = context.new_page()
        page.goto(f"{site}/screen")
        page.evaluate("localStorage.setItem('dots-per-mm', '12')")
        page.reload()
        assert width(page.locator(".bank-card svg")) == pytest.approx(CARD_MM * 6, abs=0.5)


@pytest.mark.parametrize("nonsense", ["", "large", "-3", "0", "1e9"])
def test_nonsense_in_the_browser_s_store_is_not_believed(
    page: Page, site: str, sqlite_database: Database, grader: int, nonsense: str
) -> None:
    sign_in(page.context, site, sqlite_database, grader)
    page.goto(f"{site}/screen")
    page.evaluate("(text) => localStorage.setItem('dots-per-mm', text)", nonsense)
    page.goto(f"{site}/area-card")
    expect(page.locator(".not-fitted")).to_be_visible()
    assert width(page.locator("svg.true-size").last) == pytest.approx(sqrt(8 * 1200 / pi) * GUESSED, abs=0.5)


def test_the_circles_at_the_bench_are_as_large_as_they_say(page: Page, site: str, sqlite_database: Database) -> None:
    ids = bench(sqlite_database, library.standards()["mango-au-class1-2016"])
    sign_in(page.context, site, sqlite_database, ids.grader)
    card_px = fit(page, site, 3)
    page.goto(f"{site}/samples/{ids.sample}")
    expect(page.get_by_role("link", name="Fit the circles to this screen")).to_be_hidden()
    page.locator(".defect-key", has=seen(page, "sap stain")).click()
    circle = page.get_by_role("button", name="4 cm²", exact=True).locator(".size-circle")
    assert width(circle) == pytest.approx(sqrt(4 * 400 / pi) * card_px / CARD_MM, abs=0.5)
