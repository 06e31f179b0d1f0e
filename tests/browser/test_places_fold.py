"""On the bench the places to go to are folded up: all of them fit, and no stray touch leads away."""

from playwright.sync_api import Page, expect

from shedgrade.demo.season import spec_named
from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from tests.support import season
from tests.support.accessibility import axe
from tests.support.bench import bench
from tests.support.browsing import sign_in
from tests.support.touching import EDGE, OTHER, ROUNDING

PLACES = ["The shed", "Consignments", "Runs", "Growers", "Quotes", "Markets", "Specs", "People", "Settings"]


def test_all_places_of_a_manager_are_in_reach(tablet_page: Page, site: str, sqlite_database: Database) -> None:
    page = tablet_page
    ids = bench(sqlite_database, spec_named("kestrow-mango"))
    with sqlite_database.writing() as session:
        manager = season.shed_person(session, "Somebody with a long name", Role.MANAGER)
        session.commit()
    sign_in(page.context, site, sqlite_database, manager)
    page.goto(f"{site}/samples/{ids.sample}")
    nav = page.get_by_role("navigation", name="Main")
    assert nav.evaluate("each => each.scrollWidth <= each.clientWidth")
    expect(nav.get_by_role("link")).to_have_count(0)
    name, size = page.get_by_text("Somebody with a long name").bounding_box(), page.viewport_size
    fold = nav.get_by_text("Places").bounding_box()
    assert name is not None
    assert fold is not None
    assert size is not None
    assert name["x"] >= fold["x"] + fold["width"]
    nav.get_by_text("Places").click()
    links = nav.get_by_role("link")
    assert links.all_inner_texts() == PLACES
    for link in links.all():
        box = link.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= OTHER - ROUNDING
        assert box["x"] + box["width"] <= size["width"] - EDGE + ROUNDING
        expect(link).to_be_in_viewport(ratio=1)
    assert axe(page) == []
    links.last.click()
    expect(page.get_by_role("heading", level=1)).to_be_visible()
    assert page.url == f"{site}/settings"


def test_without_scripts_they_unfold_as_well(page: Page, site: str, sqlite_database: Database) -> None:
    browser = page.context.browser
    assert browser is not None
    ids = bench(sqlite_database, spec_named("kestrow-mango"))
    with browser.new_context(java_script_enabled=False) as context:
        plain = context.new_page()
        sign_in(context, site, sqlite_database, ids.grader)
        plain.goto(f"{site}/samples/{ids.sample}")
        plain.get_by_text("Places", exact=True).click()
        plain.get_by_role("link", name="Consignments").click()
        assert plain.url == f"{site}/consignments"
