"""Maturity tests: written down, read, voided, refused; and what they do to the class of a fruit."""

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from fractions import Fraction

import pytest

from shedgrade.domain.people import Role
from shedgrade.domain.spec import library
from shedgrade.storage.database import Database
from shedgrade.storage.loads import load_of
from tests.support import season
from tests.support.bench import Bench, bench
from tests.support.visitor import Visitor, error_at, parsed, typed_in, visitor, words

TODAY = f"{datetime.now(UTC):%Y-%m-%d}"
FORM = {"taken_on": TODAY, "fruit": "3", "cut": "yes", "read-dry-matter": "15.2 14.8 16", "form_key": "one"}


@pytest.fixture
def made(sqlite_database: Database) -> Bench:
    return bench(sqlite_database, library.standards()["mango-au-class1-2016"])


@pytest.fixture
def address(made: Bench) -> str:
    return f"/consignments/{made.consignment}/maturity"


def plain(text: str) -> str:
    return text.replace("\N{NARROW NO-BREAK SPACE}", " ")


def kept(database: Database, made: Bench) -> Mapping[str, tuple[float, int]]:
    with database.reading() as session:
        return {each.measure: (float(each.mean), each.fruit) for each in load_of(session, made.consignment).tests}


def test_a_test_is_written_down_once_and_shown_with_its_range(
    sqlite_database: Database, grader: Visitor, made: Bench, address: str
) -> None:
    assert "No test yet" in words(parsed(grader.get(address)))
    answers = [grader.post(address, FORM) for _ in range(2)]
    assert [(each.status_code, each.headers["location"]) for each in answers] == [(303, f"{address}?done=tested")] * 2
    assert kept(sqlite_database, made) == {"dry-matter": (float(Fraction(46, 300)), 3)}
    assert "The test is saved." in words(parsed(grader.get(f"{address}?done=tested")))
    shown = plain(words(parsed(grader.get(address))))
    assert "Dry matter 15.33 % likely 13.82 % to 16.85 % mean of 3 fruit" in shown
    assert "15.2 %, 14.8 %, 16 %" in shown
    assert "3 fruit, cut. Written down" in shown


def test_one_figure_of_several_fruit_is_their_mean_and_has_no_range(
    sqlite_database: Database, grader: Visitor, made: Bench, address: str
) -> None:
    grader.post(address, FORM | {"fruit": "10", "read-dry-matter": "15.2", "read-brix": "14"})
    assert kept(sqlite_database, made) == {"dry-matter": (0.152, 10), "brix": (1400.0, 10)}
    assert "likely" not in words(parsed(grader.get(address)), "#test-1")


@pytest.mark.parametrize(
    ("changed", "field", "sentence"),
    [
        ({"read-dry-matter": "15.2 14.8"}, "read-dry-matter", "2 figures stand here for 3 fruit"),
        ({"read-dry-matter": "152"}, "read-dry-matter", "is accepted"),
        ({"read-dry-matter": ""}, "read-dry-matter", "Nothing was read yet"),
        ({"fruit": "0"}, "fruit", "from 1 to 100 is accepted"),
        ({"taken_on": "yesterday"}, "taken_on", "a day such as"),
        ({"taken_on": f"{datetime.now(UTC) + timedelta(days=3):%Y-%m-%d}"}, "taken_on", "has not come yet"),
    ],
)
def test_a_mistake_is_said_beside_its_field_and_nothing_is_stored(
    sqlite_database: Database,
    grader: Visitor,
    made: Bench,
    address: str,
    changed: dict[str, str],
    field: str,
    sentence: str,
) -> None:
    answer = grader.post(address, FORM | changed)
    assert answer.status_code == 422
    page = parsed(answer)
    assert sentence in plain(error_at(page, field))
    assert typed_in(page, field).strip() == {**FORM, **changed}[field]
    assert kept(sqlite_database, made) == {}


def test_a_wrong_test_is_voided_and_stays_to_be_seen(
    sqlite_database: Database, grader: Visitor, made: Bench, address: str
) -> None:
    grader.post(address, FORM)
    refused = grader.post(f"{address}/1/voiding", {"reason": ""})
    assert (refused.status_code, error_at(parsed(refused), "reason")) == (422, "Fill this in.")
    assert (
        grader.post(f"{address}/1/voiding", {"reason": "other fruit"}).headers["location"]
        == f"{address}/1?done=test-voided"
    )
    assert "The test is voided." in words(parsed(grader.get(f"{address}/1?done=test-voided")))
    assert kept(sqlite_database, made) == {}
    assert "other fruit. It counts no longer" in words(parsed(grader.get(address)), "#test-1")
    late = grader.post(f"{address}/1/voiding", {"reason": "typed wrong"})
    assert (late.status_code, "Your reason was not stored" in words(parsed(late))) == (409, True)


