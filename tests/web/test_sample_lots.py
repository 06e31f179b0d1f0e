"""A sample judged as one lot, on its page."""

from dataclasses import replace

import pytest

from shedgrade.domain.people import Role
from shedgrade.domain.spec import library
from shedgrade.domain.spec.tolerance import Basis
from shedgrade.storage.database import Database
from tests.support import season
from tests.support.bench import Bench, bench
from tests.support.visitor import Visitor, error_at, parsed, typed_in, visitor, words


@pytest.fixture
def made(sqlite_database: Database) -> Bench:
    made = bench(sqlite_database, library.standards()["mango-codex-cxs184"])
    with sqlite_database.writing() as session:
        draw = season.draw(session, made.sample)
        for weight in (*[5000] * 19, 6510):
            season.fruit(session, draw, weight)
        session.commit()
    return made


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
    assert "of another size than the label says: 1 of 20 fruit = 5 %, at most 10 %" in said
    assert "size, all classes: not kept to, because of weight of fruit taken in by the size tolerance" in said
    assert "weight of fruit taken in by the size tolerance: tolerated fruit must keep to this too: fruit 20" in said


def test_fruit_out_of_bins_are_no_package_and_not_asked_to_be_uniform(grader: Visitor, made: Bench) -> None:
    """Codex, from memory: fruit of one package of size B may be 150 g apart; 500 g and 651 g are 151 g apart."""
    said = words(parsed(grader.get(f"/samples/{made.sample}/lot?class=I&size=B&basis=number")), "main")
    assert "did not come out of one package: whether packages are uniform is not judged" in said
    assert "apart" not in said
    assert "it would be uniform" not in said
    assert "Packages" not in said


def test_every_reason_stands_once_with_links_to_its_fruit(
    sqlite_database: Database, grader: Visitor, made: Bench
) -> None:
    with sqlite_database.writing() as session:
        tray = season.sample(session, made.consignment, question="packed tray")
        draw = season.draw(session, tray)
        for weight in (*[5000] * 19, 6510):
            season.fruit(session, draw, weight)
        session.commit()
    page = parsed(grader.get(f"/samples/{tray}/lot?class=I&size=B&basis=number"))
    why = page.select('section:has(h2:-soup-contains("Why")) li')
    lines = [" ".join(each.get_text(" ").split()) for each in why]
    assert len(lines) >= 2
    for line in lines:
        assert words(page, "main").count(line.partition(": fruit")[0]) == 1
    for link in (link for each in why for link in each.select("a")):
        assert f"Fruit {link.get_text()}" in words(parsed(grader.get(str(link["href"]))), "main")


def test_the_size_offered_first_is_what_most_of_the_fruit_have(grader: Visitor, made: Bench) -> None:
    """Codex, from memory: 500 g is size B, 651 g size C."""
    page = parsed(grader.get(f"/samples/{made.sample}/lot"))
    assert typed_in(page, "size") == "B"
    assert "19 of its 20 fruit are of size B. Say what the label says." in words(page, "main")


@pytest.mark.parametrize(
    ("codes", "offered", "hint"),
    [(("A", "A"), "A", "As it was typed with the fruit."), (("A", "C"), "", "With its fruit A and C were typed.")],
)
def test_a_size_typed_with_the_fruit_comes_first(
    sqlite_database: Database, grader: Visitor, made: Bench, codes: tuple[str, ...], offered: str, hint: str
) -> None:
    with sqlite_database.writing() as session:
        sample = season.sample(session, made.consignment)
        draw = season.draw(session, sample)
        for code in (*codes, None):
            season.fruit(session, draw, 5000, size_code=code)
        session.commit()
    page = parsed(grader.get(f"/samples/{sample}/lot"))
    assert typed_in(page, "size") == offered
    assert hint in words(page, "main")


def test_tolerances_that_share_no_basis_are_said_with_what_can_be_done(sqlite_database: Database) -> None:
    codex = library.standards()["mango-codex-cxs184"]
    bases = {"quality-i": (Basis.NUMBER,), "size": (Basis.WEIGHT,)}
    apart = tuple(replace(each, basis=bases.get(each.id, each.basis)) for each in codex.tolerances)
    made = bench(sqlite_database, replace(codex, id="apart", tolerances=apart))
    with sqlite_database.writing() as session:
        season.fruit(session, season.draw(session, made.sample), 5000)
        session.commit()
    grader = visitor(sqlite_database, Role.GRADER)
    asked = parsed(grader.get(f"/samples/{made.sample}/lot"))
    assert "Class I cannot be judged as a lot" in words(asked, "#f-class")
    assert [each["value"] for each in asked.select('input[name="basis"]')] == ["weight"]
    answer = grader.get(f"/samples/{made.sample}/lot?class=I&basis=weight")
    assert answer.status_code == 422
    assert error_at(parsed(answer), "class") == (
        'Class I cannot be judged as a lot: "quality, Class I" is counted by number and "size, all classes" is counted '
        "by weight, and an inspection counts one way for all. Count each tolerance by itself, or have the spec changed "
        "so that they share a way of counting."
    )
    assert grader.get(f"/samples/{made.sample}/lot?class=II&basis=weight").status_code == 200


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
    assert "two fruit are 160 g apart, at most 150 g allowed: fruit 3 , 4 draw 2, without" in said
    assert "No fruit was measured in this sample yet." in words(parsed(grower.get(f"/samples/{empty}/lot")), "main")
    other = bench(sqlite_database, number="1043")
    assert grower.get(f"/samples/{other.sample}/lot").status_code == 404
