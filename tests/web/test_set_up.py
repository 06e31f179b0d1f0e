"""The first start: who may take themselves in as the first shed manager."""

from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from httpx2 import Response
from sqlmodel import select
from starlette.testclient import TestClient

from shedgrade.domain.people import Role
from shedgrade.domain.sign_in import PASSWORD_RULE
from shedgrade.settings import Settings
from shedgrade.storage.database import Database
from shedgrade.storage.people import everyone_whole
from shedgrade.storage.tables import Change
from shedgrade.web.addresses import where
from shedgrade.web.app import create_app
from shedgrade.web.serving import greeting, make_ready
from shedgrade.web.whoami import COOKIE
from tests.support.signing import PASSWORD, somebody
from tests.support.visitor import Visitor, error_at, one, parsed, typed_in, words

FORM = {"name": "Maren Holt", "new_password": PASSWORD, "again": PASSWORD}
TOKEN = "printed-at-start"  # noqa: S105 - it opens nothing outside this test


class Starter(Visitor):
    """Somebody at the machine itself, or elsewhere, before anybody is in the books."""

    def __init__(self, database: Database, client: str = "127.0.0.1", host: str = "127.0.0.1:8000") -> None:
        self.origin = f"http://{host}"
        self.client = TestClient(
            create_app(Settings(database=database.url), database, TOKEN),
            base_url=self.origin,
            client=(client, 50_000),
            follow_redirects=False,
        )

    def post(self, address: str, typed: Any = None, **options: Any) -> Response:
        return super().post(
            address, typed, **{**options, "headers": {"origin": self.origin, **options.get("headers", {})}}
        )


@pytest.fixture
def here(sqlite_database: Database) -> Starter:
    return Starter(sqlite_database)


@pytest.fixture
def elsewhere(sqlite_database: Database) -> Starter:
    return Starter(sqlite_database, "10.0.0.7", "shed.lan:8000")


def names(database: Database) -> list[str]:
    with database.reading() as session:
        return [whole.row.name for whole in everyone_whole(session)]


def test_at_the_machine_the_first_page_leads_there(here: Starter) -> None:
    assert here.get("/").headers["location"] == "/sign-in"
    assert words(parsed(here.get("/set-up")), "#f-new_password-hint") == PASSWORD_RULE
    assert here.get("/sign-in").headers["location"] == "/set-up"
    assert words(parsed(here.get("/set-up")), "h1") == "Who runs the shed?"


def test_takes_the_first_manager_in_and_signs_them_in(here: Starter, sqlite_database: Database) -> None:
    answer = here.post("/set-up", FORM)
    assert (answer.status_code, answer.headers["location"]) == (303, "/")
    with sqlite_database.reading() as session:
        (whole,) = everyone_whole(session)
        assert (whole.row.name, whole.person.roles) == ("Maren Holt", frozenset({Role.MANAGER}))
        assert {change.person_id for change in session.exec(select(Change))} == {None}
    assert words(parsed(here.get("/growers")), ".person strong") == "Maren Holt"
    here.post("/sign-out")
    assert here.post("/sign-in", {"name": "maren holt", "password": PASSWORD}).status_code == 303


def test_only_once(here: Starter, sqlite_database: Database) -> None:
    here.post("/set-up", FORM)
    for browser in (here, Starter(sqlite_database)):
        assert browser.get("/set-up").status_code == 404
        assert browser.get(f"/set-up?token={TOKEN}").status_code == 404
        assert browser.post("/set-up", {**FORM, "name": "Second", "token": TOKEN}).status_code == 404
    assert names(sqlite_database) == ["Maren Holt"]


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"name": " "}, "name", "Fill this in."),
        ({"name": "x" * 81}, "name", "at most 80 fit"),
        ({"new_password": ""}, "new_password", "Fill this in."),
        ({"new_password": "short"}, "new_password", "Use 10 to 200"),
        ({"again": "three wet mangos"}, "again", "That is not the same password."),
    ],
)
def test_refuses_by_the_field(
    here: Starter, sqlite_database: Database, typed: dict[str, str], field: str, sentence: str
) -> None:
    answer = here.post("/set-up", {**FORM, **typed})
    page = parsed(answer)
    assert answer.status_code == 422
    assert sentence in error_at(page, field)
    assert one(page, ".errors a")["href"] == f"#f-{field}"
    assert typed_in(page, "name") == typed.get("name", FORM["name"])
    assert PASSWORD not in answer.text
    assert names(sqlite_database) == []


