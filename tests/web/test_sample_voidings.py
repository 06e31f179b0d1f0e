"""A whole sample voided: it stays to be seen, feeds nothing and takes nothing more."""

import pytest

from shedgrade.domain.people import Role
from shedgrade.storage.bench import bench_sample
from shedgrade.storage.database import Database
from shedgrade.storage.samples import drawn_fruit
from tests.support import season
from tests.support.bench import Bench, bench
from tests.support.visitor import Visitor, error_at, parsed, typed_in, visitor, words


@pytest.fixture
def made(sqlite_database: Database) -> Bench:
    made = bench(sqlite_database)
    with sqlite_database.writing() as session:
        season.fruit(session, season.draw(session, made.sample), 4120)
        session.commit()
    return made


@pytest.fixture
def address(made: Bench) -> str:
    return f"/samples/{made.sample}/voiding"


def voided(database: Database, made: Bench) -> str:
    """Who voided the sample and why; "" while it stands."""
    with database.reading() as session:
        void = bench_sample(session, made.sample).sample_voided
    return f"{void.by.name}: {void.reason}" if void else ""


def test_it_is_voided_with_its_reason_from_the_page_of_its_fruit(
    sqlite_database: Database, grader: Visitor, made: Bench, address: str
) -> None:
    page = parsed(grader.get(f"/samples/{made.sample}/fruit"))
    assert page.select(f'form[action="{address}"] [name=reason]')
    answer = grader.post(address, {"reason": "wrong load", "form_key": "one"})
    assert (answer.status_code, answer.headers["location"]) == (303, f"/samples/{made.sample}")
    assert grader.post(address, {"reason": "wrong load", "form_key": "one"}).status_code == 303
    assert voided(sqlite_database, made) == "grader: wrong load"
    page = parsed(grader.get(f"/samples/{made.sample}"))
    assert words(page, "h1") == "Voided: wrong load"
    assert "Nothing of it counts any more" in words(page, ".answer")
    assert page.select(".all-voided .fruit-rows")
    assert page.select("form") == []


def test_it_feeds_nothing_and_stands_struck_through(
    sqlite_database: Database, grader: Visitor, made: Bench, address: str
) -> None:
    marketer = visitor(sqlite_database, Role.MARKETER)
    packout = f"/consignments/{made.consignment}/packout"
    assert "We looked at 1 fruit" in words(parsed(marketer.get(packout)))
    grader.post(address, {"reason": "wrong load"})
    after = words(parsed(marketer.get(packout)))
    assert "We looked at" not in after
    assert "A sample of 1 fruit was voided by grader, " in after
    with sqlite_database.reading() as session:
        assert drawn_fruit(session, consignment_ids=[made.consignment]) == []
    line = words(parsed(grader.get(f"/consignments/{made.consignment}")), "#samples li.voided")
    assert "Voided by grader" in line
    assert line.endswith("wrong load")
    assert "feeds" not in line


def test_it_takes_nothing_more_and_loses_nothing_typed(grader: Visitor, made: Bench, address: str) -> None:
    grader.post(address, {"reason": "wrong load"})
    typed = {"weight": "390", "seen": "rub", "mark-rub": "2"}
    for place in ("fruit", "draws", "bins"):
        answer = grader.post(f"/samples/{made.sample}/{place}", typed)
        page = parsed(answer)
        assert (answer.status_code, typed_in(page, "weight"), typed_in(page, "mark-rub")) == (409, "390", "2")
        assert "This sample was voided" in words(page, "#last")


def test_it_needs_a_reason(sqlite_database: Database, grader: Visitor, made: Bench, address: str) -> None:
    answer = grader.post(address, {"reason": " "})
    assert (answer.status_code, error_at(parsed(answer), "reason")) == (422, "Fill this in.")
    long = grader.post(address, {"reason": "x" * 300})
    assert (long.status_code, typed_in(parsed(long), "reason")) == (422, "x" * 300)
    assert voided(sqlite_database, made) == ""


def test_voided_twice_the_first_reason_stays(
    sqlite_database: Database, grader: Visitor, made: Bench, address: str
) -> None:
    grader.post(address, {"reason": "wrong load"})
    answer = grader.post(address, {"reason": "wrong tray"})
    assert answer.status_code == 409
    assert "Voided: wrong load" in words(parsed(answer))
    assert voided(sqlite_database, made) == "grader: wrong load"


def test_who_may_not(sqlite_database: Database, grader: Visitor, made: Bench, address: str) -> None:
    for person in (
        visitor(sqlite_database, Role.MARKETER),
        visitor(sqlite_database, Role.GROWER, grower_id=made.grower),
    ):
        assert person.post(address, {"reason": "mine"}).status_code == 403
        assert parsed(person.get(f"/samples/{made.sample}")).select("main form") == []
    assert grader.post(address, {"reason": "x"}, headers={"origin": "http://elsewhere.example"}).status_code == 403
    assert grader.post("/samples/999/voiding", {"reason": "x"}).status_code == 404
    assert voided(sqlite_database, made) == ""
