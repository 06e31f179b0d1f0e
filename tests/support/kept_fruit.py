"""Fruit as hands type them at a bench, and as the shed has stored them."""

from typing import NamedTuple

from playwright.sync_api import Locator, Page, expect

from shedgrade.storage.bench import MeasuredFruit, last_fruit
from shedgrade.storage.database import Database
from tests.support.bench import Bench

WAITS_MS = 60_000

# A weight in figures that only the server reads, to refuse them; what the tablet refuses itself is never kept.
UNREADABLE = "\uff14\uff11\uff12"

# What hands do, as fast as the page lets them: type, press, and go on when the form stands empty.
CAPTURE = """async (fruit) => {
  const pause = () => new Promise((resolve) => setTimeout(resolve, 1));
  for (const [weight, mark] of fruit) {
    const form = document.getElementById("fruit-form");
    const put = (name, value) => {
      const box = document.getElementById(name);
      box.value = value;
      box.dispatchEvent(new Event("input", { bubbles: true }));
    };
    put("f-weight", weight);
    if (mark) put("f-mark-rub", mark);
    form.requestSubmit(form.querySelector("button[type=submit]:not([formaction])"));
    while (document.getElementById("f-weight").value !== "") await pause();
  }
}"""


class Typed(NamedTuple):
    """A fruit as it is typed: weights are all different, so each can be found again."""

    weight: str
    mark: str


def typed(number: int) -> Typed:
    """The fruit of this number."""
    return Typed(f"{200 + number / 10:.1f}", f"{1 + number % 7 / 10:.1f}" if number % 3 == 0 else "")


def stored_as_typed(fruit: MeasuredFruit) -> Typed:
    """What was typed of a stored fruit."""
    areas = [mark.area_mm2 for mark in fruit.fruit.defects]
    return Typed(f"{fruit.fruit.weight_dg / 10:.1f}", f"{areas[0] / 100:.1f}" if areas and areas[0] else "")


def capture(page: Page, *fruit: Typed) -> None:
    """Type them at the bench, one after the other."""
    page.evaluate(CAPTURE, fruit)


def fruit_of(database: Database, sample: int) -> list[MeasuredFruit]:
    """What is stored of the sample, in order."""
    with database.reading() as session:
        return last_fruit(session, sample, 10_000)[::-1]


def weights(database: Database, made: Bench) -> list[str]:
    """The weights stored, in order."""
    return [stored_as_typed(each).weight for each in fruit_of(database, made.sample)]


def strip(page: Page) -> Locator:
    """What the page says of the fruit that it keeps."""
    return page.locator("#strip")


def all_sent(page: Page) -> None:
    """Wait until the page says that the server has every fruit."""
    expect(strip(page)).to_contain_text("All sent", timeout=WAITS_MS)
