"""Who is there, as the browser says it."""

from playwright.sync_api import BrowserContext

from shedgrade.storage.database import Database
from shedgrade.web.whoami import COOKIE
from tests.support.visitor import signed_in


def sign_in(context: BrowserContext, address: str, database: Database, person_id: int) -> None:
    """Let the browser speak for this person."""
    context.add_cookies([{"name": COOKIE, "value": signed_in(database, person_id), "url": address}])
