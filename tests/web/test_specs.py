"""Specs: the list, one to read, its file."""

from dataclasses import replace
from datetime import UTC, datetime
from hashlib import sha256

import pytest

from shedgrade.actions.specs import publish, publish_standards
from shedgrade.domain.people import Role
from shedgrade.domain.spec import library
from shedgrade.domain.spec.text import read_spec
from shedgrade.storage.database import Database
from tests.support.specs import MARKET
from tests.support.visitor import Visitor, one, parsed, visitor, words

NOW = datetime(2026, 1, 14, 3, 20, tzinfo=UTC)


@pytest.fixture
def standards(sqlite_database: Database) -> dict[str, int]:
    """Every standard that comes with the program, by its id."""
    with sqlite_database.writing() as session:
        ids = {key: row.id or 0 for key, row in publish_standards(session, NOW).items()}
        session.commit()
    return ids


def said(who: Visitor, address: str) -> str:
    response = who.get(address)
    assert response.status_code == 200
    return words(parsed(response)).replace("\u202f", " ").replace("\u00a0", " ")


def test_lists_every_spec_by_fruit(grader: Visitor, standards: dict[str, int]) -> None:
    page = parsed(grader.get("/specs"))
    kinds = {spec.crop.id for spec in library.standards().values()}
    assert words(page, "h1") == f"Fruit is judged under {len(standards)} specs, for {len(kinds)} kinds of fruit"
    assert [each.get_text() for each in page.select("h2")] == [library.crops()[kind].name for kind in sorted(kinds)]
    assert {str(link["href"]) for link in page.select(".list-rows a")} == {
        f"/specs/{key}" for key in standards.values()
    }


def test_lists_the_newest_version_only(sqlite_database: Database, grader: Visitor, standards: dict[str, int]) -> None:
    old = standards["mango-agmark"]
    with sqlite_database.writing() as session:
        retitled = replace(library.standards()["mango-agmark"], title="A new title")
        newer = publish(session, retitled, NOW).id
        session.commit()
    links = {str(link["href"]) for link in parsed(grader.get("/specs")).select(".list-rows a")}
    assert f"/specs/{newer}" in links
    assert f"/specs/{old}" not in links
    assert f"/specs/{old}" in {str(link["href"]) for link in parsed(grader.get(f"/specs/{newer}")).select("main a")}


def test_no_spec_yet_teaches(grader: Visitor) -> None:
    text = said(grader, "/specs")
    assert "No spec is published yet" in text
    assert "A spec holds the written rules" in text


def test_a_spec_is_read_as_tables_with_source_section_and_mark(grader: Visitor, standards: dict[str, int]) -> None:
    text = said(grader, f"/specs/{standards['mango-codex-cxs184']}")
    assert "3 classes, best first: Extra Class, Class I, Class II. 3 sizes by weight" in text
    assert "A from 200 g to 350 g" in text
    assert "section 3 (from memory, confirm against the text)" in text
    assert "section 2.1, read in the text itself" in text
    assert "Waste fruit that rot kept out of every class not packed" in text


def test_limits_by_class_and_size(grader: Visitor, standards: dict[str, int]) -> None:
    page = parsed(grader.get(f"/specs/{standards['mango-codex-cxs184']}"))
    table = next(each for each in page.select("table.limits") if "Skin marks" in each.get_text())
    rows = [[" ".join(cell.get_text(" ").split()) for cell in row.select("th, td")] for row in table.select("tbody tr")]
    allowed = [[cell.replace("\u202f", " ") for cell in row[-2:]] for row in rows]
    assert allowed == [
        ["at most 3 cm²", "at most 5 cm²"],
        ["at most 4 cm²", "at most 6 cm²"],
        ["at most 5 cm²", "at most 7 cm²"],
    ]
    # Extra's value is the same for every size and comes from another source than its table's: it says so, once.
    assert rows[0][1].startswith("none allowed our reading, the text gives no number")
    assert one(table, 'td[rowspan="3"]')


def test_what_is_allowed_stands_by_itself(grader: Visitor, standards: dict[str, int]) -> None:
    shown = [parsed(grader.get(f"/specs/{spec_id}")).select("table.limits .allowed") for spec_id in standards.values()]
    allowed = {" ".join(cell.get_text().split()) for page in shown for cell in page}
    assert {"none allowed", "any amount allowed", "must have a size"} <= allowed
    assert not allowed & {"none", "no limit", "any", "at least 1"}


def test_overlaps_and_gaps_are_drawn_and_said(grader: Visitor, standards: dict[str, int]) -> None:
    page = parsed(grader.get(f"/specs/{standards['avocado-trade-4kg']}"))
    assert "Sizes overlap" in words(page, ".chart figcaption")
    assert "364 g to 371 g: 12 or 10" in words(page).replace("\u202f", " ")
    assert page.select(".size-twice")


def test_a_spec_without_sizes_says_so(sqlite_database: Database, grader: Visitor) -> None:
    with sqlite_database.writing() as session:
        spec_id = publish(session, read_spec(MARKET, library.crops()), NOW).id
        session.commit()
    text = said(grader, f"/specs/{spec_id}")
    assert "2 classes, best first: Class one, Class two. No size codes." in text
    assert "from 3 to 5" in text


def test_the_file_is_what_was_hashed_and_reads_back(grader: Visitor, standards: dict[str, int]) -> None:
    spec_id = standards["mango-codex-cxs184"]
    answer = grader.get(f"/specs/{spec_id}/file")
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith("application/toml")
    assert answer.headers["content-disposition"] == 'attachment; filename="mango-codex-cxs184-version-1.toml"'
    assert read_spec(answer.text, library.crops()) == library.standards()["mango-codex-cxs184"]
    assert sha256(answer.content).hexdigest() in said(grader, f"/specs/{spec_id}")


def test_every_standard_has_a_page(grader: Visitor, standards: dict[str, int]) -> None:
    assert [grader.get(f"/specs/{spec_id}").status_code for spec_id in standards.values()] == [200] * len(standards)


def test_a_grower_may_read_what_the_fruit_was_judged_by(sqlite_database: Database, standards: dict[str, int]) -> None:
    grower = visitor(sqlite_database, Role.GROWER)
    assert grower.get(f"/specs/{standards['mango-agmark']}").status_code == 200


@pytest.mark.parametrize("wrong", ["999", "0", "-1", "mango", "99999999999999999999"])
@pytest.mark.parametrize("end", ["", "/file"])
def test_a_spec_there_is_not(grader: Visitor, wrong: str, end: str) -> None:
    assert grader.get(f"/specs/{wrong}{end}").status_code == 404


def test_asks_a_stranger_who_they_are(sqlite_database: Database) -> None:
    assert Visitor(sqlite_database, None).get("/specs").status_code == 303
