"""Whatever is sent to any part of the interface breaks nothing: schemathesis makes it up from the app's description."""

from typing import Any, NamedTuple
from urllib.parse import urlsplit

import pytest
import requests
import schemathesis
from httpx2 import Response
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from schemathesis import Case
from schemathesis.schemas import BaseSchema

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from tests.support.templates import SqliteTemplate
from tests.support.visitor import ORIGIN
from tests.walk.published import drawn_values, filled_in, interface
from tests.walk.records import records
from tests.walk.roles_table import rows
from tests.walk.routes import Route, every_route
from tests.walk.walker import Walker, walker

AnyCase = Case[Any]
FEW, MANY = 6, 200
SPOILT = [
    "",
    " ",
    "-1",
    "0",
    "1e400",
    "nan",
    "٣",
    "1/0",
    "9" * 40,
    "x" * 5_000,
    "\x00",
    "2026-02-30",
    "0001-01-01",
    "9999-12-31T23:59",
    "<b>",
    "../..",
    "=1+1",
    "\r\nSet-Cookie: a=b",
    "//elsewhere.example",
]
# Where a grower is let in at all; elsewhere the roles table has said already that nothing is read of what they send.
OPEN_TO_GROWERS = list(dict.fromkeys(row.route for row in rows() if set(row.answers["grower"].values()) != {"403"}))


class Interface(NamedTuple):
    """The whole interface: as it is published, and with its forms filled as a person would."""

    published: BaseSchema
    filled: BaseSchema

    def requests_to(self, route: Route) -> st.SearchStrategy[AnyCase]:
        """Requests to one route: made up, as a person would send them, or these with one field spoilt."""
        made_up, typed = (each[route.path][route.method].as_strategy() for each in self)
        return st.one_of(made_up, typed, st.builds(spoilt, typed, st.integers(0, 40), st.sampled_from(SPOILT)))


def spoilt(case: AnyCase, place: int, word: str) -> AnyCase:
    """The request with something else in one field of its form."""
    if isinstance(case.body, dict) and case.body:
        name = sorted(case.body)[place % len(case.body)]
        case.body[name] = [word, word] if isinstance(case.body[name], list) else word
    return case


@pytest.fixture(scope="module")
def whole(demo_template: SqliteTemplate, tmp_path_factory: pytest.TempPathFactory) -> Interface:
    """The interface of the demo season; the ids are the same in every copy of it."""
    with demo_template.copy(tmp_path_factory.mktemp("interface")) as database:
        walks = walker(database, Role.MANAGER)
        ids = records(database, walks.person_id or 0)
        published = interface(walks.app, ids)
        filled = filled_in(published, drawn_values(walks, ids))
    return Interface(schemathesis.openapi.from_dict(published), schemathesis.openapi.from_dict(filled))


def send_all_sorts(whole: Interface, walks: Walker, route: Route, examples: int, *, anew: bool = False) -> None:
    """Send so many requests to one route, the same ones each time or others; what breaks there is raised here with its
    traceback."""

    @settings(
        max_examples=examples,
        derandomize=not anew,
        database=None,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(whole.requests_to(route))
    def holds(case: AnyCase) -> None:
        answer = send(walks, case)
        assert answer.status_code < 500
        assert keeps_to_us(answer.headers.get("location", "/"))

    records(walks.database, walks.person_id or 0)
    walks.sign_in(anew=True)
    with walks.visitor.client:
        holds()


def send(walks: Walker, case: AnyCase) -> Response:
    """Send one made-up request as our own page would."""
    made = requests.Request(**case.as_transport_kwargs(base_url=ORIGIN)).prepare()
    headers = {name: str(value) for name, value in made.headers.items()} | {"origin": ORIGIN}
    body = made.body if isinstance(made.body, bytes) else str(made.body or "").encode()
    return walks.visitor.client.request(case.method, str(made.url), content=body, headers=headers)


def keeps_to_us(location: str) -> bool:
    """Whether an address leads to a page of this app."""
    return location.startswith("/") and not urlsplit(location).netloc


@pytest.mark.parametrize("route", every_route(), ids=str)
def test_nothing_a_manager_sends_breaks_anything(whole: Interface, demo_database: Database, route: Route) -> None:
    send_all_sorts(whole, walker(demo_database, Role.MANAGER), route, FEW)


@pytest.mark.parametrize("route", OPEN_TO_GROWERS, ids=str)
def test_nothing_a_grower_sends_breaks_anything(whole: Interface, demo_database: Database, route: Route) -> None:
    send_all_sorts(whole, walker(demo_database, Role.GROWER), route, FEW)


@pytest.mark.long
@pytest.mark.parametrize("route", every_route(), ids=str)
def test_nothing_made_up_anew_breaks_anything(whole: Interface, demo_database: Database, route: Route) -> None:
    send_all_sorts(whole, walker(demo_database, Role.MANAGER), route, MANY, anew=True)
