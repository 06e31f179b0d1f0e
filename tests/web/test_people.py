"""Saying who you are, and how the first page sends each person on their way."""

import pytest

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from tests.support.visitor import Visitor, parsed, visitor, words


def test_nobody_is_sent_to_say_who_they_are_and_on_to_where_they_wanted(sqlite_database: Database) -> None:
    stranger = Visitor(sqlite_database, None)
    assert stranger.get("/growers").headers["location"] == "/people?next=/growers"


@pytest.mark.parametrize("cookie", ["", "0", "99", "x", "9" * 40, "-1"])
def test_a_cookie_that_names_nobody_is_nobody(sqlite_database: Database, cookie: str) -> None:
    stranger = Visitor(sqlite_database, None)
    stranger.client.cookies.set("person", cookie)
    assert stranger.get("/growers").headers["location"] == "/people?next=/growers"


def test_choosing_a_person_remembers_them(sqlite_database: Database) -> None:
    visitor(sqlite_database, Role.MANAGER)
    browser = Visitor(sqlite_database, None)
    answer = browser.post("/people/chosen", {"person": "1", "next": "/growers"})
    assert answer.headers["location"] == "/growers"
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=lax" in cookie
    assert browser.get("/growers").status_code == 200


@pytest.mark.parametrize("after", ["https://elsewhere.example", "//elsewhere.example", "/\\elsewhere.example", "x"])
def test_going_on_never_leaves_this_site(sqlite_database: Database, after: str) -> None:
    visitor(sqlite_database, Role.MANAGER)
    answer = Visitor(sqlite_database, None).post("/people/chosen", {"person": "1", "next": after})
    assert answer.headers["location"] == "/"


def test_an_unknown_person_is_not_remembered(sqlite_database: Database) -> None:
    answer = Visitor(sqlite_database, None).post("/people/chosen", {"person": "12"})
    assert "set-cookie" not in answer.headers


def test_an_empty_book_says_how_to_begin(sqlite_database: Database) -> None:
    assert "--first-person" in words(parsed(Visitor(sqlite_database, None).get("/people")))


@pytest.mark.parametrize(
    ("role", "place"),
    [(Role.MANAGER, "/consignments"), (Role.GRADER, "/consignments"), (Role.GROWER, "/blocks")],
)
def test_the_day_begins_where_the_role_works(sqlite_database: Database, role: Role, place: str) -> None:
    assert visitor(sqlite_database, role).get("/").headers["location"] == place
