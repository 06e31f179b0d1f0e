"""A file of measured fruit: stored whole or not at all."""

import pytest
from httpx2 import Response
from sqlmodel import select

from shedgrade.domain.people import Role
from shedgrade.domain.spec import library
from shedgrade.storage.database import Database
from shedgrade.storage.tables import FruitRow, Sample
from tests.support.bench import Bench, bench
from tests.support.visitor import Visitor, error_at, one, parsed, typed_in, visitor, words

GOOD = b"weight g,bin,sap stain cm2,rot\n412,1,4.6,\n380,1,,yes\n440,2,0,no\n"


def send(person: Visitor, made: Bench, content: bytes | None, **changes: str) -> Response:
    typed = {"question": "intake", "tray": str(made.tray), "form_key": "one", **changes}
    files = {} if content is None else {"file": ("fruit.csv", content, "text/csv")}
    return person.post(f"/consignments/{made.consignment}/sample-file", typed, files=files)


def count(database: Database) -> tuple[int, int]:
    """Samples from a file, and fruit."""
    with database.reading() as session:
        from_file = session.exec(select(Sample).where(Sample.origin == "file")).all()
        return len(from_file), len(session.exec(select(FruitRow.id)).all())


def test_a_good_file_becomes_a_sample(sqlite_database: Database, grader: Visitor, made: Bench) -> None:
    assert grader.get(f"/consignments/{made.consignment}/sample-file").status_code == 200
    first, second = (send(grader, made, GOOD) for _ in range(2))
    assert (first.status_code, second.headers["location"]) == (303, first.headers["location"])
    assert count(sqlite_database) == (1, 3)
    page = parsed(grader.get(first.headers["location"]))
    assert "3 fruit from 2 bins" in words(page, "h1")
    assert "looked for sap stain, rot; limits over other defects are not judged" in words(page, ".answer")
    assert "not judged: " in words(page, ".fruit-rows")
    assert page.select("#fruit-form") == []


def test_a_tablets_file_is_known_for_what_it_is(sqlite_database: Database, grader: Visitor, made: Bench) -> None:
    answer = send(grader, made, b'{"version": 1, "crc32": "0", "entries": "[]"}')
    page = parsed(answer)
    assert (answer.status_code, "a tablet's file of fruit not sent" in error_at(page, "file")) == (422, True)
    assert one(page, "main a[href='/unsent/file']")
    assert count(sqlite_database) == (0, 0)


def test_the_same_file_is_read_once(sqlite_database: Database, grader: Visitor, made: Bench) -> None:
    first = send(grader, made, GOOD).headers["location"]
    answer = send(grader, made, GOOD, form_key="two", question="table", tray=str(made.small_tray))
    assert answer.status_code == 409
    page = parsed(answer)
    assert "read before for this consignment" in error_at(page, "file")
    assert "holds it: 3 fruit from 2 bins" in words(page, ".notice")
    assert one(page, ".notice a")["href"] == first
    assert (typed_in(page, "tray"), one(page, "[name=question][checked]")["value"]) == (str(made.small_tray), "table")
    assert count(sqlite_database) == (1, 3)
    assert grader.post(f"{first}/voiding", {"reason": "wrong tray"}).status_code == 303
    assert send(grader, made, GOOD, form_key="three").status_code == 303
    assert count(sqlite_database) == (2, 6)


def test_the_same_file_is_another_sample_of_another_consignment(
    sqlite_database: Database, grader: Visitor, made: Bench
) -> None:
    other = bench(sqlite_database, number="1043")
    assert send(grader, made, GOOD).status_code == 303
    assert send(grader, other, GOOD, form_key="two").status_code == 303


@pytest.mark.parametrize("standard", ["mango-agmark", "avocado-trade-4kg"])
def test_the_example_on_the_page_is_accepted(standard: str, sqlite_database: Database, grader: Visitor) -> None:
    made = bench(sqlite_database, library.standards()[standard], number="1044")
    page = parsed(grader.get(f"/consignments/{made.consignment}/sample-file"))
    example = one(page, "pre").get_text()
    assert ("colour stage" in example, ",yes" in example) == (standard == "mango-agmark", True)
    assert "“not judged”" in words(page, ".worked-out")
    assert send(grader, made, example.encode()).status_code == 303


