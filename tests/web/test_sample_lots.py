"""A sample judged as one lot, on its page."""

import pytest

from shedgrade.domain.people import Role
from shedgrade.domain.spec import library
from shedgrade.storage.database import Database
from tests.support import season
from tests.support.bench import Bench, bench
from tests.support.visitor import Visitor, error_at, parsed, visitor, words


@pytest.fixture
def made(sqlite_database: Database) -> Bench:
    made = bench(sqlite_database, library.standards()["mango-codex-cxs184"])
    with sqlite_database.writing() as session:
        draw = season.draw(session, made.sample)
        for weight in (*[5000] * 19, 6510):
            season.fruit(session, draw, weight)
        session.commit()
    return made


@pytest.fixture
def grader(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.GRADER)


def test_the_sample_leads_to_it_and_the_form_asks_for_the_label(grader: Visitor, made: Bench) -> None:
    address = f"/samples/{made.sample}/lot"
    assert address in [link["href"] for link in parsed(grader.get(f"/samples/{made.sample}/fruit")).select("a")]
    page = parsed(grader.get(address))
    assert {each["name"] for each in page.select("main input, main select")} == {"class", "size", "basis"}
    assert "Tolerances" not in words(page, "main")


def test_the_verdict_in_words(grader: Visitor, made: Bench) -> None:
    """Codex, from memory: one fruit of 651 g is outside the window of size B, at any share."""
    page = parsed(grader.get(f"/samples/{made.sample}/lot?class=I&size=B&basis=number"))
    said = words(page, "main")
    assert words(page, "h1").startswith("Does not meet Class I")
    assert "of another size than the label says: 1 of 20 fruit = 5 % of the 10 % allowed; 1 more would still do" in said
    assert "broken by fruit 20 of the sample" in said


@pytest.mark.parametrize(
    ("query", "name", "sentence"),
    [
        ("class=IX&basis=number", "class", "not one of the choices"),
        ("class=I", "basis", "Choose one"),
        ("class=I&size=Q&basis=number", "size", "not one of the choices"),
    ],
)
def test_what_was_not_offered_is_refused(grader: Visitor, made: Bench, query: str, name: str, sentence: str) -> None:
    answer = grader.get(f"/samples/{made.sample}/lot?{query}")
    assert answer.status_code == 422
    assert sentence in error_at(parsed(answer), name)


def test_of_packed_trays_each_is_a_package_and_a_grower_reads_their_own(sqlite_database: Database, made: Bench) -> None:
    with sqlite_database.writing() as session:
        sample = season.sample(session, made.consignment, question="packed tray")
        for weights in ((5000, 5000), (4000, 5600)):
            draw = season.draw(session, sample)
            for weight in weights:
                season.fruit(session, draw, weight)
        empty = season.sample(session, made.consignment)
        session.commit()
    grower = visitor(sqlite_database, Role.GROWER, grower_id=made.grower)
    said = words(parsed(grower.get(f"/samples/{sample}/lot?class=I&size=B&basis=number")), "main")
    assert "fruit 3 and 4 are 160 g apart" in said
    assert "No fruit was measured in this sample yet." in words(parsed(grower.get(f"/samples/{empty}/lot")), "main")
    other = bench(sqlite_database, number="1043")
    assert grower.get(f"/samples/{other.sample}/lot").status_code == 404
