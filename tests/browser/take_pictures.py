"""Takes the README's pictures from the demo season: ``python tests/browser/take_pictures.py``.

Each is one screen of the shed's tablet. Where ImageMagick is installed they are brought down to few colours, so that
the README stays light.
"""

import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

sys.path.insert(0, str(Path(__file__).parents[2]))

from playwright.sync_api import Page, expect, sync_playwright
from rich.progress import Progress

from shedgrade import paths
from shedgrade.demo.load import load
from shedgrade.demo.start import demo_settings
from shedgrade.storage.database import Database
from shedgrade.storage.migrate import upgrade
from shedgrade.web.app import create_app
from tests.support.bench_page import measure
from tests.support.browsing import sign_in
from tests.support.chromium import ARGUMENTS, NONE_FOUND, find_chromium
from tests.support.every_page import person_ids, season_ids
from tests.support.serving import serve

PICTURES = paths.STATIC / "pictures"
_STAGE = "more yellow than green"


class Visitor:
    """A tablet going round the demo shed; ``ids`` are those of the season's newest load of Ridge 3."""

    def __init__(self, page: Page, address: str, database: Database) -> None:
        """Look up who and what there is."""
        self.page, self._address, self._database = page, address, database
        self._people, self.ids = person_ids(database), season_ids(database)

    def open(self, name: str, path: str) -> None:
        """Open an address as somebody."""
        sign_in(self.page.context, self._address, self._database, self._people[name])
        self.page.goto(self._address + path.format(**self.ids))

    def take(self, name: str) -> None:
        """Take a picture of the screen as it is."""
        file = PICTURES / f"{name}.png"
        self.page.screenshot(path=file, animations="disabled")
        if convert := shutil.which("convert"):
            subprocess.run([convert, file, "-strip", "-dither", "None", "-colors", "32", f"PNG8:{file}"], check=True)


def bench(visitor: Visitor) -> None:
    """A fruit just judged, with what kept it out of Class I."""
    visitor.open("Line supervisor", "/samples/{sample_id}")
    measure(visitor.page, 109, "438", _STAGE, sap_stain="2.2", sunburn="2.4")
    visitor.take("bench")


def packout(visitor: Visitor) -> None:
    """The newest load of Ridge 3."""
    visitor.open("Marketer", "/consignments/{consignment_id}/packout")
    visitor.take("packout")


def block(visitor: Visitor) -> None:
    """Ridge 3 through the season, as its grower sees it."""
    visitor.open("Grower of Quillock Rise", "/blocks/{block_id}")
    visitor.take("block")


def quote(visitor: Visitor) -> None:
    """What the newest load can give, down to the total, before it is saved."""
    visitor.open("Marketer", "/quotes/new?market={market_id}&consignment={consignment_id}")
    visitor.page.get_by_role("heading", level=1).evaluate("heading => heading.scrollIntoView()")
    expect(visitor.page.get_by_role("row", name="Offered")).to_be_in_viewport(ratio=1)
    visitor.take("quote")


def spec(visitor: Visitor) -> None:
    """A draft of the shed's own spec, from its size bands on."""
    visitor.open("Shed manager", "/drafts/{draft_id}")
    visitor.page.get_by_role("heading", name="Sizes", exact=True).evaluate("heading => heading.scrollIntoView()")
    visitor.take("spec")


def moves(visitor: Visitor) -> None:
    """What that draft would make of the newest load's sample."""
    visitor.open("Shed manager", "/drafts/{draft_id}/trial/samples/{sample_id}")
    visitor.take("moves")


def line(visitor: Visitor) -> None:
    """The tally of the run that is on the line."""
    visitor.open("Line supervisor", "/runs/{run_id}")
    visitor.take("line")


def board(visitor: Visitor) -> None:
    """The same run from three metres."""
    visitor.open("Line supervisor", "/runs/{run_id}/board")
    visitor.take("board")


@contextmanager
def shed() -> Iterator[Visitor]:
    """A tablet in the demo shed."""
    chromium = find_chromium()
    if chromium is None:
        sys.exit(NONE_FOUND)
    with TemporaryDirectory() as folder, sync_playwright() as playwright:
        database = Database(str(Path(folder) / "demo.db"))
        upgrade(database)
        load(database, Progress(disable=True), datetime.now(UTC) + demo_settings(database.url).clock_shift)
        browser = playwright.chromium.launch(executable_path=str(chromium), args=ARGUMENTS)
        with serve(create_app(demo_settings(database.url), database)) as address:
            page = browser.new_page(viewport={"width": 1280, "height": 800})
            yield Visitor(page, address, database)
        browser.close()


def main() -> None:
    """Take all of them; the bench last, since its fruit would change what the others say."""
    PICTURES.mkdir(exist_ok=True)
    with shed() as visitor:
        for take in (packout, block, quote, spec, moves, line, board, bench):
            take(visitor)


if __name__ == "__main__":
    main()
