"""Bin types and tares: the pages, and everything they refuse."""

from datetime import UTC, date, datetime, timedelta

import pytest
from sqlmodel import col, select

from shedgrade.actions.intake import TareFacts, add_tare
from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from shedgrade.storage.tables import BinType, Tare
from tests.support.intake import Dock, stored_dock
from tests.support.visitor import Visitor, error_at, one, parsed, typed_in, visitor, words

TARE = {"weighed-on": "2026-01-10", "state": "dry", "empties": "12", "total": "460.5"}


@pytest.fixture
def ids(sqlite_database: Database) -> Dock:
    return stored_dock(sqlite_database)


@pytest.fixture
def supervisor(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.SUPERVISOR)


def bin_types(database: Database) -> list[str]:
    with database.reading() as session:
        return [each.name for each in session.exec(select(BinType).order_by(BinType.name))]


def tares(database: Database) -> list[Tare]:
    with database.reading() as session:
        return list(session.exec(select(Tare).order_by(col(Tare.id))))


def test_an_empty_page_teaches_and_offers_the_first_step(supervisor: Visitor) -> None:
    page = parsed(supervisor.get("/bins"))
    assert "The net is gross less that tare." in words(page)
    assert one(page, "main a.act")["href"] == "/bins/new"


def test_the_tare_in_force_is_said_with_its_n_and_day(supervisor: Visitor, ids: Dock) -> None:
    page = parsed(supervisor.get("/bins"))
    assert words(page, "h1") == "1 bin type, with a dry tare"
    assert words(page, ".figure") == "Tare taken off today 40.0 kg weighed mean of 5 dry empties, Thu 1 Jan 2026"
    assert words(page, "tbody") == "Thu 1 Jan 2026 dry 5 200.0 kg 40.0 kg Dock"


