"""A person's browser, without a browser: their cookie, our own origin, and what came back as parsed HTML."""

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from bs4 import BeautifulSoup, Tag
from httpx2 import Response
from starlette.testclient import TestClient

from shedgrade.actions.people import add_person
from shedgrade.actions.sign_ins import sign_in
from shedgrade.domain.people import Role
from shedgrade.settings import Settings
from shedgrade.storage.database import Database
from shedgrade.web.app import create_app
from shedgrade.web.whoami import COOKIE

ORIGIN = "http://testserver"


class Visitor:
    """One person's visits to the app on a test's database."""

    def __init__(self, database: Database, person_id: int | None, **settings: Any) -> None:
        self.client = TestClient(
            create_app(Settings(database=database.url, **settings), database), follow_redirects=False
        )
        if person_id is not None:
            self.client.cookies.set(COOKIE, signed_in(database, person_id))

    def get(self, address: str, **options: Any) -> Response:
        return self.client.get(address, **options)

    def post(self, address: str, typed: Mapping[str, Any] | None = None, **options: Any) -> Response:
        """Send a form as this app's own page would."""
        headers = {"origin": ORIGIN, **options.pop("headers", {})}
        return self.client.post(address, data=dict(typed or {}), headers=headers, **options)


def signed_in(database: Database, person_id: int) -> str:
    """Sign a person in, as if by password, and give the token their browser holds."""
    with database.writing() as session:
        opened = sign_in(session, person_id, "a test's browser", datetime.now(UTC))
        session.commit()
    return opened.token


def visitor(database: Database, *roles: Role, grower_id: int | None = None, **settings: Any) -> Visitor:
    """A visitor who is a new person with these roles."""
    with database.writing() as session:
        name = f"{', '.join(role.words for role in roles)} {grower_id or ''}".strip()
        person_id = add_person(session, name, frozenset(roles), grower_id)
        session.commit()
    return Visitor(database, person_id, **settings)


def parsed(response: Response) -> BeautifulSoup:
    """The page as a tree."""
    return BeautifulSoup(response.text, "html.parser")


def one(tree: BeautifulSoup | Tag, selector: str) -> Tag:
    """The one element that fits; fails if there are none or several."""
    found = tree.select(selector)
    assert len(found) == 1, f"{len(found)} elements fit {selector}"
    return found[0]


def words(tree: BeautifulSoup | Tag, selector: str = "main") -> str:
    """What a person reads there, spaces made plain."""
    return " ".join(one(tree, selector).get_text(" ").split())


def typed_in(tree: BeautifulSoup, name: str) -> str:
    """What stands in a field."""
    is_choice = tree.select(f'[name="{name}"][type="radio"]')
    field = one(tree, f'[name="{name}"]{"[checked]" if is_choice else ""}')
    if field.name == "select":
        chosen = field.select("option[selected]")
        return str(chosen[0]["value"]) if chosen else ""
    return field.get_text() if field.name == "textarea" else str(field.get("value", ""))


def error_at(tree: BeautifulSoup, name: str) -> str:
    """The sentence beside a field."""
    return " ".join(one(tree, f"#f-{name}-error").get_text(" ").split())
