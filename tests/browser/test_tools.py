"""The browser tests' own tools see what they are there to see, under the app's content policy."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import BrowserContext, Page
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse
from starlette.routing import Route

from shedgrade.web.security import HEADERS
from tests.support.accessibility import axe
from tests.support.chromium import find_chromium
from tests.support.complaints import complaints_of
from tests.support.serving import serve

GOOD = """<!doctype html><html lang="en"><head><title>Bench</title></head>
<body><main><h1>Bench</h1><p>Put a fruit on the scale.</p></main></body></html>"""
BAD = GOOD.replace("<p>", '<img src="data:,"><p style="color: red">')


def page_of(text: str) -> Route:
    def answer(_request: Request) -> HTMLResponse:
        return HTMLResponse(text, headers=HEADERS)

    return Route("/bad" if text == BAD else "/", answer)


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    with serve(Starlette(routes=[page_of(GOOD), page_of(BAD)])) as address:
        yield address


def test_axe_finds_nothing_on_a_good_page(tablet_page: Page, address: str) -> None:
    tablet_page.goto(address)
    assert axe(tablet_page) == []


def test_axe_finds_a_picture_without_words(context: BrowserContext, address: str) -> None:
    page = context.new_page()
    page.goto(f"{address}/bad")
    assert [violation.rule for violation in axe(page)] == ["image-alt"]


def test_a_blocked_style_and_a_broken_script_are_heard(context: BrowserContext, address: str) -> None:
    page = context.new_page()
    complaints = complaints_of(page)
    page.goto(f"{address}/bad")
    with page.expect_event("pageerror"):
        page.evaluate("setTimeout(() => { throw new Error('scale gone') })")
    style, script = complaints
    assert "Content Security Policy" in style
    assert script == "scale gone"


def test_page_is_as_wide_as_the_tablet(tablet_page: Page, address: str) -> None:
    tablet_page.goto(address)
    size = tablet_page.viewport_size
    assert size is not None
    assert tablet_page.evaluate("[innerWidth, innerHeight]") == [size["width"], size["height"]]


def test_named_browser_is_the_only_one_looked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SHEDGRADE_CHROMIUM", "/nowhere/chromium")
    assert find_chromium() is None


def test_site_asks_who_is_there(page: Page, site: str) -> None:
    answer = page.goto(site)
    assert answer is not None
    assert page.url.startswith(f"{site}/set-up")
    assert page.locator("main").count() == 1
