"""What hands do at the bench, by the words on its keys: the same with scripts and without."""

import re

from playwright.sync_api import Locator, Page, expect


def key_in(page: Page, weight: str, stage: str = "", **marks: str) -> None:
    """Fill the form for one fruit; ``marks`` are defects by their key's word, spaces as underscores."""
    page.get_by_label("Weight", exact=True).fill(weight)
    if stage:
        page.get_by_role("group", name="Colour stage").get_by_text(stage, exact=True).click()
    for word, figure in marks.items():
        figure_of(page, word.replace("_", " ")).fill(figure)


def seen(page: Page, word: str) -> Locator:
    """The key that says a measured defect was seen."""
    return page.get_by_role("checkbox", name=f"{word} seen", exact=True)


def figure_of(page: Page, word: str) -> Locator:
    """The box in a measured defect's key."""
    return page.get_by_role("textbox", name=re.compile(rf"^{word}, in "))


def back_to_defects(page: Page) -> None:
    """Leave the question how large a touched defect is; nothing happens where it is not asked."""
    back = page.get_by_role("button", name="All defects")
    if back.is_visible():
        back.click()


def judge(page: Page) -> None:
    page.get_by_role("button", name="Judge this fruit").click()


def next_bin(page: Page, name: str) -> None:
    """Open the next bin, and wait until the bench says that it is this one."""
    key = page.locator("#fruit-form [name=form_key]")
    before = key.input_value()
    page.get_by_role("button", name="Next bin").click()
    expect(key).not_to_have_value(before)
    expect(page.get_by_text(re.compile(rf"^Next: fruit \d+, {name} of the receipt$"))).to_be_visible()


def measure(page: Page, number: int, weight: str, stage: str, **marks: str) -> None:
    """Measure one fruit, and wait until the bench says that it is saved as the fruit of this number."""
    key_in(page, weight, stage, **marks)
    judge(page)
    expect(page.get_by_text(f"Fruit {number} saved.")).to_be_visible()
