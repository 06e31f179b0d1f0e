"""No other site's page can change anything: every route that is no GET refuses what comes from elsewhere."""

from collections.abc import Iterable, Iterator, Mapping
from hashlib import sha256

import pytest
from httpx2 import Response
from sqlmodel import SQLModel

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from tests.support.visitor import ORIGIN
from tests.walk.records import Ids, records
from tests.walk.routes import Route, every_route, filled
from tests.walk.walker import Walker, walker

CHANGES = [route for route in every_route() if route.method not in {"GET", "HEAD", "OPTIONS"}]

FOREIGN: Mapping[str, Mapping[str, str]] = {
    "another site": {"origin": "https://elsewhere.example"},
    "a host that begins like ours": {"origin": f"{ORIGIN}.elsewhere.example"},
    "the same host on another port": {"origin": f"{ORIGIN}:8443"},
    "https where we are http": {"origin": ORIGIN.replace("http:", "https:")},
    "a page without an origin": {"origin": "null"},
    "a browser that says cross-site": {"sec-fetch-site": "cross-site"},
    "a browser that says same-site": {"sec-fetch-site": "same-site"},
    "a browser that says none": {"sec-fetch-site": "none"},
    "our origin, and cross-site": {"origin": ORIGIN, "sec-fetch-site": "cross-site"},
    "a cookie and no origin": {},
}
OURS: Mapping[str, Mapping[str, str]] = {
    "our origin": {"origin": ORIGIN},
    "our origin, and same-origin": {"origin": ORIGIN, "sec-fetch-site": "same-origin"},
    "same-origin": {"sec-fetch-site": "same-origin"},
}


# The last two are asked by the machine at a scale, which is nobody: a code or its own token opens them.
PUBLIC = {
    "/sign-in",
    "/sign-in/pin",
    "/sign-in/tapped",
    "/sign-in/picked",
    "/sign-out",
    "/set-up",
    "/scales/pairings",
    "/scales/readings",
}


def sent(
    walks: Walker, ids: Ids, headers: Mapping[str, str], routes: Iterable[Route] = CHANGES
) -> Iterator[tuple[str, Response]]:
    """An empty form to every route, and its answer."""
    for route in routes:
        walks.sign_in(anew=True)
        address = filled(route.path, ids)
        yield str(route), walks.visitor.client.request(route.method, address, data={}, headers=dict(headers))


def everything(database: Database) -> dict[str, str]:
    """What stands in every table; but for the sign-ins, of which the walk opens one at every door."""
    tables = SQLModel.metadata.sorted_tables
    with database.reading() as session:
        rows = {table.name: session.execute(table.select()).all() for table in tables if table.name != "sign_in"}
    return {name: sha256(repr(found).encode()).hexdigest() for name, found in rows.items()}


@pytest.fixture
def manager(demo_database: Database) -> Walker:
    return walker(demo_database, Role.MANAGER)


@pytest.mark.parametrize("sender", FOREIGN)
def test_every_change_asked_for_from_elsewhere_is_refused(manager: Walker, sender: str) -> None:
    ids = records(manager.database, manager.person_id or 0).own
    before = everything(manager.database)
    answers = dict(sent(manager, ids, FOREIGN[sender]))
    assert len(answers) > 20
    assert {where: answer.status_code for where, answer in answers.items() if answer.status_code != 403} == {}
    assert everything(manager.database) == before


@pytest.mark.parametrize("sender", OURS)
def test_our_own_pages_are_let_through(manager: Walker, sender: str) -> None:
    ids = records(manager.database, manager.person_id or 0).own
    answers = dict(sent(manager, ids, OURS[sender]))
    refused = [where for where, answer in answers.items() if "came from another site" in answer.text]
    assert refused == []


def test_a_sender_that_is_no_browser_brings_nobody_s_rights(demo_database: Database) -> None:
    """Without cookie and origin a request is let through to the handler, and there it is nobody's."""
    stranger = walker(demo_database)
    ids = records(demo_database, 1).own
    before = everything(demo_database)
    answers = dict(sent(stranger, ids, {}, [route for route in CHANGES if route.path not in PUBLIC]))
    let_in = {
        where for where, answer in answers.items() if not answer.headers.get("location", "").startswith("/sign-in")
    }
    assert let_in == set()
    assert everything(demo_database) == before
