"""What axe-core finds wrong with a page for people who see, hear or move differently."""

from pathlib import Path
from typing import Any, NamedTuple

from playwright.sync_api import Page

_AXE = Path(__file__).parents[1] / "browser" / "vendor" / "axe.min.js"

# WCAG 2.0, 2.1 and 2.2 at levels A and AA, and what axe-core holds to be good practice.
_RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]

# No preload: it reads imported style sheets into inline ones, which the app's content policy blocks aloud. Only a rule
# on turning the screen would look at them, and it is not among ours.
_RUN = (
    "rules => axe.run(document, {runOnly: {type: 'tag', values: rules}, resultTypes: ['violations'], preload: false})"
)


class Violation(NamedTuple):
    """A rule that a page breaks, and where."""

    rule: str
    says: str
    places: list[str]


def axe(page: Page) -> list[Violation]:
    """Every rule the page breaks as it stands once its styles are there; empty when there is none."""
    page.wait_for_load_state("load")
    if not page.evaluate("() => 'axe' in window"):
        page.evaluate(_AXE.read_text())
    found: dict[str, Any] = page.evaluate(_RUN, _RULES)
    return [
        Violation(each["id"], each["help"], [node["html"] for node in each["nodes"]]) for each in found["violations"]
    ]
