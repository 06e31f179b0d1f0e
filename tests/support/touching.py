"""How large a shed tablet is in millimetres, and what a finger finds on its page.

A 10.1-inch tablet of 1280 by 800 px has 5.88 px a millimetre.
"""

from typing import NamedTuple

from playwright.sync_api import Locator, Page

MM = 1508 / 10.1 / 25.4  # the diagonal of 1280 by 800 is 1 509 px
KEY, APART, EDGE, OTHER = 20 * MM, 4 * MM, 8 * MM, 12 * MM
ROUNDING = 0.5

# What a finger touches: a label stands for the box inside it. What lies outside the screen for eyes is not touched.
_TOUCHED = """() => [...document.querySelectorAll('a[href], button, summary, select, label:has(input), .defect-key')]
  .filter((each, place, all) => all.indexOf(each) === place && !each.matches('.skip')
    && each.checkVisibility({ visibilityProperty: true }) && !(each.matches('label') && each.htmlFor))
  .map((each) => {
    const box = each.getBoundingClientRect();
    const name = each.innerText.trim() || each.getAttribute('aria-label') || each.name;
    const inPad = Boolean(each.closest('[role=group][aria-label="Number pad"]'));
    const isMark = Boolean(each.querySelector('input[name^="mark-"]'));
    const isStage = Boolean(each.querySelector('input[name=stage]'));
    const kind = inPad ? 'pad' : isMark ? 'defect' : isStage ? 'stage' : 'other';
    return [name, kind, box.left, box.top + scrollY, box.width, box.height];
  })"""

_TAKE_COUNT = """() => {
  const count = sessionStorage.getItem('taps') ?? 0;
  sessionStorage.removeItem('taps');
  return Number(count);
}"""
_COUNTS = """addEventListener('pointerdown', (event) => {
  sessionStorage.setItem('taps', Number(sessionStorage.getItem('taps')) + (event.isTrusted ? 1 : 0));
}, { capture: true });"""


class Touched(NamedTuple):
    """One thing that is tapped, in px from the top left of the page."""

    name: str
    kind: str
    left: float
    top: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """Its lower edge."""
        return self.top + self.height

    def gap(self, other: "Touched") -> float:
        """How far apart the two are, along the axis on which they are further apart."""
        across = max(self.left - other.right, other.left - self.right)
        down = max(self.top - other.bottom, other.top - self.bottom)
        return max(across, down)


def touched(page: Page) -> list[Touched]:
    """Everything on the page that can be tapped."""
    return [Touched(*each) for each in page.evaluate(_TOUCHED)]


def count_taps(page: Page) -> None:
    """From the next page on, count every real touch of the glass, wherever it falls."""
    page.add_init_script(_COUNTS)


def taps(page: Page) -> int:
    """The touches since this was asked last."""
    return int(page.evaluate(_TAKE_COUNT))


def tap(page: Page, key: Locator) -> None:
    """One touch on the upper half of what is seen there, by whatever lies on top; it must be in sight already."""
    box = key.bounding_box()
    assert box is not None
    page.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] * 0.3)
