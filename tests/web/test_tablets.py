"""Tablets of the shed: registered and ended by the shed manager."""

import pytest
from sqlmodel import select

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from shedgrade.storage.tables import Change, Tablet
from shedgrade.web.whoami import COOKIE, TABLET_COOKIE
from tests.support.signing import PASSWORD, PIN, somebody, tablet
from tests.support.visitor import Visitor, error_at, parsed, typed_in, visitor, words


@pytest.fixture
def maren(sqlite_database: Database) -> int:
    return somebody(sqlite_database, "Maren Holt", Role.MANAGER)


@pytest.fixture
def keeper(sqlite_database: Database, maren: int) -> Visitor:
    return Visitor(sqlite_database, maren)


def tablets(database: Database) -> list[tuple[str, bool]]:
    with database.reading() as session:
        return [(row.name, row.ended_at is None) for row in session.exec(select(Tablet))]


def test_makes_this_browser_a_tablet_and_signs_the_manager_out_of_it(
    keeper: Visitor, sqlite_database: Database
) -> None:
    ada = somebody(sqlite_database, "Ada Birch", pin=PIN)
    before = keeper.client.cookies[COOKIE]
    answer = keeper.post("/tablets", {"name": " Bench   1 "})
    assert (answer.status_code, answer.headers["location"]) == (303, "/sign-in")
    cookie = next(line.lower() for line in answer.headers.get_list("set-cookie") if line.startswith(TABLET_COOKIE))
    assert all(word in cookie for word in ("httponly", "samesite=lax", "path=/"))
    assert words(parsed(keeper.get("/sign-in")), ".kicker") == "Bench 1"
    thief = Visitor(sqlite_database, None)
    thief.client.cookies.set(COOKIE, before)
    assert thief.get("/devices").status_code == 303
    assert keeper.post("/sign-in/pin", {"person": ada, "pin": PIN}).status_code == 303


def test_it_stands_in_the_history_without_its_token(keeper: Visitor, sqlite_database: Database, maren: int) -> None:
    keeper.post("/tablets", {"name": "Bench 1"})
    with sqlite_database.reading() as session:
        (change,) = session.exec(select(Change).where(Change.noun == "tablet")).all()
        assert (change.person_id, change.deed) == (maren, "added")
        assert session.get_one(Tablet, change.row_id).token_sha256 not in change.after


@pytest.mark.parametrize(
    ("name", "sentence"),
    [("  ", "Fill this in."), ("x" * 41, "at most 40 fit"), ("bench 1", "There is a tablet called bench 1 already.")],
)
def test_refuses_a_name(keeper: Visitor, sqlite_database: Database, maren: int, name: str, sentence: str) -> None:
    tablet(sqlite_database, maren)
    answer = keeper.post("/tablets", {"name": name})
    page = parsed(answer)
    assert answer.status_code == 422
    assert sentence in error_at(page, "name")
    assert typed_in(page, "name") == name
    assert tablets(sqlite_database) == [("Bench 1", True)]
    assert keeper.get("/devices").status_code == 200


def test_a_tablet_is_not_made_another(sqlite_database: Database, maren: int) -> None:
    keeper = Visitor(sqlite_database, maren)
    held = tablet(sqlite_database, maren).client.cookies[TABLET_COOKIE]
    keeper.client.cookies.set(TABLET_COOKIE, held)
    assert "You are on Bench 1 now." in words(parsed(keeper.get("/devices")))
    answer = keeper.post("/tablets", {"name": "Bench 2"})
    assert answer.status_code == 422
    assert "This is the tablet Bench 1 already." in words(parsed(answer))
    assert tablets(sqlite_database) == [("Bench 1", True)]


def test_ending_a_tablet_ends_every_sign_in_on_it_at_once(
    keeper: Visitor, sqlite_database: Database, maren: int
) -> None:
    ada, bo = somebody(sqlite_database, "Ada", pin=PIN), somebody(sqlite_database, "Bo", pin=PIN)
    bench, other = tablet(sqlite_database, maren), tablet(sqlite_database, maren, "Bench 2")
    for each, person in ((bench, bo), (bench, ada), (other, bo)):
        each.post("/sign-in/pin", {"person": person, "pin": PIN})
    page = parsed(keeper.get("/devices"))
    ending = page.select('form[action^="/tablets/"]')[0]["action"]
    assert keeper.post(str(ending)).headers["location"] == "/devices?done=tablet-ended"
    assert bench.get("/specs").headers["location"].startswith("/sign-in")
    assert bench.post("/sign-in/tapped", {"person": bo}).status_code == 404
    assert bench.post("/sign-in/pin", {"person": bo, "pin": PIN}).status_code == 404
    door = parsed(bench.get("/sign-in?why=locked"))
    assert door.select('[name="password"]')
    assert "This is no longer a tablet of the shed" in words(door)
    assert "Locked" not in words(door)
    assert other.get("/specs").status_code == 200
    assert tablets(sqlite_database) == [("Bench 1", False), ("Bench 2", True)]


def test_who_signs_in_on_one_that_was_ended_has_a_browser_like_any(
    keeper: Visitor, sqlite_database: Database, maren: int
) -> None:
    somebody(sqlite_database, "Cass Rowe", password=PASSWORD)
    was = tablet(sqlite_database, maren)
    keeper.post("/tablets/1/ending")
    came = was.post("/sign-in", {"name": "Cass Rowe", "password": PASSWORD})
    given = next(line.lower() for line in came.headers.get_list("set-cookie") if line.startswith(TABLET_COOKIE))
    assert "max-age=0" in given


@pytest.mark.parametrize("tablet_id", ["0", "77", "none", "9" * 25])
def test_an_unknown_tablet_is_not_here(keeper: Visitor, tablet_id: str) -> None:
    assert keeper.post(f"/tablets/{tablet_id}/ending").status_code == 404


def test_one_that_is_ended_is_not_here_any_more(keeper: Visitor, sqlite_database: Database, maren: int) -> None:
    tablet(sqlite_database, maren)
    assert [keeper.post("/tablets/1/ending").status_code for _ in range(2)] == [303, 404]


@pytest.mark.parametrize("role", [Role.SUPERVISOR, Role.GRADER, Role.MARKETER, Role.GROWER])
def test_only_who_keeps_people_keeps_tablets(sqlite_database: Database, maren: int, role: Role) -> None:
    tablet(sqlite_database, maren)
    someone = visitor(sqlite_database, role)
    assert someone.post("/tablets", {"name": "Mine"}).status_code == 403
    assert someone.post("/tablets/1/ending").status_code == 403
    assert tablets(sqlite_database) == [("Bench 1", True)]


def test_another_sites_form_registers_nothing(keeper: Visitor, sqlite_database: Database) -> None:
    answer = keeper.post("/tablets", {"name": "Mine"}, headers={"origin": "http://elsewhere.example"})
    assert answer.status_code == 403
    assert tablets(sqlite_database) == []


def test_the_same_form_twice_registers_once(keeper: Visitor, sqlite_database: Database) -> None:
    for _ in range(2):
        keeper.post("/tablets", {"name": "Bench 1", "form_key": "one sheet"})
    assert tablets(sqlite_database) == [("Bench 1", True)]
