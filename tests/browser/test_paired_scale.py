"""A scale that is paired with a bench: what it sends goes into the weight once, and never over another fruit."""

from datetime import UTC, datetime, timedelta
from time import monotonic

import pytest
from playwright.sync_api import Locator, Page, expect
from sqlmodel import select

from shedgrade.actions.scales import pair, show_code, take_in
from shedgrade.storage.bench import last_fruit
from shedgrade.storage.database import Database
from shedgrade.storage.scales import BenchPlace
from shedgrade.storage.tables import Scale, ScaleReading, SignIn
from tests.support.bench import Bench
from tests.support.bench_page import figure_of, judge
from tests.support.browsing import sign_in


@pytest.fixture
def at_bench(page: Page, site: str, sqlite_database: Database, ids: Bench) -> Page:
    """A bench whose browser a scale is paired with."""
    sign_in(page.context, site, sqlite_database, ids.grader)
    with sqlite_database.writing() as session:
        here = session.exec(select(SignIn)).one()
        now = datetime.now(UTC)
        pair(session, show_code(session, BenchPlace(None, here.id), here.person_id, now), "Scale at ttyUSB0", now)
        session.commit()
    page.goto(f"{site}/samples/{ids.sample}")
    return page


def sends(database: Database, number: int, weight_dg: int, ago_s: float = 0) -> None:
    with database.writing() as session:
        scale, now = session.exec(select(Scale)).one(), datetime.now(UTC)
        at = now - timedelta(seconds=ago_s)
        reading = ScaleReading(scale_id=scale.id or 0, run="r", number=number, weight_dg=weight_dg, read_at=at)
        take_in(session, scale, reading, now)
        session.commit()


def weight(page: Page) -> Locator:
    return page.get_by_label("Weight", exact=True)


def test_a_weight_comes_into_the_box_and_the_focus_stays(at_bench: Page, sqlite_database: Database) -> None:
    figure_of(at_bench, "rub").focus()
    sends(sqlite_database, 1, 4125)
    expect(weight(at_bench)).to_have_value("412.5")
    expect(figure_of(at_bench, "rub")).to_be_focused()


def test_the_next_fruit_waits_until_the_open_one_is_saved(
    at_bench: Page, sqlite_database: Database, ids: Bench
) -> None:
    sends(sqlite_database, 1, 4125)
    expect(weight(at_bench)).to_have_value("412.5")
    at_bench.get_by_role("group", name="Colour stage").get_by_text("more yellow than green", exact=True).click()
    sends(sqlite_database, 2, 3980)
    offered = at_bench.get_by_label("From the scale", exact=True)
    expect(offered).to_contain_text("The scale sent 398.0.")
    expect(weight(at_bench)).to_have_value("412.5")
    judge(at_bench)
    expect(at_bench.get_by_text("Fruit 1 saved.")).to_be_visible()
    expect(weight(at_bench)).to_have_value("")
    offered.get_by_role("button", name="Put it in").click()
    expect(weight(at_bench)).to_have_value("398.0")
    with sqlite_database.reading() as session:
        assert [each.fruit.weight_dg for each in last_fruit(session, ids.sample, 9)] == [4125]


def test_a_weight_is_given_once_also_over_a_page_loaded_anew(at_bench: Page, sqlite_database: Database) -> None:
    sends(sqlite_database, 1, 4125)
    expect(weight(at_bench)).to_have_value("412.5")
    at_bench.get_by_role("button", name="Clear").click()
    with at_bench.expect_response("**/scales/here?seen="):
        at_bench.reload()
    at_bench.wait_for_timeout(300)
    expect(weight(at_bench)).to_have_value("")


def test_late_weights_are_offered_one_by_one_in_their_order(at_bench: Page, sqlite_database: Database) -> None:
    sends(sqlite_database, 1, 4125, ago_s=90)
    sends(sqlite_database, 2, 3980, ago_s=60)
    late = at_bench.get_by_label("From the scale, late")
    expect(late).to_contain_text("412.5")
    expect(late).to_contain_text("1 more after it.")
    expect(weight(at_bench)).to_have_value("")
    late.get_by_role("button", name="Put it in").click()
    expect(weight(at_bench)).to_have_value("412.5")
    expect(late).to_contain_text("398")
    late.get_by_role("button", name="Leave it out").click()
    expect(late).to_be_hidden()
    expect(weight(at_bench)).to_have_value("412.5")
    with sqlite_database.reading() as session:
        assert all(each.done_at for each in session.exec(select(ScaleReading)))


def test_the_shed_may_be_away_for_a_while(at_bench: Page, sqlite_database: Database) -> None:
    at_bench.route("**/scales/here*", lambda route: route.fulfill(status=502))
    at_bench.wait_for_timeout(1500)
    at_bench.unroute("**/scales/here*")
    at_bench.wait_for_timeout(4000)
    sends(sqlite_database, 1, 4125)
    expect(weight(at_bench)).to_have_value("412.5")


def failures(page: Page, count: int) -> list[float]:
    """When so many askings failed, by a steady clock in seconds; the shed stays away."""
    page.route("**/scales/here*", lambda route: route.fulfill(status=502))
    at = list[float]()
    for _ in range(count):
        with page.expect_response(lambda answer: answer.status == 502):
            pass
        at.append(monotonic())
    return at


def test_it_asks_more_seldom_while_the_shed_is_away(at_bench: Page) -> None:
    first, second, third = failures(at_bench, 3)
    assert third - second > 1.5 * (second - first)


@pytest.mark.parametrize(
    "again", ['dispatchEvent(new Event("online"))', 'document.dispatchEvent(new Event("visibilitychange"))']
)
def test_it_asks_at_once_when_the_link_is_back_or_the_page_looked_at(
    at_bench: Page, sqlite_database: Database, again: str
) -> None:
    failures(at_bench, 2)
    at_bench.unroute("**/scales/here*")
    sends(sqlite_database, 1, 4125)
    at_bench.evaluate(again)
    expect(weight(at_bench)).to_have_value("412.5", timeout=2000)


def test_no_key_moves_when_the_scale_offers_something(at_bench: Page, sqlite_database: Database) -> None:
    key = at_bench.get_by_role("button", name="Judge this fruit")
    before = key.bounding_box()
    sends(sqlite_database, 1, 4125, ago_s=90)
    expect(at_bench.get_by_label("From the scale, late")).to_be_visible()
    assert key.bounding_box() == before


def test_a_code_is_shown_on_request(at_bench: Page, site: str) -> None:
    at_bench.get_by_role("link", name="A scale for this bench").click()
    expect(at_bench.get_by_role("heading", name="Scale at ttyUSB0 feeds this bench")).to_be_visible()
    at_bench.get_by_role("button", name="Show a code").click()
    code = at_bench.locator(".pairing-code").inner_text()
    expect(at_bench.get_by_text(f"--bench {site} --code {code.replace(' ', '')}")).to_be_visible()
