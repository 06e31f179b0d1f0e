"""A plain form whose button is pressed twice is carried out once, with scripts and without."""

import pytest
from playwright.sync_api import Browser, expect

from shedgrade.domain.people import Role
from shedgrade.storage import growers
from shedgrade.storage.database import Database
from tests.support import season
from tests.support.browsing import sign_in
from tests.support.story import ANYBODY


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
def test_two_presses_add_one_grower(browser: Browser, site: str, sqlite_database: Database, scripts: bool) -> None:
    with sqlite_database.writing() as session:
        manager = season.shed_person(session, "Maro", Role.MANAGER)
        session.commit()
    with browser.new_context(java_script_enabled=scripts) as context:
        sign_in(context, site, sqlite_database, manager)
        page = context.new_page()
        page.goto(f"{site}/growers/new")
        page.get_by_label("Name").fill("Tallow Creek")
        page.get_by_role("button", name="Save").dblclick()
        expect(page.get_by_role("heading", name="Tallow Creek")).to_be_visible()
    with sqlite_database.reading() as session:
        assert [each.name for each in growers.growers_for(session, ANYBODY)] == ["Tallow Creek"]
