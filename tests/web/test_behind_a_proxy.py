"""Behind a reverse proxy on the same machine: what it says of the browser's line is believed, from nobody else."""

from collections.abc import Iterator

import httpx
import pytest

from shedgrade.actions.people import add_person
from shedgrade.domain.people import Role
from shedgrade.settings import Settings
from shedgrade.storage import hashing
from shedgrade.storage.database import Database
from shedgrade.storage.tables import PersonRow
from shedgrade.web.app import create_app
from tests.support.serving import serve

TYPED = {"name": "Ada Thorne", "password": "three or four words", "next": "/"}
FORWARDED = {"x-forwarded-proto": "https", "x-forwarded-for": "10.0.0.7", "host": "shed.example"}


@pytest.fixture
def address(sqlite_database: Database) -> Iterator[str]:
    with sqlite_database.writing() as session:
        person_id = add_person(session, TYPED["name"], frozenset({Role.GRADER}))
        person = session.get(PersonRow, person_id)
        assert person is not None
        person.password_hash = hashing.hash_of(TYPED["password"])
        session.add(person)
        session.commit()
    settings = Settings(database=sqlite_database.url, hosts=("shed.example",))
    with serve(create_app(settings, sqlite_database)) as served:
        yield served


def signs_in(address: str, **headers: str) -> httpx.Response:
    return httpx.post(f"{address}/sign-in", data=TYPED, headers={**FORWARDED, **headers})


def test_a_form_sent_by_https_to_the_proxy_is_our_own(address: str) -> None:
    answer = signs_in(address, origin="https://shed.example")
    assert answer.status_code == 303
    assert "Secure" in answer.headers["set-cookie"]
    assert "strict-transport-security" not in answer.headers


@pytest.mark.parametrize("origin", ["http://shed.example", "https://elsewhere.example"])
def test_any_other_origin_is_refused(address: str, origin: str) -> None:
    assert signs_in(address, origin=origin).status_code == 403


def test_a_proxy_that_passes_no_host_on_is_noticed(address: str) -> None:
    """SHEDGRADE_HOSTS names the outer name alone."""
    assert signs_in(address, origin="https://shed.example", host="127.0.0.1:8000").status_code == 400


def test_guesses_count_for_the_browser_and_not_for_the_proxy(address: str) -> None:
    wrong = {**TYPED, "password": "another guess"}
    headers = {**FORWARDED, "origin": "https://shed.example"}
    for number in range(31):
        httpx.post(f"{address}/sign-in", data={**wrong, "name": f"Nobody {number}"}, headers=headers)
    slowed = httpx.post(f"{address}/sign-in", data={**wrong, "name": "One more"}, headers=headers)
    assert slowed.status_code == 429
    assert signs_in(address, origin="https://shed.example", **{"x-forwarded-for": "10.0.0.8"}).status_code == 303