def test_from_elsewhere_it_is_not_there(elsewhere: Starter, sqlite_database: Database) -> None:
    assert elsewhere.get("/set-up").status_code == 404
    assert elsewhere.post("/set-up", FORM).status_code == 404
    assert names(sqlite_database) == []
    page = words(parsed(elsewhere.get("/sign-in")))
    assert "Nobody is in the books yet" in page
    assert "open this page there" in page


def test_from_elsewhere_the_token_printed_at_start_opens_it(elsewhere: Starter, sqlite_database: Database) -> None:
    form = parsed(elsewhere.get(f"/set-up?token={TOKEN}"))
    assert elsewhere.post("/set-up", {**FORM, "token": typed_in(form, "token")}).status_code == 303
    assert names(sqlite_database) == ["Maren Holt"]


@pytest.mark.parametrize("token", ["", "printed-at-star", "printed-at-start ", "é", "x" * 5000])
def test_another_token_opens_nothing(elsewhere: Starter, token: str) -> None:
    assert elsewhere.get("/set-up", params={"token": token}).status_code == 404
    assert elsewhere.post("/set-up", {**FORM, "token": token}).status_code == 404


def test_without_a_token_at_start_the_empty_one_opens_nothing(sqlite_database: Database) -> None:
    stranger = Visitor(sqlite_database, None)
    assert stranger.get("/set-up?token=").status_code == 404
    assert stranger.post("/set-up", {**FORM, "token": ""}).status_code == 404


@pytest.mark.parametrize(
    "header", ["X-Forwarded-For", "Forwarded", "X-Real-IP", "X-Forwarded-Host", "X-Forwarded-Proto", "Via"]
)
@pytest.mark.parametrize("value", ["127.0.0.1", ""])
def test_what_a_proxy_passes_on_is_from_elsewhere(here: Starter, header: str, value: str) -> None:
    assert here.get("/set-up", headers={header: value}).status_code == 404
    assert here.post("/set-up", FORM, headers={header: value}).status_code == 404
    assert here.get("/set-up").status_code == 200


def test_a_page_that_points_its_own_name_at_the_machine_is_from_elsewhere(sqlite_database: Database) -> None:
    rebound = Starter(sqlite_database, "127.0.0.1", "elsewhere.example:8000")
    assert rebound.get("/set-up").status_code == 404
    assert rebound.post("/set-up", FORM).status_code == 404


@pytest.mark.parametrize(
    ("client", "host"), [("::1", "[::1]:8000"), ("127.0.0.1", "localhost:8000"), ("127.8.8.8", "localhost:8000")]
)
def test_the_machine_has_several_names(sqlite_database: Database, client: str, host: str) -> None:
    assert Starter(sqlite_database, client, host).get("/set-up").status_code == 200


@pytest.mark.parametrize("client", ["testclient", "", "10.0.0.7", "::ffff:10.0.0.7"])
def test_a_sender_that_is_not_the_machine_is_from_elsewhere(sqlite_database: Database, client: str) -> None:
    assert Starter(sqlite_database, client).get("/set-up").status_code == 404


def test_of_two_set_ups_at_once_one_wins(sqlite_database: Database) -> None:
    both = [Starter(sqlite_database), Starter(sqlite_database)]
    with ThreadPoolExecutor(2) as pool:
        sent = [pool.submit(each.post, "/set-up", {**FORM, "name": f"Manager {n}"}) for n, each in enumerate(both)]
        statuses = [each.result().status_code for each in sent]
    assert sorted(statuses) == [303, 404]
    assert len(names(sqlite_database)) == 1
    assert sum(COOKIE in each.client.cookies for each in both) == 1


def test_the_start_prints_a_token_only_while_nobody_is_in_the_books(sqlite_database: Database) -> None:
    token = make_ready(sqlite_database)
    assert len(token) >= 43
    assert make_ready(sqlite_database) != token
    assert f"http://127.0.0.1:8000/set-up?token={token}" in greeting(where("127.0.0.1", 8000), token)
    somebody(sqlite_database, "Maren Holt", Role.MANAGER)
    assert make_ready(sqlite_database) == ""
    assert greeting(where("127.0.0.1", 8000), "") == where("127.0.0.1", 8000).say("shedgrade")
