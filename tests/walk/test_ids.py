"""Ids that no record can have, and queries that nobody would type: not found, never a breakage."""

from collections.abc import Iterator
from urllib.parse import quote, urlencode

import pytest
from fastapi.routing import APIRoute

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from tests.walk.records import Ids, records
from tests.walk.routes import api_routes, filled
from tests.walk.walker import Walker, walker

ABSURD_IDS = [
    "0",
    "-1",
    "+1",
    "1.0",
    "1e3",
    "0x1",
    "1_0",
    " 1",
    "x",
    "٣",
    "99999999999999999999",
    "2147483648",
    "\x00",
    "'",
]
ABSURD_WORDS = [
    "",
    "-1",
    "99999999999999999999",
    "x" * 5_000,
    "٣",
    "\x00",
    "%",
    "2026-02-30",
    "9999-12-31",
    "//x",
    "'\"<>",
]
# What a handler reads of the address beside what FastAPI knows of: the form as typed so far.
ALSO_ASKED = {"/quotes/new": ("trays-I-16", "price-I-16", "valid_until", "consignment")}


def with_ids() -> list[APIRoute]:
    """The routes with an id in their address."""
    return [route for route in api_routes() if route.dependant.path_params]


def absurd(route: APIRoute, ids: Ids) -> Iterator[tuple[str, str]]:
    """Each id in its address made absurd, one at a time: method and address."""
    for param in route.dependant.path_params:
        for each in ABSURD_IDS:
            for method in sorted(route.methods or ()):
                yield method, filled(route.path, {**ids, param.name: quote(each, safe="")})


def queries(walks: Walker) -> dict[str, tuple[str, ...]]:
    """What each page asks its address for beside ids, by the page's path."""
    pages = {
        path: each["get"].get("parameters", ()) for path, each in walks.app.openapi()["paths"].items() if "get" in each
    }
    asked = {path: tuple(one["name"] for one in found if one["in"] == "query") for path, found in pages.items()}
    return {path: (*names, *ALSO_ASKED.get(path, ())) for path, names in asked.items() if names}


def absurdly_asked(path: str, names: tuple[str, ...], ids: Ids) -> Iterator[str]:
    """Each name in the query made absurd, beside good ids under the other names."""
    good = {name: ids[name] for name in names if name in ids}
    for name in names:
        for each in ABSURD_WORDS:
            yield f"{filled(path, ids)}?{urlencode(good | {name: each})}"


@pytest.fixture
def manager(demo_database: Database) -> Walker:
    return walker(demo_database, Role.MANAGER)


def test_an_absurd_id_names_nothing(manager: Walker) -> None:
    ids = records(manager.database, manager.person_id or 0).own
    asked = [each for route in with_ids() for each in absurd(route, ids)]
    answers = {
        f"{method} {address}": (manager.opens(address) if method == "GET" else manager.posts(address, {})).status_code
        for method, address in asked
    }
    assert len(answers) > 300
    assert {asked: status for asked, status in answers.items() if status != 404} == {}


def test_an_absurd_query_breaks_nothing(manager: Walker) -> None:
    ids = records(manager.database, manager.person_id or 0).own
    asked = [each for path, names in queries(manager).items() for each in absurdly_asked(path, names, ids)]
    answers = {address: manager.opens(address).status_code for address in asked}
    assert len(answers) > 100
    assert {address: status for address, status in answers.items() if status not in {200, 204, 303, 404}} == {}
