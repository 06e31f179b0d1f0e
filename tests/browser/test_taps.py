"""Ten seconds a fruit: how many touches it takes once its weight is there, counted as the glass feels them."""

import pytest
from playwright.sync_api import Page, expect

from shedgrade.demo.season import spec_named
from shedgrade.domain.grading.facts import Defect
from shedgrade.storage.bench import last_fruit
from shedgrade.storage.database import Database
from tests.support.bench import Bench, bench
from tests.support.bench_page import seen
from tests.support.browsing import sign_in
from tests.support.touching import count_taps, tap, taps

CLEAN, CLEAN_WITH_STAGE, ONE_DEFECT = 1, 2, 4


def opened(page: Page, site: str, database: Database, spec_id: str, weight: str) -> Bench:
    """The bench with a fruit's weight in it, as a scale leaves it, and no touch so far."""
    ids = bench(database, spec_named(spec_id))
    sign_in(page.context, site, database, ids.grader)
    count_taps(page)
    page.goto(f"{site}/samples/{ids.sample}")
    page.get_by_label("Weight", exact=True).fill(weight)
    taps(page)
    return ids


def stored(database: Database, ids: Bench) -> list[tuple[int, int | None, tuple[Defect, ...]]]:
    with database.reading() as session:
        fruit = [each.fruit for each in last_fruit(session, ids.sample, 9)]
    return [(each.weight_dg, each.stage, each.defects) for each in fruit]


def judge(page: Page) -> None:
    tap(page, page.locator(".judge-key"))
    expect(page.get_by_text("Fruit 1 saved.")).to_be_visible()


def stage(page: Page) -> None:
    tap(page, page.locator(".stage-key .icon").nth(3))


def test_a_clean_fruit_takes_its_stage_and_one_tap(tablet_page: Page, site: str, sqlite_database: Database) -> None:
    page = tablet_page
    ids = opened(page, site, sqlite_database, "kestrow-mango", "440")
    stage(page)
    expect(page.locator(".judge-key")).to_have_accessible_name("Clean Judge this fruit")
    judge(page)
    assert taps(page) <= CLEAN_WITH_STAGE
    assert stored(sqlite_database, ids) == [(4400, 4, ())]
    expect(page.get_by_role("status").filter(has_text="Fruit 1: Class I")).to_have_count(1)


def test_where_no_stage_is_asked_one_tap_is_all(tablet_page: Page, site: str, sqlite_database: Database) -> None:
    page = tablet_page
    ids = opened(page, site, sqlite_database, "avocado-trade-4kg", "240")
    judge(page)
    assert taps(page) <= CLEAN
    assert stored(sqlite_database, ids) == [(2400, None, ())]


@pytest.mark.parametrize(
    ("word", "size", "defect"),
    [
        ("wind rub", "4.5", Defect("wind-rub", area_mm2=450)),
        ("scattered rusty lenticels", "25", Defect("lenticels", share_bp=2500)),
    ],
)
def test_a_measured_defect_takes_two_taps_more(
    tablet_page: Page, site: str, sqlite_database: Database, word: str, size: str, defect: Defect
) -> None:
    page = tablet_page
    ids = opened(page, site, sqlite_database, "kestrow-mango", "440")
    stage(page)
    tap(page, page.locator(".defect-key", has=seen(page, word)))
    tap(page, page.get_by_role("group", name="As large as").locator(f"[data-size='{size}']"))
    expect(page.locator(".judge-key")).to_have_accessible_name("1 defect Judge this fruit")
    judge(page)
    assert taps(page) <= ONE_DEFECT
    assert stored(sqlite_database, ids) == [(4400, 4, (defect,))]


def test_a_defect_that_is_just_there_takes_one_tap_more(
    tablet_page: Page, site: str, sqlite_database: Database
) -> None:
    page = tablet_page
    ids = opened(page, site, sqlite_database, "kestrow-mango", "440")
    stage(page)
    tap(page, page.locator(".defect-key", has_text="rot").first)
    judge(page)
    assert taps(page) < ONE_DEFECT
    assert stored(sqlite_database, ids) == [(4400, 4, (Defect("rot"),))]


def test_the_last_fruit_is_undone_in_one_tap_with_its_reason(
    tablet_page: Page, site: str, sqlite_database: Database
) -> None:
    page = tablet_page
    ids = opened(page, site, sqlite_database, "avocado-trade-4kg", "240")
    judge(page)
    taps(page)
    tap(page, page.get_by_role("button", name="Undo"))
    expect(page.get_by_text("Fruit 1 voided:")).to_be_visible()
    assert taps(page) == 1
    with sqlite_database.reading() as session:
        (fruit,) = last_fruit(session, ids.sample, 9)
    assert fruit.voided is not None
    assert fruit.voided.reason == "undone at the bench"
    expect(page.get_by_text("0 of 50", exact=True)).to_be_visible()


def test_the_next_fruit_starts_by_itself(tablet_page: Page, site: str, sqlite_database: Database) -> None:
    page = tablet_page
    ids = opened(page, site, sqlite_database, "kestrow-mango", "440")
    stage(page)
    judge(page)
    expect(page.get_by_label("Weight", exact=True)).to_be_focused()
    assert page.locator("[name=stage]:checked").count() == 0  # the last one's stage is nobody's guess
    page.keyboard.type("390")
    stage(page)
    tap(page, page.locator(".judge-key"))
    expect(page.get_by_text("Fruit 2 saved.")).to_be_visible()
    expect(page.get_by_text("2 of 50", exact=True)).to_be_visible()
    assert [weight for weight, _, _ in stored(sqlite_database, ids)] == [3900, 4400]