def test_a_wet_tare_is_listed_and_not_taken_off(supervisor: Visitor, ids: Dock, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        add_tare(session, ids.bin_type, TareFacts(date(2026, 1, 12), 2, 86_000, wet=True), ids.person)
        session.commit()
    page = parsed(supervisor.get("/bins"))
    assert "40.0 kg" in words(page, ".figure")
    assert words(page, "tbody").startswith("Mon 12 Jan 2026 wet 2 86.0 kg 43.0 kg Dock")


def test_a_bin_type_is_added_and_its_first_tare_comes_next(supervisor: Visitor, sqlite_database: Database) -> None:
    answer = supervisor.post("/bins", {"name": "  Timber   bin "})
    assert bin_types(sqlite_database) == ["Timber bin"]
    assert (answer.status_code, answer.headers["location"]) == (303, "/bins/1/tares/new")
    page = parsed(supervisor.get("/bins"))
    assert words(page, "h1") == "Timber bin: no dry tare yet, so nothing can be received in it"
    assert typed_in(parsed(supervisor.get("/bins/1/tares/new")), "weighed-on") == f"{datetime.now(UTC):%Y-%m-%d}"


def test_a_tare_is_added_with_who_weighed_it(supervisor: Visitor, ids: Dock, sqlite_database: Database) -> None:
    answer = supervisor.post(f"/bins/{ids.bin_type}/tares", TARE)
    assert (answer.status_code, answer.headers["location"]) == (303, "/bins")
    tare = tares(sqlite_database)[-1]
    assert (tare.bin_type_id, tare.weighed_on, tare.state) == (ids.bin_type, date(2026, 1, 10), "dry")
    assert (tare.empties, tare.total_g) == (12, 460_500)
    page = parsed(supervisor.get("/bins"))
    assert "38.4 kg weighed mean of 12 dry empties, Sat 10 Jan 2026" in words(page, ".figure")
    assert "line supervisor" in words(page, "tbody")


@pytest.mark.parametrize(
    ("name", "sentence"),
    [
        ("", "Fill this in."),
        ("x" * 61, "at most 60 fit"),
        ("Half-ton plastic", "There is a bin type called Half-ton plastic already. Give another name."),
    ],
)
def test_refuses_a_bin_type_by_the_field(
    supervisor: Visitor, ids: Dock, sqlite_database: Database, name: str, sentence: str
) -> None:
    answer = supervisor.post("/bins", {"name": name})
    page = parsed(answer)
    assert answer.status_code == 422
    assert sentence in error_at(page, "name")
    assert typed_in(page, "name") == name
    assert bin_types(sqlite_database) == ["Half-ton plastic"]


@pytest.mark.parametrize(
    ("name", "typed", "sentence"),
    [
        ("weighed-on", "", "Fill this in."),
        ("weighed-on", "10/01/2026", "written year-month-day"),
        ("weighed-on", "2199-01-01", "is still to come; a day up to"),
        ("state", "", "Choose one."),
        ("state", "damp", "not one of the choices"),
        ("empties", "", "Fill this in."),
        ("empties", "0", "a whole number from 1 to 500 is accepted"),
        ("empties", "a few", "is not a number"),
        ("total", "", "Fill this in."),
        ("total", "-3", "less than nothing"),
        ("total", "0.46", "That makes 0.0 kg an empty; from 0.5 kg to 500 kg an empty is accepted."),
        ("total", "46000", "That makes 3 833.3 kg an empty"),
    ],
)
def test_refuses_a_tare_by_the_field(
    supervisor: Visitor, ids: Dock, sqlite_database: Database, name: str, typed: str, sentence: str
) -> None:
    answer = supervisor.post(f"/bins/{ids.bin_type}/tares", TARE | {name: typed})
    page = parsed(answer)
    assert answer.status_code == 422
    assert sentence in error_at(page, name)
    if name != "state":
        assert typed_in(page, name) == typed
    kept = "total" if name != "total" else "empties"
    assert typed_in(page, kept) == TARE[kept]
    assert len(tares(sqlite_database)) == 1


def test_today_is_the_sheds_own(ids: Dock, sqlite_database: Database) -> None:
    ahead = visitor(sqlite_database, Role.SUPERVISOR, clock_shift=timedelta(days=2))
    day_after = f"{datetime.now(UTC) + timedelta(days=2):%Y-%m-%d}"
    assert ahead.post(f"/bins/{ids.bin_type}/tares", TARE | {"weighed-on": day_after}).status_code == 303


def test_the_same_form_twice_stores_once(supervisor: Visitor, ids: Dock, sqlite_database: Database) -> None:
    keyed = {"form_key": "one sheet of paper"}
    assert [supervisor.post(f"/bins/{ids.bin_type}/tares", TARE | keyed).status_code for _ in range(2)] == [303, 303]
    assert len(tares(sqlite_database)) == 2
    named = {"name": "Crate", "form_key": "another sheet"}
    assert [supervisor.post("/bins", named).status_code for _ in range(2)] == [303, 303]
    assert bin_types(sqlite_database) == ["Crate", "Half-ton plastic"]


@pytest.mark.parametrize("bin_type_id", ["4711", "0", "99999999999", "x"])
def test_an_unknown_bin_type_is_not_here(supervisor: Visitor, ids: Dock, bin_type_id: str) -> None:
    assert supervisor.get(f"/bins/{bin_type_id}/tares/new").status_code == 404
    assert supervisor.post(f"/bins/{bin_type_id}/tares", TARE).status_code == 404


@pytest.mark.parametrize("role", [Role.GRADER, Role.MARKETER, Role.GROWER])
def test_only_who_receives_may_change(ids: Dock, sqlite_database: Database, role: Role) -> None:
    someone = visitor(sqlite_database, role, grower_id=ids.grower if role is Role.GROWER else None)
    assert someone.get("/bins").status_code == (403 if role is Role.GROWER else 200)
    assert someone.get("/bins/new").status_code == 403
    assert someone.post("/bins", {"name": "Crate"}).status_code == 403
    assert someone.get(f"/bins/{ids.bin_type}/tares/new").status_code == 403
    assert someone.post(f"/bins/{ids.bin_type}/tares", TARE).status_code == 403
    assert (bin_types(sqlite_database), len(tares(sqlite_database))) == (["Half-ton plastic"], 1)


def test_who_may_not_change_is_offered_nothing_to_press(ids: Dock, sqlite_database: Database) -> None:
    grader = visitor(sqlite_database, Role.GRADER)
    assert parsed(grader.get("/bins")).select("main .button") == []


def test_a_form_from_another_site_is_refused(supervisor: Visitor, ids: Dock, sqlite_database: Database) -> None:
    elsewhere = {"origin": "http://elsewhere.example"}
    assert supervisor.post("/bins", {"name": "Crate"}, headers=elsewhere).status_code == 403
    assert supervisor.post(f"/bins/{ids.bin_type}/tares", TARE, headers=elsewhere).status_code == 403
    assert (bin_types(sqlite_database), len(tares(sqlite_database))) == (["Half-ton plastic"], 1)