def test_a_test_of_another_consignment_is_not_there(sqlite_database: Database, grader: Visitor, address: str) -> None:
    grader.post(address, FORM)
    other = bench(sqlite_database, number="1043")
    assert grader.get(f"/consignments/{other.consignment}/maturity/1").status_code == 404


def test_a_voided_consignment_takes_no_test(
    sqlite_database: Database, grader: Visitor, made: Bench, address: str
) -> None:
    supervisor = visitor(sqlite_database, Role.SUPERVISOR)
    supervisor.post(f"/consignments/{made.consignment}/voiding", {"reason": "saved twice"})
    assert grader.post(address, FORM).status_code == 409
    assert kept(sqlite_database, made) == {}


def test_a_grower_reads_the_means_and_no_name(
    sqlite_database: Database, grader: Visitor, made: Bench, address: str
) -> None:
    grader.post(address, FORM)
    shown = words(parsed(visitor(sqlite_database, Role.GROWER, grower_id=made.grower).get(address)))
    assert "Dry matter" in shown
    assert "by grader" not in shown
    assert "A new test" not in shown


def test_too_green_fruit_makes_no_class_and_the_history_tells_the_test(
    sqlite_database: Database, grader: Visitor, made: Bench, address: str
) -> None:
    """Australian mango industry class 1 of 2016: dry matter at least 15 % (Calypso). Read."""
    with sqlite_database.writing() as session:
        fruit = season.fruit(session, season.draw(session, made.sample), 4120, stage=4)
        session.commit()
    assert "dry matter" in words(parsed(grader.get(f"/fruit/{fruit}")))
    grader.post(address, FORM | {"fruit": "10", "read-dry-matter": "14.9"})
    shown = plain(words(parsed(grader.get(f"/fruit/{fruit}"))))
    assert "No class" in shown
    assert "dry matter 14.9 % (mean of 10 fruit) is under 15 %" in shown
    told = words(parsed(grader.get(f"/consignments/{made.consignment}/history")))
    assert "wrote down a maturity test of 10 fruit" in told


ASKED = "at least 15 % is asked of every class"
NEAR = ["Too close to tell"]


@pytest.mark.parametrize(
    ("figures", "mean", "answer", "marks"),
    [
        ("15.2 14.8 14.4", "14.8 % (mean of 3 fruit, likely 13.81 % to 15.79 %)", "Not met", NEAR),
        ("15.6 15.2 14.8", "15.2 % (mean of 3 fruit, likely 14.21 % to 16.19 %)", "Met", NEAR),
        ("14.1 14.2 14.0", "14.1 % (mean of 3 fruit, likely 13.85 % to 14.35 %)", "Not met", []),
        ("14.9", "14.9 % (mean of 3 fruit)", "Not met", []),
    ],
)
def test_a_mean_near_the_limit_says_its_range_beside_the_rule_s_answer(
    sqlite_database: Database,
    grader: Visitor,
    made: Bench,
    figures: str,
    mean: str,
    answer: str,
    marks: list[str],
) -> None:
    """Student's t of 2 degrees of freedom is 4.303 at 97.5 % (any table of t): 0.4 / sqrt(3) * 4.303 is 0.99, 0.1 /
    sqrt(3) * 4.303 is 0.25. At least 15 % as above, read."""
    address = f"/consignments/{made.consignment}/maturity"
    said = f"Dry matter {mean}; {ASKED}."
    assert "What is asked" not in words(parsed(grader.get(address)))
    grader.post(address, FORM | {"read-dry-matter": figures})
    page = parsed(grader.get(address))
    asked = plain(words(page, "#asked"))
    assert said in asked
    assert [each.get_text() for each in page.select("#asked .mark > span")] == [f"{answer} by the mean", *marks]
    assert ("The rule decides by the mean of the fruit tested all the same." in asked) == bool(marks)
    with sqlite_database.writing() as session:
        season.fruit(session, season.draw(session, made.sample), 4120, stage=4)
        session.commit()
    lot = parsed(grader.get(f"/samples/{made.sample}/lot?class=1&basis=number"))
    assert said in plain(words(lot, "#asked"))


def test_a_fruit_that_fails_by_a_mean_says_how_near_it_is(
    sqlite_database: Database, grader: Visitor, made: Bench, address: str
) -> None:
    with sqlite_database.writing() as session:
        fruit = season.fruit(session, season.draw(session, made.sample), 4120, stage=4)
        session.commit()
    grader.post(address, FORM | {"read-dry-matter": "15.2 14.8 14.4"})
    assert "dry matter 14.8 % (mean of 3 fruit, likely 13.81 % to 15.79 %: too close to tell) is under 15 %" in plain(
        words(parsed(grader.get(f"/fruit/{fruit}")))
    )
