"""Where people are signed in, and ending it there."""

from datetime import timedelta

import pytest

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from shedgrade.storage.tables import SignIn
from shedgrade.web.devices_view import say_ago
from shedgrade.web.whoami import COOKIE
from tests.support.signing import PIN, Watch, somebody, tablet
from tests.support.visitor import Visitor, parsed, words


@pytest.fixture
def ada(sqlite_database: Database) -> int:
    return somebody(sqlite_database, "Ada Birch", Role.GRADER, pin=PIN)


@pytest.fixture
def maren(sqlite_database: Database) -> int:
    return somebody(sqlite_database, "Maren Holt", Role.MANAGER)


def lines(who: Visitor) -> list[str]:
    """What the list says, without the times."""
    page = parsed(who.get("/devices"))
    return [" ".join(line.select("span")[0].get_text(" ").split()) for line in page.select(".device-rows li")]


def endings(who: Visitor) -> list[str]:
    return [str(form["action"]) for form in parsed(who.get("/devices")).select(".device-rows form")]


def test_somebody_sees_their_own_and_which_is_here(sqlite_database: Database, ada: int, maren: int) -> None:
    phone, desk = Visitor(sqlite_database, ada), Visitor(sqlite_database, ada)
    Visitor(sqlite_database, maren)
    bench = tablet(sqlite_database, maren)
    bench.post("/sign-in/pin", {"person": ada, "pin": PIN})
    assert sorted(lines(phone)) == ["Bench 1", "a test's browser", "a test's browser this browser"]
    assert sorted(lines(bench)) == ["Bench 1 this browser", "a test's browser", "a test's browser"]
    assert len(endings(desk)) == 3
    assert "Tablets" not in words(parsed(phone.get("/devices")))


def test_who_keeps_people_sees_everybodys(sqlite_database: Database, ada: int, maren: int) -> None:
    Visitor(sqlite_database, ada)
    keeper = Visitor(sqlite_database, maren)
    assert sorted(lines(keeper)) == ["Ada Birch on a test's browser", "Maren Holt on a test's browser this browser"]


def test_those_that_look_alike_are_told_apart_by_when_they_were_used(
    sqlite_database: Database, ada: int, watch: Watch
) -> None:
    phone, desk = Visitor(sqlite_database, ada), Visitor(sqlite_database, ada)
    watch.on(hours=3, minutes=10)
    desk.get("/specs")
    watch.on(minutes=5, seconds=10)
    page = parsed(phone.get("/devices"))
    told = sorted(each.get_text().split(";")[0].split(" (")[0] for each in page.select(".device-rows .quiet"))
    assert told == ["In use now", "Last used 5 minutes ago"]
    buttons = sorted(words(each, "button").partition(", ")[2] for each in page.select(".device-rows li"))
    assert buttons == ["in use now", "last used 5 minutes ago"]


@pytest.mark.parametrize(
    ("time", "said"),
    [
        (timedelta(seconds=59), "less than a minute ago"),
        (timedelta(seconds=60), "1 minute ago"),
        (timedelta(minutes=119), "1 hour ago"),
        (timedelta(hours=49), "2 days ago"),
    ],
)
def test_how_long_ago(time: timedelta, said: str) -> None:
    assert say_ago(time) == said


def test_a_copied_cookie_is_ended_by_its_owner_at_once(sqlite_database: Database, ada: int) -> None:
    phone, desk = Visitor(sqlite_database, ada), Visitor(sqlite_database, ada)
    thief = Visitor(sqlite_database, None)
    thief.client.cookies.set(COOKIE, phone.client.cookies[COOKIE])
    assert thief.get("/devices").status_code == 200
    copied = next(each for each in endings(desk) if each != _here(desk))
    answer = desk.post(copied)
    assert (answer.status_code, answer.headers["location"]) == (303, "/devices?done=ended")
    for lost in (thief, phone):
        assert lost.get("/devices").headers["location"] == "/sign-in?next=/devices&why=ended"
        assert lost.post("/me/pin", {"now": PIN}).headers["location"] == "/sign-in?why=ended"
    assert desk.get("/devices").status_code == 200


