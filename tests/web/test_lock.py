"""A shed tablet that nobody touches locks, but never under a fruit that is on the scale."""

from datetime import date

import pytest
from httpx2 import Response
from sqlmodel import func, select

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from shedgrade.storage.tables import FruitRow, SettingRow, SignIn
from shedgrade.web.whoami import COOKIE
from tests.support.bench import Bench
from tests.support.signing import PASSWORD, PIN, Watch, somebody, tablet
from tests.support.visitor import Visitor, one, parsed, typed_in, words

FRUIT = {"weight": "412", "stage": "3"}


@pytest.fixture
def ada(sqlite_database: Database, made: Bench) -> int:
    return somebody(sqlite_database, "Ada Birch", Role.GRADER, password=PASSWORD, pin=PIN)


@pytest.fixture
def at_bench(sqlite_database: Database, ada: int, watch: Watch) -> Visitor:
    """Ada, at the bench, who has just given her PIN."""
    there = tablet(sqlite_database, ada)
    there.post("/sign-in/pin", {"person": ada, "pin": PIN})
    return there


def measure(there: Visitor, made: Bench, key: str, **headers: str) -> Response:
    return there.post(f"/samples/{made.sample}/fruit", {**FRUIT, "entry_key": key}, headers=headers)


def fruit(database: Database) -> int:
    with database.reading() as session:
        return session.exec(select(func.count()).select_from(FruitRow)).one()


def test_a_tablet_left_alone_locks_and_goes_on_where_it_was(
    at_bench: Visitor, made: Bench, ada: int, watch: Watch
) -> None:
    here = f"/samples/{made.sample}"
    watch.on(minutes=9)
    assert at_bench.get(here).status_code == 200
    watch.on(minutes=9)
    assert at_bench.get(here).status_code == 200
    watch.on(minutes=12)
    assert at_bench.get(here).headers["location"] == f"/sign-in?next={here}&why=locked"
    names = parsed(at_bench.get(f"/sign-in?next={here}&why=locked"))
    assert "Locked: nobody had touched this tablet for a while." in words(names)
    assert "Ada Birch" in words(names)
    assert at_bench.post("/sign-in/tapped", {"person": ada, "next": here}).headers["location"] == here
    assert at_bench.get(here).status_code == 200


def test_whoever_is_there_is_never_locked_out_early(sqlite_database: Database, at_bench: Visitor, watch: Watch) -> None:
    """Nor late by more than a few seconds, where the shed sets one minute."""
    with sqlite_database.writing() as session:
        row = SettingRow(
            key="idle-minutes", valid_from=date(2020, 1, 1), value="1", source="ours", set_at=watch.now, set_by_id=1
        )
        session.add(row)
        session.commit()
    for _ in range(6):
        watch.on(seconds=55)
        assert at_bench.get("/specs").status_code == 200
    watch.on(seconds=66)
    assert at_bench.get("/specs").status_code == 303


def test_a_page_that_asks_for_nothing_tells_that_it_is_touched(at_bench: Visitor, watch: Watch) -> None:
    for _ in range(3):
        watch.on(minutes=9)
        assert at_bench.post("/touched").status_code == 204
    assert at_bench.get("/specs").status_code == 200
    watch.on(minutes=11)
    assert at_bench.post("/touched").headers["location"].endswith("why=locked")
    assert at_bench.get("/specs").status_code == 303


def test_what_a_tablet_asks_and_sends_by_itself_keeps_nobody_signed_in(at_bench: Visitor, watch: Watch) -> None:
    for _ in range(2):
        watch.on(minutes=9)
        assert at_bench.get("/fruit-entries?keys=").status_code == 200
        assert at_bench.post("/fruit-entries", {"entries": "[]"}).status_code == 200
    assert at_bench.get("/specs").status_code == 303


def test_an_idle_tablet_is_told_what_is_here(at_bench: Visitor, watch: Watch) -> None:
    """It asks before it sends, and what was on the scale is taken."""
    watch.on(minutes=30)
    assert at_bench.get("/fruit-entries?keys=").json()["known"] == {}
    assert at_bench.get("/specs").status_code == 303


def test_a_browser_of_ones_own_does_not_lock(sqlite_database: Database, ada: int, watch: Watch) -> None:
    phone = Visitor(sqlite_database, None)
    phone.post("/sign-in", {"name": "Ada Birch", "password": PASSWORD})
    watch.on(hours=20)
    answer = phone.get("/specs")
    assert answer.status_code == 200
    assert "data-lock-after" not in one(parsed(answer), "body").attrs


