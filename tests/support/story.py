"""A browser in the hands of one person after another, and the database behind the pages they see."""

import re
from dataclasses import dataclass

from playwright.sync_api import Page, expect

from shedgrade.domain.people import Person, Role
from shedgrade.storage.database import Database
from tests.support.browsing import sign_in
from tests.support.shed_for_sale import ShedForSale

# Whoever may see the whole shed: storage queries ask who is asking.
ANYBODY = Person(0, "", frozenset([Role.MANAGER]))


@dataclass(frozen=True, slots=True)
class Story:
    """Where the story is told."""

    page: Page
    address: str
    database: Database
    shed: ShedForSale

    def as_person(self, person_id: int) -> None:
        """Hand the browser to somebody."""
        sign_in(self.page.context, self.address, self.database, person_id)

    def open(self, path: str) -> None:
        """Type an address."""
        self.page.goto(self.address + path)

    def press(self, name: str) -> None:
        """Press the button of this name."""
        self.page.get_by_role("button", name=name, exact=True).click()

    def follow(self, name: str) -> None:
        """Follow the link of this name."""
        self.page.get_by_role("link", name=name, exact=True).click()

    def type_in(self, **texts: str) -> None:
        """Type into fields by their labels, spaces as underscores."""
        for label, text in texts.items():
            self.page.get_by_label(label.replace("_", " "), exact=True).fill(text)

    def reads(self, *sentences: str | re.Pattern[str]) -> None:
        """Wait until all of this is read on the page."""
        for words in sentences:
            expect(self.page.get_by_role("main")).to_contain_text(words, use_inner_text=True)

    @property
    def here(self) -> int:
        """The id at the end of the address."""
        return int(self.page.url.split("#")[0].rstrip("/").split("/")[-1])