def _here(who: Visitor) -> str:
    """What ends the browser that asks."""
    page = parsed(who.get("/devices"))
    return str(
        next(line for line in page.select(".device-rows li") if line.select(".mark")).select("form")[0]["action"]
    )


def test_ending_it_here_leads_to_the_door(sqlite_database: Database, ada: int) -> None:
    phone = Visitor(sqlite_database, ada)
    phone.post(_here(phone))
    assert phone.get("/devices").headers["location"] == "/sign-in?next=/devices&why=ended"


def test_the_manager_ends_anybodys_and_it_is_kept_who_did(sqlite_database: Database, ada: int, maren: int) -> None:
    phone, keeper = Visitor(sqlite_database, ada), Visitor(sqlite_database, maren)
    (own,) = endings(phone)
    assert keeper.post(own).status_code == 303
    assert phone.get("/devices").status_code == 303
    with sqlite_database.reading() as session:
        row = session.get_one(SignIn, int(own.split("/")[2]))
        assert row.ended_by_id == maren


def told(keeper: Visitor, person_id: int) -> list[str]:
    page = parsed(keeper.get(f"/people/{person_id}/history"))
    lines = [" ".join(each.get_text(" ").split()[1:]) for each in page.select(".history li")]
    return [each for each in lines if "sign-in" in each]


def test_who_ended_whose_sign_in_on_which_device_is_told(sqlite_database: Database, ada: int, maren: int) -> None:
    keeper, bench, desk = Visitor(sqlite_database, maren), tablet(sqlite_database, maren), Visitor(sqlite_database, ada)
    bench.post("/sign-in/pin", {"person": ada, "pin": PIN})
    on_bench = next(each for each in endings(desk) if each != _here(desk))
    for _ in range(2):  # the second time there is nothing to tell
        keeper.post(on_bench)
    desk.post(_here(desk))
    assert told(keeper, ada) == [
        "Ada Birch ended their own sign-in on a test's browser, from a test's browser.",
        "Maren Holt ended the sign-in of Ada Birch on Bench 1, from a test's browser.",
    ]


def test_another_persons_is_not_here(sqlite_database: Database, ada: int) -> None:
    bo = somebody(sqlite_database, "Bo", Role.SUPERVISOR)
    phone, other = Visitor(sqlite_database, ada), Visitor(sqlite_database, bo)
    (own,) = endings(phone)
    assert other.post(own).status_code == 404
    assert phone.get("/devices").status_code == 200


@pytest.mark.parametrize("sign_in_id", ["0", "77", "none", "9" * 25])
def test_an_unknown_one_is_not_here(sqlite_database: Database, maren: int, sign_in_id: str) -> None:
    assert Visitor(sqlite_database, maren).post(f"/devices/{sign_in_id}/ending").status_code == 404


def test_ending_twice_is_no_fault(sqlite_database: Database, ada: int) -> None:
    phone = Visitor(sqlite_database, ada)
    desk = Visitor(sqlite_database, ada)
    other = next(each for each in endings(desk) if each != _here(desk))
    assert [desk.post(other).status_code for _ in range(2)] == [303, 303]
    assert phone.get("/devices").status_code == 303


def test_whose_time_is_over_is_not_listed(sqlite_database: Database, ada: int, maren: int, watch: Watch) -> None:
    bench = tablet(sqlite_database, maren)
    bench.post("/sign-in/pin", {"person": ada, "pin": PIN})
    phone = Visitor(sqlite_database, ada)
    assert len(lines(phone)) == 2
    watch.on(hours=13)
    assert lines(phone) == ["a test's browser this browser"]


def test_another_sites_form_ends_nothing(sqlite_database: Database, ada: int) -> None:
    phone = Visitor(sqlite_database, ada)
    (own,) = endings(phone)
    assert phone.post(own, headers={"origin": "http://elsewhere.example"}).status_code == 403
    assert phone.get("/devices").status_code == 200