def test_mistakes_are_listed_with_line_and_column(sqlite_database: Database, grader: Visitor, made: Bench) -> None:
    bad = b"weight g,bin,sap stain cm2\nabc,1,4.6\n412,1,900\n440,2,0\n"
    answer = send(grader, made, bad, question="table", tray=str(made.small_tray))
    assert answer.status_code == 422
    page = parsed(answer)
    rows = [[cell.get_text(strip=True) for cell in row.select("td")] for row in page.select("#mistakes tbody tr")]
    assert [row[:2] for row in rows] == [["2", "weight g"], ["3", "sap stain cm2"]]
    assert "is not a number" in rows[0][2]
    assert error_at(page, "file") == "2 places in the file cannot be read, listed below."
    assert one(page, "[name=question][checked]")["value"] == "table"
    assert typed_in(page, "tray") == str(made.small_tray)
    assert count(sqlite_database) == (0, 0)


def test_many_mistakes_are_cut_short(grader: Visitor, made: Bench) -> None:
    page = parsed(send(grader, made, b"weight\n" + b"abc\n" * 130))
    assert len(page.select("#mistakes tbody tr")) == 50
    assert "And 80 more" in words(page, "#mistakes")


def test_what_a_file_says_is_shown_as_text(grader: Visitor, made: Bench) -> None:
    page = parsed(send(grader, made, b"weight,<script>alert(1)</script>\n412,1\n"))
    assert page.select("#mistakes script") == []
    assert "<script>" in words(page, "#mistakes")


@pytest.mark.parametrize("content", [None, b"", b"PK\x03\x04", b"\xff\xfew", b"\x00", b'weight\n"412\n'])
def test_no_file_and_what_is_no_csv(
    content: bytes | None, sqlite_database: Database, grader: Visitor, made: Bench
) -> None:
    answer = send(grader, made, content)
    assert answer.status_code == 422
    assert error_at(parsed(answer), "file")
    assert count(sqlite_database) == (0, 0)


@pytest.mark.parametrize(("field", "value"), [("question", "moon"), ("question", ""), ("tray", "999"), ("tray", "")])
def test_a_good_file_with_a_bad_answer_is_not_stored(
    field: str, value: str, sqlite_database: Database, grader: Visitor, made: Bench
) -> None:
    answer = send(grader, made, GOOD, **{field: value})
    assert (answer.status_code, bool(error_at(parsed(answer), field))) == (422, True)
    assert count(sqlite_database) == (0, 0)


def test_who_may_not(sqlite_database: Database, grader: Visitor, made: Bench) -> None:
    for person in (
        visitor(sqlite_database, Role.MARKETER),
        visitor(sqlite_database, Role.GROWER, grower_id=made.grower),
    ):
        assert person.get(f"/consignments/{made.consignment}/sample-file").status_code == 403
        assert send(person, made, GOOD).status_code == 403
    assert grader.get("/consignments/999/sample-file").status_code == 404
    assert send(grader, made._replace(consignment=999), GOOD).status_code == 404
    foreign = {"origin": "http://elsewhere.example"}
    address = f"/consignments/{made.consignment}/sample-file"
    assert grader.post(address, {}, files={"file": ("a.csv", GOOD)}, headers=foreign).status_code == 403


def test_a_sample_of_ten_thousand_rows_still_opens(grader: Visitor, made: Bench) -> None:
    rows = "".join(f"{300 + n % 200},{n // 50},{n % 5}\n" for n in range(10_000))
    answer = send(grader, made, f"weight,draw,rub\n{rows}".encode())
    page = parsed(grader.get(answer.headers["location"]))
    assert "10 000 fruit from 200 bins" in words(page, "h1").replace("\u202f", " ")
    assert len(page.select(".fruit-rows tbody tr")) == 20
