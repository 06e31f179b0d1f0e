"""At the bench under a spec that asks for more: states of a mark that was seen, and figures beside the weight."""

from playwright.sync_api import Page, expect

from shedgrade.domain.grading.facts import Fruit
from shedgrade.domain.spec import library
from shedgrade.storage.bench import last_fruit
from shedgrade.storage.database import Database
from tests.support.bench import Bench, bench
from tests.support.bench_page import back_to_defects, figure_of, judge, key_in, seen
from tests.support.browsing import sign_in


def opened(page: Page, site: str, database: Database, spec_id: str) -> Bench:
    ids = bench(database, library.standards()[spec_id])
    sign_in(page.context, site, database, ids.grader)
    page.goto(f"{site}/samples/{ids.sample}")
    return ids


def stored(database: Database, ids: Bench) -> Fruit:
    with database.reading() as session:
        return last_fruit(session, ids.sample, 1)[0].fruit


def test_a_state_is_asked_for_once_its_mark_was_seen(tablet_page: Page, site: str, sqlite_database: Database) -> None:
    page = tablet_page
    ids = opened(page, site, sqlite_database, "avocado-unece-ffv42")
    states = page.get_by_role("group", name="Corkiness: is any of it like this?")
    expect(states).to_be_hidden()
    key_in(page, "240")
    seen(page, "corkiness").check()
    page.get_by_role("textbox", name="corkiness: how large?").fill("1.5")
    back_to_defects(page)
    expect(figure_of(page, "corkiness")).to_have_value("1.5")
    expect(states).to_be_in_viewport(ratio=1)
    expect(page.get_by_role("button", name="Judge this fruit")).to_be_in_viewport(ratio=1)
    states.get_by_text("Progressive").click()
    judge(page)
    expect(page.get_by_text("Fruit 1 saved.")).to_be_visible()
    expect(states).to_be_hidden()
    (mark,) = stored(sqlite_database, ids).defects
    assert (mark.area_mm2, mark.states) == (150, frozenset({"progressive"}))


def test_the_pad_types_into_a_measure_and_a_refused_one_says_why(
    page: Page, site: str, sqlite_database: Database
) -> None:
    ids = opened(page, site, sqlite_database, "kiwifruit-eu")
    key_in(page, "95")
    smallest = page.get_by_label("Smallest diameter at the equator")
    smallest.click()
    for figure in "400":
        page.get_by_role("button", name=figure, exact=True).click()
    judge(page)
    expect(smallest).to_have_value("400")
    expect(page.locator("#f-taken-min-diameter-error")).to_contain_text("is accepted")
    smallest.fill("40")
    page.get_by_label("Greatest diameter at the equator").fill("50")
    judge(page)
    expect(page.get_by_text("Fruit 1 saved.")).to_be_visible()
    assert dict(stored(sqlite_database, ids).measures) == {"min-diameter": 400, "max-diameter": 500}
