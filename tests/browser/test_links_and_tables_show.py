"""What leads somewhere looks like it, and a table that goes on beside the screen shows that it does."""

from dataclasses import replace
from datetime import UTC, datetime
from io import BytesIO
from statistics import median

from PIL import Image
from playwright.sync_api import Locator, Page

from shedgrade.actions.specs import publish
from shedgrade.storage import markets, specs
from shedgrade.storage.database import Database
from shedgrade.storage.history import Actor, act_as
from tests.support.browsing import sign_in
from tests.support.every_page import person_ids, season_ids

NOW = datetime(2026, 2, 1, 2, tzinfo=UTC)
LOOKS = "each => { const is = getComputedStyle(each); return [is.textDecorationLine, is.color]; }"


def looks(link: Locator) -> list[str]:
    """How a link is drawn: its line and its colour."""
    found: list[str] = link.evaluate(LOOKS)
    return found


def lightness(table: Locator, side: str) -> float:
    """How light the outermost 3 px of a table are at one side, 0 to 255: in the middle of all their signs."""
    image = Image.open(BytesIO(table.screenshot())).convert("L")
    left = 0 if side == "left" else image.width - 3
    return median(image.crop((left, 0, left + 3, image.height)).tobytes())


def test_ways_beside_a_market_look_like_links(page: Page, demo_site: str, demo_database: Database) -> None:
    everybody = person_ids(demo_database)
    with demo_database.writing() as session:
        act_as(session, Actor(None, "", NOW))
        row = markets.markets(session)[0].spec_version
        published = publish(session, replace(specs.spec_in(row), edition="another"), NOW).id
        session.commit()
    sign_in(page.context, demo_site, demo_database, everybody["Shed manager"])
    page.goto(f"{demo_site}/markets")
    ways = page.locator(".notice a")
    assert ways.count() >= 2
    drawn = [looks(each) for each in ways.all()]
    assert {line for line, _ in drawn} == {"underline"}
    page.goto(f"{demo_site}/specs/{published}")
    way = page.locator(".list-rows b", has_text="buy under version").first
    assert looks(way)[0] == "underline"
    assert {colour for _, colour in drawn} == {looks(way)[1]}


def test_a_table_that_goes_on_beside_the_screen_is_shaded_there(
    page: Page, demo_site: str, demo_database: Database
) -> None:
    everybody, ids = person_ids(demo_database), season_ids(demo_database)
    sign_in(page.context, demo_site, demo_database, everybody["Shed manager"])
    page.set_viewport_size({"width": 360, "height": 1280})
    page.goto(f"{demo_site}/specs/{ids['spec_version_id']}")
    tables = page.locator(".table-wrap:visible")
    wide = [each for each in tables.all() if each.evaluate("each => each.scrollWidth > each.clientWidth + 8")]
    assert wide
    wide[0].scroll_into_view_if_needed()
    assert lightness(wide[0], "right") < lightness(wide[0], "left") - 40
    wide[0].evaluate("each => each.scrollTo(each.scrollWidth, 0)")
    assert lightness(wide[0], "left") < lightness(wide[0], "right") - 40


def test_a_sample_under_a_draft_is_seen_whole_on_a_standing_tablet(
    page: Page, demo_site: str, demo_database: Database
) -> None:
    everybody, ids = person_ids(demo_database), season_ids(demo_database)
    sign_in(page.context, demo_site, demo_database, everybody["Shed manager"])
    page.set_viewport_size({"width": 800, "height": 1280})
    page.goto(f"{demo_site}/drafts/{ids['draft_id']}/trial")
    trials = [str(each.get_attribute("href")) for each in page.locator(".list-rows a").all()[:3]]
    assert trials
    for trial in trials:
        page.goto(demo_site + trial)
        table = page.get_by_role("region", name="Table: fruit by class before and after")
        assert table.evaluate("each => each.scrollWidth <= each.clientWidth"), trial
