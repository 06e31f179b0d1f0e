"""The bench answers without loading the page anew: what that must never lose, hide or do twice."""

from unittest.mock import patch

from playwright.sync_api import Page, Route, expect

from shedgrade.actions import samples as actions
from shedgrade.domain.units import THIN
from shedgrade.storage.bench import last_fruit
from shedgrade.storage.database import Database
from tests.support.bench import Bench
from tests.support.bench_page import figure_of, judge, key_in, measure, next_bin, seen

SAVES = "**/fruit-entries"
STAGE = "more yellow than green"


def weights(database: Database, ids: Bench) -> list[int]:
    """The weights stored, in grams, in the order they were entered."""
    with database.reading() as session:
        return [each.fruit.weight_dg // 10 for each in reversed(last_fruit(session, ids.sample, 99))]


def weight(page: Page) -> str:
    return page.get_by_label("Weight", exact=True).input_value()


def is_whole(page: Page) -> None:
    """A page with its frame, its style and its bench, not a fragment standing alone."""
    expect(page.get_by_role("navigation", name="Main")).to_be_visible()
    expect(page.get_by_role("button", name="Judge this fruit")).to_be_visible()
    assert page.evaluate("document.styleSheets.length") > 0


def test_back_shows_a_whole_page(at_bench: Page) -> None:
    next_bin(at_bench, "bin 1")
    measure(at_bench, 1, "440", STAGE)
    at_bench.get_by_role("link", name="All fruit of this sample").click()
    expect(at_bench.get_by_role("columnheader", name="Why")).to_be_visible()
    at_bench.go_back()
    is_whole(at_bench)
    expect(at_bench.get_by_text("bin 1, 440 g, stage 4. Size medium, count 16")).to_be_visible()
    measure(at_bench, 2, "450", STAGE)


def test_back_after_a_refusal_shows_a_whole_page(at_bench: Page) -> None:
    key_in(at_bench, "4600", STAGE)
    judge(at_bench)
    expect(at_bench.get_by_role("alert")).to_be_visible()
    at_bench.get_by_role("link", name="All fruit of this sample").click()
    expect(at_bench.get_by_text("No fruit was measured in this sample yet.")).to_be_visible()
    at_bench.go_back()
    is_whole(at_bench)


def test_a_refusal_keeps_what_was_typed(at_bench: Page, sqlite_database: Database, ids: Bench) -> None:
    key_in(at_bench, "4600", STAGE, wind_rub="2.5")
    judge(at_bench)
    expect(at_bench.get_by_role("alert")).to_contain_text("Not saved.")
    box = at_bench.get_by_label("Weight", exact=True)
    expect(box).to_have_value("4600")
    expect(box).to_be_focused()
    expect(box).to_have_accessible_description("4 600 g is heavier than any mango; did you mean 460 g?")
    expect(figure_of(at_bench, "wind rub")).to_have_value("2.5")
    expect(seen(at_bench, "wind rub")).to_be_checked()
    expect(at_bench.get_by_label(STAGE)).to_be_checked()
    assert weights(sqlite_database, ids) == []
    box.fill("460")
    judge(at_bench)
    expect(at_bench.get_by_text("Fruit 1 saved.")).to_be_visible()
    expect(at_bench.get_by_role("alert")).to_have_count(0)
    assert weights(sqlite_database, ids) == [460]
    assert weight(at_bench) == ""


def test_an_answer_that_was_lost_is_not_stored_twice(at_bench: Page, sqlite_database: Database, ids: Bench) -> None:
    lose_the_answer(at_bench)
    key_in(at_bench, "440", STAGE)
    judge(at_bench)
    expect(at_bench.locator("#strip")).to_contain_text("1 not sent yet")
    assert weight(at_bench) == ""
    at_bench.unroute_all(behavior="wait")
    expect(at_bench.get_by_text("Fruit 1 saved.")).to_be_visible()
    expect(at_bench.locator("#strip")).to_contain_text("All sent")
    assert weights(sqlite_database, ids) == [440]


def test_the_next_fruit_does_not_wait_for_a_lost_answer(at_bench: Page, sqlite_database: Database, ids: Bench) -> None:
    lose_the_answer(at_bench)
    key_in(at_bench, "440", STAGE)
    judge(at_bench)
    expect(at_bench.locator("#strip")).to_contain_text("no link since")
    expect(at_bench.locator("#last")).to_contain_text(f"440{THIN}g, stage 4. Size medium")
    key_in(at_bench, "390", STAGE)
    judge(at_bench)
    expect(at_bench.locator("#strip")).to_contain_text("2 not sent yet")
    at_bench.unroute_all(behavior="wait")
    expect(at_bench.get_by_text("Fruit 2 saved.")).to_be_visible()
    assert weights(sqlite_database, ids) == [440, 390]


def test_two_taps_store_one_fruit(at_bench: Page, sqlite_database: Database, ids: Bench) -> None:
    key_in(at_bench, "440", STAGE)
    at_bench.get_by_role("button", name="Judge this fruit").dblclick()
    expect(at_bench.get_by_text("Fruit 1 saved.")).to_be_visible()
    measure(at_bench, 2, "390", STAGE)
    assert weights(sqlite_database, ids) == [440, 390]


def test_a_fault_is_said_and_gone_with_the_next_try(at_bench: Page, sqlite_database: Database, ids: Bench) -> None:
    key_in(at_bench, "440", STAGE)
    with patch.object(actions, "save_fruit", side_effect=RuntimeError("the scale fell off")):
        judge(at_bench)
        expect(at_bench.locator("#strip")).to_contain_text("the shed's computer met a fault, it is tried again")
    assert (weight(at_bench), weights(sqlite_database, ids)) == ("", [])
    expect(at_bench.get_by_text("Fruit 1 saved.")).to_be_visible()
    expect(at_bench.locator("#strip")).to_contain_text("All sent")


def test_a_saved_fruit_is_said_to_those_who_hear_the_page(at_bench: Page) -> None:
    measure(at_bench, 1, "440", STAGE)
    said(at_bench, "Fruit 1: Class I")
    measure(at_bench, 2, "440", STAGE, wind_rub="4.6")
    said(at_bench, "Fruit 2: No class")


def test_a_fruit_typed_before_the_next_bin_is_opened_stays(at_bench: Page) -> None:
    measure(at_bench, 1, "440", STAGE)
    key_in(at_bench, "390", STAGE, wind_rub="2")
    next_bin(at_bench, "bin 2")
    assert weight(at_bench) == "390"
    judge(at_bench)
    expect(at_bench.get_by_text("bin 2, 390 g, stage 4, wind rub 2 cm²")).to_be_visible()


def lose_the_answer(page: Page) -> None:
    """From now on what is sent arrives, and what comes back does not."""

    def lose(route: Route) -> None:
        route.fetch()
        route.abort()

    page.route(SAVES, lose)


def said(page: Page, words: str) -> None:
    expect(page.locator("#said[role=status]")).to_contain_text(words)
