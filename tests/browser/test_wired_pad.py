"""A plain wired number pad drives the whole bench, Num Lock on or off; no glass is touched."""

import pytest
from playwright.sync_api import Page, expect

from shedgrade.domain.grading.facts import Defect
from shedgrade.domain.spec import library
from shedgrade.storage.bench import MeasuredFruit, last_fruit
from shedgrade.storage.database import Database
from tests.support.bench import Bench, bench
from tests.support.browsing import sign_in
from tests.support.touching import count_taps, taps
from tests.support.wired_pad import Pad


@pytest.fixture
def at_bench(tablet_page: Page, site: str, sqlite_database: Database, ids: Bench) -> Page:
    page = tablet_page
    sign_in(page.context, site, sqlite_database, ids.grader)
    count_taps(page)
    page.goto(f"{site}/samples/{ids.sample}")
    return page


@pytest.fixture(params=[True, False], ids=["num lock", "no num lock"])
def pad(request: pytest.FixtureRequest, at_bench: Page) -> Pad:
    return Pad(at_bench, num_lock=request.param)


def fruit(database: Database, ids: Bench) -> list[MeasuredFruit]:
    """The newest first."""
    with database.reading() as session:
        return last_fruit(session, ids.sample, 9)


def saved(page: Page, number: int) -> None:
    expect(page.get_by_text(f"Fruit {number} saved.")).to_be_visible()


def test_a_whole_sample_without_touching_the_glass(
    at_bench: Page, pad: Pad, sqlite_database: Database, ids: Bench
) -> None:
    pad.press("440", "Enter", "4", "Enter")  # clean
    saved(at_bench, 1)
    pad.press("4405", "Backspace", "Enter", "3", "++", "4.6", "+++++", "*", "Enter")  # rub; then rot
    saved(at_bench, 2)
    pad.press("390", "Enter", "4", "+", "1", "+", "2", "-", "3.5", "Enter")  # back to the first: its size anew
    saved(at_bench, 3)
    clean, blemished, corrected = reversed(fruit(sqlite_database, ids))
    assert (clean.fruit.weight_dg, clean.fruit.stage, clean.fruit.defects) == (4400, 4, ())
    assert blemished.fruit.stage == 3
    assert blemished.fruit.defects == (Defect("rub", area_mm2=460), Defect("rot"))
    assert corrected.fruit.defects == (Defect("sap-stain", area_mm2=350), Defect("rub", area_mm2=200))
    pad.press("/", "1")
    expect(at_bench.get_by_text("Fruit 3 voided:")).to_be_visible()
    pad.press("/", "2")
    expect(at_bench.get_by_text("Next: fruit 4, bin 2 of the receipt")).to_be_visible()
    pad.press("/", "3")
    expect(at_bench.get_by_role("dialog")).to_be_visible()
    pad.press("5", "/")
    expect(at_bench.get_by_role("dialog")).to_be_hidden()
    expect(at_bench.get_by_label("Weight", exact=True)).to_be_focused()
    expect(at_bench.get_by_label("Weight", exact=True)).to_have_value("")
    newest = fruit(sqlite_database, ids)[0]
    assert newest.voided is not None
    assert newest.voided.reason == "undone at the bench"
    assert taps(at_bench) == 0


def test_enter_asks_for_what_is_missing_before_it_judges(at_bench: Page, pad: Pad) -> None:
    pad.press("Enter")
    expect(at_bench.get_by_label("Weight", exact=True)).to_be_focused()
    pad.press("440", "Enter")
    expect(at_bench.locator("[name=stage][value='1']")).to_be_focused()
    assert at_bench.locator("[name=stage]:checked").count() == 0
    pad.press("9")  # no such stage
    assert at_bench.locator("[name=stage]:checked").count() == 0
    pad.press("6")
    expect(at_bench.locator("[name=stage][value='6']")).to_be_checked()
    expect(at_bench.locator(".judge-key")).to_be_focused()


def test_minus_goes_back_as_far_as_the_weight(at_bench: Page, pad: Pad) -> None:
    pad.press("440", "Enter", "4", "+", "2")
    pad.press("-")
    expect(at_bench.locator("[name=stage][value='4']")).to_be_focused()
    pad.press("3")
    expect(at_bench.locator("[name=stage][value='3']")).to_be_checked()
    pad.press("-", "-")
    box = at_bench.get_by_label("Weight", exact=True)
    expect(box).to_be_focused()
    pad.press("390")
    expect(box).to_have_value("390")


def test_star_lifts_a_defect_again(at_bench: Page, pad: Pad) -> None:
    pad.press("440", "Enter", "4", "+", "2")
    expect(at_bench.locator(".judge-key")).to_have_accessible_name("1 defect Judge this fruit")
    pad.press("*")
    expect(at_bench.locator(".judge-key")).to_have_accessible_name("Clean Judge this fruit")


def test_a_stroke_says_what_can_follow_and_any_other_key_is_none_of_it(at_bench: Page, pad: Pad) -> None:
    pad.press("/")
    words = "1 undo the last fruit, 2 next bin, tray or draw, 3 wipe"
    expect(at_bench.get_by_role("status").filter(has_text=words)).to_be_visible()
    pad.press("8")
    expect(at_bench.get_by_role("status").filter(has_text="undo the last fruit")).to_have_count(0)
    expect(at_bench.get_by_label("Weight", exact=True)).to_have_value("")


def test_a_refused_figure_gives_way(at_bench: Page, pad: Pad, sqlite_database: Database, ids: Bench) -> None:
    pad.press("4400", "Enter", "4", "Enter")
    expect(at_bench.get_by_role("alert")).to_be_visible()
    pad.press("440", "Enter")
    saved(at_bench, 1)
    assert fruit(sqlite_database, ids)[0].fruit.weight_dg == 4400


def test_measures_beside_the_weight_are_asked_in_turn(page: Page, site: str, sqlite_database: Database) -> None:
    ids = bench(sqlite_database, library.standards()["kiwifruit-eu"])
    sign_in(page.context, site, sqlite_database, ids.grader)
    page.goto(f"{site}/samples/{ids.sample}")
    Pad(page, num_lock=True).press("95", "Enter", "40", "Enter", "50", "Enter")
    saved(page, 1)
    assert dict(fruit(sqlite_database, ids)[0].fruit.measures) == {"min-diameter": 400, "max-diameter": 500}


def test_the_card_names_every_key_and_a_keyboard_types_as_ever(at_bench: Page) -> None:
    card = at_bench.locator("details", has_text="Number pad keys")
    card.locator("summary").click()
    for key in ("0 to 9 and .", "Enter", "+", "−", "*", "Backspace", "/ then 1", "/ then 2", "/ then 3"):
        expect(card.get_by_role("rowheader", name=key, exact=True)).to_be_visible()
    rub = at_bench.get_by_role("textbox", name="rub, in cm²", exact=True)
    rub.focus()
    at_bench.keyboard.type("1 + 2")
    expect(rub).to_have_value("1 + 2")
