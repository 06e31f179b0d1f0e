"""The way in, in a real browser: the first start, then name and password, on a telephone, a tablet and a desk."""

import pytest
from playwright.sync_api import Page, ViewportSize, expect

from tests.support.accessibility import axe
from tests.support.signing import PASSWORD

SIZES = [(390, 800), (800, 1280), (1280, 800)]


@pytest.fixture(params=SIZES, ids=["390x800", "800x1280", "1280x800"])
def sized(page: Page, request: pytest.FixtureRequest) -> Page:
    width, height = request.param
    page.set_viewport_size(ViewportSize(width=width, height=height))
    return page


def fine(page: Page, heading: str) -> None:
    """The page of this heading is there; nothing sticks out, and nobody is left out."""
    expect(page.locator("h1")).to_have_text(heading)
    page.wait_for_load_state()
    assert axe(page) == []
    assert not page.evaluate("document.documentElement.scrollWidth > innerWidth")


def press(page: Page, name: str) -> None:
    page.get_by_role("main").get_by_role("button", name=name, exact=True).click()


def test_from_the_first_start_to_a_tablet_with_a_pin(sized: Page, site: str) -> None:
    page = sized
    page.goto(site)
    fine(page, "Who runs the shed?")
    page.get_by_label("Your name").fill("Maren Holt")
    page.get_by_label("A password").fill("short")
    press(page, "Take me in")
    expect(page.get_by_role("alert")).to_be_visible()
    fine(page, "Who runs the shed?")
    expect(page.get_by_label("Your name")).to_have_value("Maren Holt")
    page.get_by_label("A password").fill(PASSWORD)
    page.get_by_label("The password again").fill(PASSWORD)
    press(page, "Take me in")
    page.get_by_role("link", name="Maren Holt").click()
    fine(page, "You are Maren Holt")
    take_a_pin(page)
    make_it_a_tablet(page)
    press(page, "Maren Holt asks the PIN")
    fine(page, "Maren Holt")
    page.get_by_label("Your PIN").fill("820461")
    press(page, "Sign in")
    expect(page.locator(".person strong")).to_have_text("Maren Holt")


def take_a_pin(page: Page) -> None:
    form = page.locator('form[action="/me/pin"]')
    form.get_by_label("Your password now").fill(PASSWORD)
    form.get_by_label("A new PIN").fill("123456")
    form.get_by_role("button").click()
    expect(page.get_by_role("alert")).to_be_visible()
    fine(page, "You are Maren Holt")
    form.get_by_label("Your password now").fill(PASSWORD)
    form.get_by_label("A new PIN").fill("820461")
    form.get_by_label("The new PIN again").fill("820461")
    form.get_by_role("button").click()
    expect(page.get_by_text("Your new PIN is stored.")).to_be_visible()
    fine(page, "You are Maren Holt")


def make_it_a_tablet(page: Page) -> None:
    page.get_by_role("link", name="Where you are signed in").click()
    fine(page, "Where people are signed in")
    page.get_by_label("Name of this tablet").fill("Bench 1")
    press(page, "Make this browser a tablet")
    expect(page.locator(".kicker")).to_have_text("Bench 1")
    fine(page, "Tap your name")


def test_signing_out_and_in_again(page: Page, site: str) -> None:
    page.goto(f"{site}/set-up")
    page.get_by_label("Your name").fill("Maren Holt")
    page.get_by_label("A password").fill(PASSWORD)
    page.get_by_label("The password again").fill(PASSWORD)
    press(page, "Take me in")
    page.goto(f"{site}/me")
    press(page, "Sign out: asks your password again")
    expect(page.locator("h1")).to_have_text("Sign in")
    page.go_back()
    expect(page.locator("h1")).to_have_text("Sign in")  # what was seen before is not kept
    page.goto(f"{site}/growers")
    page.get_by_label("Your name").fill("maren holt")
    page.get_by_label("Password").fill("not this one")
    press(page, "Sign in")
    expect(page.get_by_role("alert")).to_contain_text("do not go together")
    fine(page, "Sign in")
    expect(page.get_by_label("Password")).to_have_value("")
    page.get_by_label("Password").fill(PASSWORD)
    page.keyboard.press("Enter")
    page.wait_for_url(f"{site}/growers")
