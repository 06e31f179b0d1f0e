"""A real browser on the app: fixtures for every test in this folder."""

import os
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize, expect

from shedgrade.demo.season import spec_named
from shedgrade.demo.start import demo_settings
from shedgrade.settings import Settings
from shedgrade.storage.database import Database
from shedgrade.web.app import create_app
from tests.support.bench import Bench, bench
from tests.support.browsing import sign_in
from tests.support.chromium import ARGUMENTS, NONE_FOUND, find_chromium
from tests.support.complaints import complaints_of
from tests.support.every_page import person_ids, season_ids
from tests.support.serving import serve
from tests.support.templates import SqliteTemplate
from tests.support.walk import Walk

# A 10.1-inch shed tablet lying and standing.
LYING = ViewportSize(width=1280, height=800)
STANDING = ViewportSize(width=800, height=1280)

# A machine that does other things besides is slow, not wrong.
expect.set_options(timeout=10_000)


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, Any]) -> dict[str, Any]:
    """Start the machine's own browser. Without one the tests are left out; where CI is set they fail."""
    chromium = find_chromium()
    if chromium is None:
        (pytest.fail if os.environ.get("CI") else pytest.skip)(NONE_FOUND)
    return {**browser_type_launch_args, "executable_path": str(chromium), "args": ARGUMENTS}


@pytest.fixture(scope="session")
def browser_context_args(browser_context_args: dict[str, Any]) -> dict[str, Any]:
    """A tablet lying on the bench. It keeps nothing to open pages offline: that would fetch every part of the bench a
    second time for each test. What is kept, and how the bench does with it: test_offline_bench.py, test_queue.py."""
    return {**browser_context_args, "viewport": LYING, "service_workers": "block"}


@pytest.fixture
def page(context: BrowserContext) -> Iterator[Page]:
    """A page of the test's own; a script error or a blocked script, style or address fails the test at its end."""
    page = context.new_page()
    complaints = complaints_of(page)
    yield page
    assert complaints == []


@pytest.fixture(params=[LYING, STANDING], ids=["1280x800", "800x1280"])
def tablet_page(page: Page, request: pytest.FixtureRequest) -> Page:
    """The same page on the tablet held either way: the test runs twice."""
    page.set_viewport_size(request.param)
    return page


@pytest.fixture
def site(sqlite_database: Database) -> Iterator[str]:
    """The address of the app on the test's own database, which the test fills as it needs."""
    with serve(create_app(Settings(database=sqlite_database.url), sqlite_database)) as address:
        yield address


@pytest.fixture
def ids(sqlite_database: Database) -> Bench:
    """A consignment with a sample just begun, of a spec that asks for colour stages."""
    return bench(sqlite_database, spec_named("kestrow-mango"))


@pytest.fixture
def at_bench(page: Page, site: str, sqlite_database: Database, ids: Bench) -> Page:
    """The bench of a sample just begun."""
    sign_in(page.context, site, sqlite_database, ids.grader)
    page.goto(f"{site}/samples/{ids.sample}")
    return page


@pytest.fixture
def demo_site(demo_database: Database) -> Iterator[str]:
    """The address of the app on a copy of the demo season."""
    with serve(create_app(demo_settings(demo_database.url), demo_database)) as address:
        yield address


@pytest.fixture(scope="session")
def walk(browser: Browser, demo_template: SqliteTemplate, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Walk]:
    """A walk through the demo season, shared by all tests that only look."""
    with demo_template.copy(tmp_path_factory.mktemp("walk")) as database:
        app = create_app(demo_settings(database.url), database)
        with serve(app) as address, browser.new_context() as context:
            yield Walk(context.new_page(), address, database, person_ids(database), season_ids(database))
