"""The tray list: what it shows, what it keeps, what it refuses."""

import pytest

from shedgrade.domain.people import Role
from shedgrade.storage import markets
from shedgrade.storage.database import Database
from shedgrade.storage.markets import TrayOfShed
from tests.support.visitor import Visitor, error_at, one, parsed, typed_in, visitor, words

TRAY = {
    "name": "7 kg single layer",
    "crop": "mango",
    "net": "7",
    "counts": "16, 14 18",
    "heaviest": "900",
    "valid_from": "2026-01-01",
}


@pytest.fixture
def keeper(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.MANAGER)


def trays(database: Database) -> list[TrayOfShed]:
    with database.reading() as session:
        return markets.tray_types(session)


def test_empty_list_teaches_and_offers_the_first_step(keeper: Visitor) -> None:
    assert one(parsed(keeper.get("/trays")), ".empty a.act")["href"] == "/trays/new"


def test_keeps_a_tray_and_shows_net_over_count(keeper: Visitor, sqlite_database: Database) -> None:
    answer = keeper.post("/trays", TRAY)
    assert (answer.status_code, answer.headers["location"]) == (303, "/trays")
    found = trays(sqlite_database)[0]
    assert (found.tray.net_g, found.tray.counts, found.tray.heaviest_dg) == (7000, (14, 16, 18), 9000)
    page = words(parsed(keeper.get("/trays")))
    assert "In use since Thu 1 Jan 2026" in page
    assert "500 g 437.5 g 388.9 g" in page


def test_a_replacement_starts_from_the_tray_it_replaces(keeper: Visitor, sqlite_database: Database) -> None:
    keeper.post("/trays", TRAY)
    first = trays(sqlite_database)[0].row.id
    form = parsed(keeper.get(f"/trays/new?replacing={first}"))
    typed = {name: typed_in(form, name) for name in TRAY}
    assert (typed["net"], typed["counts"], typed["heaviest"]) == ("7", "14 16 18", "900")
    assert keeper.post("/trays", {**typed, "net": "6.8", "valid_from": "2026-02-01"}).status_code == 303
    page = words(parsed(keeper.get("/trays")))
    assert "Replaced since Sun 1 Feb 2026" in page
    assert page.count("Replace 7 kg single layer") == 1


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("name", "", "Fill this in."),
        ("name", "x" * 61, "at most 60 fit"),
        ("crop", "", "Choose one."),
        ("crop", "durian", "not one of the choices"),
        ("net", "", "Fill this in."),
        ("net", "heavy", "is not a number"),
        ("net", "700", "too much"),
        ("counts", "", "Fill this in."),
        ("counts", ",", "No count is there"),
        ("counts", "14 14", "there twice"),
        ("counts", "14 0", "too small"),
        ("counts", "14 sixteen", "is not a number"),
        ("counts", " ".join(map(str, range(1, 23))), "at most 20 fit"),
        ("heaviest", "9", "lighter than any mango"),
        ("heaviest", "300", "fills this tray"),
        ("valid_from", "", "Fill this in."),
        ("valid_from", "soon", "2026-01-12"),
        ("valid_from", "2026-02-30", "not in the calendar"),
    ],
)
def test_refuses_by_the_field(
    keeper: Visitor, sqlite_database: Database, field: str, typed: str, sentence: str
) -> None:
    answer = keeper.post("/trays", {**TRAY, field: typed})
    page = parsed(answer)
    assert answer.status_code == 422
    assert sentence in error_at(page, field)
    kept = next(name for name in ("name", "counts") if name != field)
    assert typed_in(page, kept) == TRAY[kept]
    assert trays(sqlite_database) == []


def test_a_second_row_of_a_day_is_refused(keeper: Visitor, sqlite_database: Database) -> None:
    answers = [keeper.post("/trays", TRAY).status_code for _ in range(2)]
    assert answers == [303, 422]
    assert len(trays(sqlite_database)) == 1


def test_the_same_form_twice_stores_once(keeper: Visitor, sqlite_database: Database) -> None:
    assert [keeper.post("/trays", {**TRAY, "form_key": "k"}).status_code for _ in range(2)] == [303, 303]
    assert len(trays(sqlite_database)) == 1


@pytest.mark.parametrize("tray", ["0", "77", "none", "9" * 25])
def test_an_unknown_tray_cannot_be_replaced(keeper: Visitor, tray: str) -> None:
    assert keeper.get(f"/trays/new?replacing={tray}").status_code == 404


@pytest.mark.parametrize("role", [Role.SUPERVISOR, Role.GRADER, Role.GROWER])
def test_who_sells_nothing_sees_no_trays(sqlite_database: Database, role: Role) -> None:
    someone = visitor(sqlite_database, role)
    assert someone.get("/trays").status_code == 403
    assert someone.post("/trays", TRAY).status_code == 403


def test_the_marketer_sees_trays_and_keeps_none(sqlite_database: Database) -> None:
    marketer = visitor(sqlite_database, Role.MARKETER)
    page = parsed(marketer.get("/trays"))
    assert "/trays/new" not in str(page)
    assert [marketer.get("/trays/new").status_code, marketer.post("/trays", TRAY).status_code] == [403, 403]
    assert trays(sqlite_database) == []


def test_a_form_from_another_site_is_refused(keeper: Visitor, sqlite_database: Database) -> None:
    assert keeper.post("/trays", TRAY, headers={"origin": "http://elsewhere.example"}).status_code == 403
    assert trays(sqlite_database) == []
