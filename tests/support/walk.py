"""A walk through every page of the demo season: each is opened once, and looked at in every way the tests ask about."""

from dataclasses import dataclass, field

from playwright.sync_api import ConsoleMessage, Page, Response

from shedgrade.storage.database import Database
from tests.support.accessibility import Violation, axe
from tests.support.browsing import sign_in
from tests.support.every_page import Visit

# WCAG 2.2 asks for a page that fits 320 px (1.4.10) and 200 % (1.4.4): zoomed, the tablet's page has half the pixels.
_SMALL = {"telephone": (320, 568), "200 %, lying": (640, 400), "200 %, standing": (400, 640)}

_SIDEWAYS = "() => document.documentElement.scrollWidth > innerWidth"

# Each thing the Tab key stops at is looked at with and without the focus; what shows it may be the thing itself or what
# lies around it (a key around its hidden radio, a box around a number and its unit).
_UNSEEN_FOCUS = """() => {
  const looks = (each) => [each, each.parentElement, each.parentElement?.parentElement].map((box) => {
    const style = getComputedStyle(box);
    return style.outlineStyle === 'none' ? '' : `${style.outlineWidth} ${style.outlineColor}`;
  }).join();
  const stops = [...document.querySelectorAll('a[href], button, input:not([type=hidden]), select, textarea, summary,'
    + ' [tabindex="0"]')].filter((each) => each.tabIndex >= 0 && each.checkVisibility());
  const unseen = [];
  for (const each of stops) {
    document.activeElement?.blur();
    const before = looks(each);
    each.focus();
    if (looks(each) === before) unseen.push(each.outerHTML.slice(0, 160));
  }
  return unseen;
}"""


@dataclass(slots=True)
class Seen:
    """What was seen of a page: rules it breaks either way up, stops whose focus cannot be seen, sizes at which it
    scrolls sideways, addresses it asked that are not the shed's, and what the browser complained of."""

    status: int = 0
    breaks_lying: list[Violation] = field(default_factory=list)
    breaks_standing: list[Violation] = field(default_factory=list)
    unseen_focus: list[str] = field(default_factory=list)
    sideways: list[str] = field(default_factory=list)
    strangers: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)


class Walk:
    """One browser tab on the season behind an address; people and ids by name."""

    def __init__(
        self, page: Page, address: str, database: Database, people: dict[str, int], ids: dict[str, int]
    ) -> None:
        self._page, self._address, self._database, self._people, self._ids = page, address, database, people, ids
        self._seen: dict[Visit, Seen] = {}
        self._now = Seen()
        page.on("request", lambda request: self._asked(request.url))
        page.on("console", self._said)
        page.on("pageerror", lambda error: self._now.complaints.append(str(error)))

    def seen(self, visit: Visit) -> Seen:
        """What is to be seen there; looked at when first asked for."""
        if visit not in self._seen:
            self._seen[visit] = self._now = Seen()
            self._look(visit)
        return self._seen[visit]

    def breaks_enlarged(self, visit: Visit) -> dict[str, list[Violation]]:
        """The rules it breaks at 200 %, by the size that is left for it; opened anew at each, as a person would."""
        self._now, found = Seen(), {}
        for size, (width, height) in _SMALL.items():
            self._open(visit, width, height)
            found[size] = axe(self._page)
        return {size: broken for size, broken in found.items() if broken}

    def _open(self, visit: Visit, width: int, height: int) -> Response | None:
        self._page.set_viewport_size({"width": width, "height": height})
        sign_in(self._page.context, self._address, self._database, self._people[visit.person])
        return self._page.goto(self._address + visit.address.format(**self._ids))

    def _look(self, visit: Visit) -> None:
        page, now = self._page, self._now
        answer = self._open(visit, 1280, 800)
        now.status = answer.status if answer else 0
        now.breaks_lying = axe(page)
        page.keyboard.press("Tab")  # from now on the browser shows the focus, as it does for a keyboard
        now.unseen_focus = page.evaluate(_UNSEEN_FOCUS)
        page.set_viewport_size({"width": 800, "height": 1280})
        now.breaks_standing = axe(page)
        for size, (width, height) in _SMALL.items():
            page.set_viewport_size({"width": width, "height": height})
            if page.evaluate(_SIDEWAYS):
                now.sideways.append(size)

    def _asked(self, url: str) -> None:
        if not url.startswith((f"{self._address}/", "data:")):
            self._now.strangers.append(url)

    def _said(self, message: ConsoleMessage) -> None:
        self._now.complaints.append(f"{message.type}: {message.text} ({message.location['url']})")