def test_the_page_of_a_tablet_knows_when_to_lock(at_bench: Visitor) -> None:
    assert one(parsed(at_bench.get("/specs")), "body")["data-lock-after"] == "600"
    assert "data-lock-after" not in one(parsed(at_bench.get("/sign-in")), "body").attrs


@pytest.mark.parametrize("headers", [{}, {"hx-request": "true"}], ids=["plain", "htmx"])
def test_a_fruit_on_the_scale_is_stored_and_then_it_locks(
    at_bench: Visitor, made: Bench, ada: int, watch: Watch, sqlite_database: Database, headers: dict[str, str]
) -> None:
    watch.on(minutes=30)
    answer = measure(at_bench, made, "k1", **headers)
    assert answer.status_code == (200 if headers else 303)
    assert fruit(sqlite_database) == 1
    with sqlite_database.reading() as session:
        assert session.exec(select(FruitRow.measured_by_id)).all() == [ada]
    door = at_bench.get(f"/samples/{made.sample}").headers["location"]
    assert door == f"/sign-in?next=/samples/{made.sample}&why=locked"
    assert words(parsed(at_bench.get(door))).startswith("Bench 1 Tap your name Fruit 1 was saved: Extra Class.")
    assert "Fruit 1" not in words(parsed(at_bench.get("/sign-in")))


def test_a_browser_of_ones_own_holds_no_fruit(sqlite_database: Database, ada: int, made: Bench) -> None:
    phone = Visitor(sqlite_database, None)
    phone.post("/sign-in", {"name": "Ada Birch", "password": PASSWORD})
    assert measure(phone, made, "k1").status_code == 303
    assert "Fruit 1" not in words(parsed(phone.get("/sign-in?why=locked")))


def test_nothing_else_is_stored_while_it_is_locked(at_bench: Visitor, made: Bench, watch: Watch) -> None:
    watch.on(minutes=30)
    draws = f"/samples/{made.sample}/draws"
    answer = at_bench.post(draws, {"form_key": "k"}, headers={"referer": f"http://testserver/samples/{made.sample}"})
    assert answer.headers["location"] == f"/sign-in?next=/samples/{made.sample}&why=locked"


def test_after_the_shift_no_fruit_is_stored_as_somebody_who_went_home(
    at_bench: Visitor, made: Bench, ada: int, watch: Watch, sqlite_database: Database
) -> None:
    watch.on(hours=13)
    assert measure(at_bench, made, "k1").headers["location"].startswith("/sign-in")
    assert fruit(sqlite_database) == 0
    at_bench.post("/sign-in/pin", {"person": ada, "pin": PIN})
    page = parsed(at_bench.get(f"/samples/{made.sample}"))
    assert typed_in(page, "weight") == FRUIT["weight"]
    assert one(page, '[name="stage"][checked]')["value"] == FRUIT["stage"]
    assert typed_in(page, "entry_key") != "k1"


def test_a_fruit_tells_that_somebody_is_there(
    at_bench: Visitor, made: Bench, watch: Watch, sqlite_database: Database
) -> None:
    """By the session that stores it: on SQLite another one would wait for it for ever."""
    for number in range(3):
        watch.on(minutes=8)
        assert measure(at_bench, made, f"k{number}").status_code == 303
        assert at_bench.get(f"/samples/{made.sample}").status_code == 200
    assert fruit(sqlite_database) == 3


def test_presence_is_noted_every_few_seconds_and_at_no_cost_to_who_reads(
    at_bench: Visitor, watch: Watch, sqlite_database: Database
) -> None:
    def seen() -> object:
        with sqlite_database.reading() as session:
            return session.exec(select(SignIn.seen_at)).one()

    first = seen()
    watch.on(seconds=4)
    at_bench.get("/specs")
    assert seen() == first
    watch.on(seconds=4)
    at_bench.get("/specs")
    assert seen() == watch.now


def test_a_locked_tablet_signs_somebody_else_in(at_bench: Visitor, sqlite_database: Database, watch: Watch) -> None:
    """On their own first page: the page that was open may not be theirs to see."""
    bo = somebody(sqlite_database, "Bo Ferris", Role.GRADER, pin=PIN)
    watch.on(minutes=30)
    came = at_bench.post("/sign-in/pin", {"person": bo, "pin": PIN, "next": "/growers/new"})
    assert came.headers["location"] == "/"
    assert words(parsed(at_bench.get("/specs")), ".person strong") == "Bo Ferris"
    assert COOKIE in at_bench.client.cookies
