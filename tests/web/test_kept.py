"""A form that meets an ended sign-in or a locking tablet is kept for its person, and put back once they are in."""

from datetime import UTC, datetime, timedelta
from urllib.parse import urlencode

import pytest
from fastapi import FastAPI
from httpx2 import Response
from sqlmodel import select

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from shedgrade.storage.tables import Docket, Grower, SignIn
from shedgrade.web.coming_late import form_page
from shedgrade.web.kept import KEPT_FOR, KeptForm, KeptForms
from shedgrade.web.pages import KEPT_COOKIE
from tests.support.intake import Dock, stored_dock, truck_form
from tests.support.signing import PASSWORD, PIN, Watch, somebody, tablet
from tests.support.visitor import Visitor, one, parsed, typed_in, words


@pytest.fixture
def ids(sqlite_database: Database) -> Dock:
    return stored_dock(sqlite_database)


@pytest.fixture
def sue(sqlite_database: Database, ids: Dock) -> int:
    return somebody(sqlite_database, "Sue Marsh", Role.SUPERVISOR, password=PASSWORD, pin=PIN)


@pytest.fixture
def bo(sqlite_database: Database, ids: Dock) -> int:
    return somebody(sqlite_database, "Bo Ferris", Role.SUPERVISOR, password=PASSWORD, pin=PIN)


@pytest.fixture
def maren(sqlite_database: Database) -> int:
    return somebody(sqlite_database, "Maren Holt", Role.MANAGER, password=PASSWORD, pin=PIN)


@pytest.fixture
def dock(sqlite_database: Database, sue: int, watch: Watch) -> Visitor:
    """The tablet at the dock, with Sue."""
    there = tablet(sqlite_database, sue)
    by_pin(there, sue)
    return there


@pytest.fixture
def phone(sqlite_database: Database, sue: int, watch: Watch) -> Visitor:
    there = Visitor(sqlite_database, None)
    by_password(there)
    return there


def by_pin(there: Visitor, person: int, after: str = "/") -> Response:
    return there.post("/sign-in/pin", {"person": person, "pin": PIN, "next": after})


def by_password(there: Visitor, name: str = "Sue Marsh", after: str = "/") -> Response:
    return there.post("/sign-in", {"name": name, "password": PASSWORD, "next": after})


def after(door: str, there: Visitor) -> str:
    return typed_in(parsed(there.get(door)), "next")


def nothing_waits(there: Visitor) -> bool:
    return "had typed" not in words(parsed(there.get("/sign-in")))


def left(there: Visitor, person: int, page: str, *forms: tuple[str, dict[str, str]]) -> Response:
    """As the page's own script tells when it is left."""
    typed = {"action": [action for action, _ in forms], "typed": [urlencode(fields) for _, fields in forms]}
    return there.post("/half-typed", {"whose": str(person), "next": page, **typed})


def locked(there: Visitor, person: int, page: str, *forms: tuple[str, dict[str, str]], **headers: str) -> Response:
    """As the page's own script locks it."""
    left(there, person, page, *forms)
    return there.post("/locking", {"next": page, "why": "locked"}, headers=headers)


def end_all(database: Database) -> None:
    with database.writing() as session:
        for row in session.exec(select(SignIn)):
            row.ended_at, row.ended_by_id = datetime.now(UTC), row.person_id
            session.add(row)
        session.commit()


def dockets(database: Database) -> int:
    with database.reading() as session:
        return len(session.exec(select(Docket)).all())


# Without a script: the form is sent, and meets an ended sign-in.


def test_a_load_sent_after_the_sign_in_was_ended_is_put_back(
    phone: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    end_all(sqlite_database)
    late = phone.post("/dockets", truck_form(ids), headers={"referer": "http://testserver/dockets/new"})
    assert late.status_code == 303
    door = parsed(phone.get(late.headers["location"]))
    assert "Your sign-in had ended" in words(door)
    assert "What Sue Marsh had typed was not saved. Sign in as Sue Marsh, and it is put back" in words(door)
    on = by_password(phone, after=typed_in(door, "next")).headers["location"]
    page = parsed(phone.get(on))
    assert "Nothing of it was saved yet." in words(page, "form .notice")
    typed = truck_form(ids)
    for name in ("number", "truck", "received", "block", "market", "picked-from", "team", "gross-2", "labels-2"):
        assert typed_in(page, name) == typed[name]
    assert one(page, '[name="part-2"]').has_attr("checked")
    assert not one(page, '[name="part-1"]').has_attr("checked")
    assert dockets(sqlite_database) == 0


def test_it_is_put_back_once(phone: Visitor, ids: Dock, sqlite_database: Database) -> None:
    end_all(sqlite_database)
    phone.post("/dockets", truck_form(ids))
    by_password(phone)
    assert typed_in(parsed(phone.get("/dockets/new")), "team") == "Night team"
    assert typed_in(parsed(phone.get("/dockets/new")), "team") == ""


def test_a_refused_load_with_more_rows_comes_back_with_all_of_them(
    phone: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    """The page at /dockets answers a form: it cannot be asked for, so the empty form with so many rows is."""
    end_all(sqlite_database)
    form = truck_form(ids, rows="9", bins_9="1", gross_9="433")
    late = phone.post("/dockets", form, headers={"referer": "http://testserver/dockets"})
    on = after(late.headers["location"], phone)
    assert on == "/dockets/new?market=1&rows=9"
    by_password(phone)
    assert typed_in(parsed(phone.get(on)), "gross-9") == "433"


def test_a_sign_in_that_ran_out_keeps_it_too(phone: Visitor, ids: Dock, watch: Watch) -> None:
    watch.on(days=30, hours=2)
    door = phone.post("/dockets", truck_form(ids)).headers["location"]
    assert door == "/sign-in?next=/dockets/new%3Fmarket%3D1%26rows%3D6&why=ended"
    by_password(phone)
    assert typed_in(parsed(phone.get("/dockets/new")), "team") == "Night team"


def test_an_idle_tablet_keeps_it_too(dock: Visitor, sue: int, ids: Dock, watch: Watch) -> None:
    watch.on(minutes=30)
    late = dock.post("/dockets", truck_form(ids), headers={"referer": "http://testserver/dockets/new"})
    assert late.headers["location"] == "/sign-in?next=/dockets/new&why=locked"
    assert "What Sue Marsh had typed was not saved." in words(parsed(dock.get(late.headers["location"])))
    dock.post("/sign-in/tapped", {"person": sue})
    assert typed_in(parsed(dock.get("/dockets/new")), "team") == "Night team"


def test_a_part_of_a_page_keeps_it_and_leads_the_whole_page_to_the_door(
    phone: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    end_all(sqlite_database)
    answer = phone.post(
        "/dockets", truck_form(ids), headers={"hx-request": "true", "referer": "http://testserver/dockets/new"}
    )
    assert (answer.status_code, answer.headers["hx-redirect"]) == (204, "/sign-in?next=/dockets/new&why=ended")
    by_password(phone)
    assert typed_in(parsed(phone.get("/dockets/new")), "team") == "Night team"


def test_nobody_else_sees_it(dock: Visitor, sue: int, bo: int, ids: Dock, watch: Watch) -> None:
    watch.on(minutes=30)
    dock.post("/dockets", truck_form(ids))
    by_pin(dock, bo)
    assert "Night team" not in dock.get("/dockets/new").text
    dock.post("/sign-in/tapped", {"person": sue})
    assert typed_in(parsed(dock.get("/dockets/new")), "team") == "Night team"


def test_nor_the_same_person_elsewhere(dock: Visitor, phone: Visitor, ids: Dock, watch: Watch) -> None:
    """A stolen token puts nothing into its owner's forms."""
    watch.on(minutes=30)
    dock.post("/dockets", truck_form(ids))
    assert "Night team" not in phone.get("/dockets/new").text
    assert "had typed" not in words(parsed(Visitor(phone.client.app.state.shed.database, None).get("/sign-in")))  # type: ignore[attr-defined]


def test_of_nobody_nothing_is_kept(phone: Visitor, ids: Dock) -> None:
    phone.post("/sign-out")
    late = phone.post("/dockets", truck_form(ids))
    assert late.headers["location"] == "/sign-in"
    assert nothing_waits(phone)


def test_a_new_password_is_never_kept(phone: Visitor, sqlite_database: Database) -> None:
    end_all(sqlite_database)
    phone.post("/me/password", {"now": PASSWORD, "new_password": "nine wet tarpaulins", "again": "nine wet tarpaulins"})
    assert nothing_waits(phone)


def test_what_holds_the_browser_together_is_out_of_reach(phone: Visitor, ids: Dock, sqlite_database: Database) -> None:
    end_all(sqlite_database)
    late = phone.post("/dockets", truck_form(ids))
    cookie = next(line.lower() for line in late.headers.get_list("set-cookie") if line.startswith(KEPT_COOKIE))
    assert all(part in cookie for part in ("httponly", "samesite=lax", f"max-age={12 * 3600};"))


def test_a_stale_form_put_back_is_still_stale(sqlite_database: Database, maren: int, ids: Dock) -> None:
    phone, desk = Visitor(sqlite_database, maren), Visitor(sqlite_database, maren)
    form = {
        "name": "Tallow",
        "contact": "by the creek",
        "version": typed_in(parsed(phone.get("/growers/1")), "version"),
    }
    desk.post("/growers/1", {**form, "name": "Ridge"})
    end_all(sqlite_database)
    phone.post("/growers/1", form)
    by_password(phone, "Maren Holt")
    back = parsed(phone.get("/growers/1"))
    assert (typed_in(back, "name"), typed_in(back, "version")) == ("Tallow", form["version"])
    assert phone.post("/growers/1", {**form, "version": typed_in(back, "version")}).status_code == 409
    with sqlite_database.reading() as session:
        assert session.get_one(Grower, 1).name == "Ridge"


# With a script: the tablet locks by itself, and the half-typed forms of its page come along.


def test_a_half_typed_load_comes_back_after_the_lock(dock: Visitor, sue: int, ids: Dock, watch: Watch) -> None:
    watch.on(minutes=10)
    half = {"number": "1042", "team": "Night team", "rows": "6", "gross-1": "440"}
    answer = locked(dock, sue, "/dockets/new", ("/dockets", half), **{"hx-request": "true"})
    door = answer.headers["hx-redirect"]
    assert (answer.status_code, door) == (204, "/sign-in?next=/dockets/new&why=locked")
    said = words(parsed(dock.get(door)))
    assert "Locked: nobody had touched this tablet for a while." in said
    assert "Sign in as Sue Marsh, and it is put back" in said
    assert dock.get("/specs").headers["location"] == "/sign-in?next=/specs&why=locked"
    assert dock.post("/sign-in/tapped", {"person": sue, "next": "/dockets/new"}).headers["location"] == "/dockets/new"
    page = parsed(dock.get("/dockets/new"))
    assert [typed_in(page, name) for name in ("number", "team", "gross-1")] == ["1042", "Night team", "440"]


@pytest.mark.parametrize("role", [Role.SUPERVISOR, Role.MANAGER])
def test_another_window_of_the_tablet_keeps_its_form_too(
    sqlite_database: Database, ids: Dock, watch: Watch, role: Role
) -> None:
    kim = somebody(sqlite_database, "Kim", role, pin=PIN)
    there = tablet(sqlite_database, kim)
    by_pin(there, kim)
    watch.on(minutes=10)
    locked(there, kim, "/specs")
    locked(there, kim, "/bins/new", ("/bins", {"name": "Half bin"}))
    late = there.post("/dockets", truck_form(ids))
    assert "What Kim had typed was not saved." in words(parsed(there.get(late.headers["location"])))
    there.post("/sign-in/tapped", {"person": kim})
    by_pin(there, kim)
    assert typed_in(parsed(there.get("/bins/new")), "name") == "Half bin"
    assert typed_in(parsed(there.get("/dockets/new")), "team") == "Night team"
    assert dockets(sqlite_database) == 0


def test_several_forms_of_a_page_come_back_together(sqlite_database: Database, maren: int, watch: Watch) -> None:
    office = tablet(sqlite_database, maren)
    by_pin(office, maren)
    forms = [("/people/1", {"name": "Maren Holt-Quill", "roles": "manager"}), ("/tablets", {"name": "Bench 9"})]
    locked(office, maren, "/people/1", *forms)
    by_pin(office, maren)
    assert typed_in(parsed(office.get("/people/1")), "name") == "Maren Holt-Quill"


@pytest.mark.parametrize(
    "posted",
    [
        {},
        {"action": "/dockets"},
        {"typed": "team=x"},
        {"action": "https://elsewhere.example/dockets", "typed": "team=x"},
        {"action": "/dockets", "typed": "&".join(["a=1"] * 3_000)},
        {"action": "/dockets", "typed": "team=" + "x" * 200_000},
        {"action": "/dockets", "typed": "team=x", "whose": "77"},
        {"action": "/dockets", "typed": "team=x", "whose": "none"},
    ],
)
def test_what_is_no_form_of_ours_or_of_somebody_else_is_not_kept(
    dock: Visitor, sue: int, posted: dict[str, str]
) -> None:
    assert dock.post("/half-typed", {"whose": str(sue), **posted}).status_code == 204
    assert nothing_waits(dock)


@pytest.mark.parametrize("posted", [{}, {"next": "//elsewhere.example", "why": "<b>"}])
def test_it_locks_whatever_comes_along(dock: Visitor, posted: dict[str, str]) -> None:
    assert dock.post("/locking", posted).headers["location"] == "/sign-in"
    assert dock.get("/specs").headers["location"].startswith("/sign-in")


def test_locking_what_is_locked_is_no_fault(dock: Visitor, sue: int) -> None:
    assert [locked(dock, sue, "/specs").status_code for _ in range(2)] == [303, 303]


# A page is left with a form half-typed.

HALF = {"number": "1042", "team": "Night team", "rows": "6"}


@pytest.mark.parametrize("out", ["/locking", "/sign-out"])
def test_whoever_leaves_by_themselves_is_led_back_to_it(dock: Visitor, sue: int, bo: int, ids: Dock, out: str) -> None:
    left(dock, sue, "/dockets/new", ("/dockets", HALF))
    dock.get("/me")
    dock.post(out)
    assert "Sign in as Sue Marsh, and it is put back" in words(parsed(dock.get("/sign-in")))
    assert by_pin(dock, bo, "/dockets/new").headers["location"] == "/dockets/new"
    assert "Night team" not in dock.get("/dockets/new").text
    assert by_pin(dock, sue, "/specs").headers["location"] == "/dockets/new"
    assert typed_in(parsed(dock.get("/dockets/new")), "team") == "Night team"
    assert dockets(dock.client.app.state.shed.database) == 0  # type: ignore[attr-defined]


def test_whoever_stays_in_finds_it_on_its_page_and_can_empty_it(phone: Visitor, sue: int, ids: Dock) -> None:
    left(phone, sue, "/dockets/new?rows=6", ("/dockets", HALF))
    page = parsed(phone.get("/dockets/new?rows=6"))
    assert typed_in(page, "team") == "Night team"
    anew = one(page, "[data-empty-form]")
    assert (words(page, "[data-empty-form]"), anew["href"]) == ("Empty the form", "/dockets/new?rows=6")
    assert typed_in(parsed(phone.get(str(anew["href"]))), "team") == ""


def test_it_is_kept_after_the_sign_in_was_ended_elsewhere(
    phone: Visitor, sue: int, ids: Dock, sqlite_database: Database
) -> None:
    end_all(sqlite_database)
    assert left(phone, sue, "/dockets/new", ("/dockets", HALF)).status_code == 204
    assert phone.get("/specs").headers["location"] == "/sign-in?next=/specs&why=ended"
    assert by_password(phone, after="/specs").headers["location"] == "/dockets/new"
    assert typed_in(parsed(phone.get("/dockets/new")), "team") == "Night team"


def test_of_nobody_no_half_typed_form_is_kept(phone: Visitor, sue: int) -> None:
    phone.post("/sign-out")
    assert left(phone, sue, "/dockets/new", ("/dockets", HALF)).headers["location"] == "/sign-in"
    assert nothing_waits(phone)


def test_another_sites_page_hands_nothing_in(phone: Visitor, sue: int) -> None:
    posted = {"whose": str(sue), "next": "/dockets/new", "action": "/dockets", "typed": "team=x"}
    answer = phone.post("/half-typed", posted, headers={"origin": "http://elsewhere.example"})
    assert answer.status_code == 403
    assert nothing_waits(phone)


def test_what_was_sent_is_not_put_back(sqlite_database: Database, maren: int) -> None:
    office = Visitor(sqlite_database, maren)
    left(office, maren, "/growers/new", ("/growers", {"name": "Tallow"}))
    assert office.post("/growers", {"name": "Tallow Creek"}).status_code == 303
    assert typed_in(parsed(office.get("/growers/new")), "name") == ""


def test_of_several_the_newest_leads_and_only_once(dock: Visitor, sue: int, ids: Dock) -> None:
    left(dock, sue, "/dockets/new", ("/dockets", HALF))
    left(dock, sue, "/bins/new", ("/bins", {"name": "Half bin"}))
    dock.post("/locking")
    assert by_pin(dock, sue).headers["location"] == "/bins/new"
    dock.post("/locking")
    assert by_pin(dock, sue, "/specs").headers["location"] == "/specs"
    assert typed_in(parsed(dock.get("/dockets/new")), "team") == "Night team"


def test_passwords_and_pins_are_said_to_be_typed_again(sqlite_database: Database, maren: int) -> None:
    office, again = Visitor(sqlite_database, maren), "Passwords and PINs were not kept: type them again."
    left(office, maren, "/people/new", ("/people", {"name": "Bo", "pin": PIN, "password": PASSWORD}))
    page = parsed(office.get("/people/new"))
    assert again in words(page, "form .notice")
    assert (typed_in(page, "name"), typed_in(page, "pin"), typed_in(page, "password")) == ("Bo", "", "")
    left(office, maren, "/growers/new", ("/growers", {"name": "Tallow"}))
    assert again not in words(parsed(office.get("/growers/new")), "form .notice")


# Where the form is found again.


@pytest.mark.parametrize(
    ("action", "fields", "came_from", "page"),
    [
        ("/dockets", {}, "/dockets/new", "/dockets/new"),
        ("/dockets", {"rows": "9"}, "/dockets", "/dockets/new?rows=9"),
        ("/dockets/3/consignments", {"rows": "9"}, "/dockets/3/consignments", "/dockets/3/consignments/new?rows=9"),
        ("/growers", {}, "/growers", "/growers/new"),
        ("/growers/3", {}, "/growers/3", "/growers/3"),
        ("/blocks", {"grower": "2"}, "/", "/blocks/new?grower=2"),
        ("/blocks/3", {}, "/blocks/3", "/blocks/3/edit"),
        ("/markets/3", {}, "/markets/3", "/markets/3/edit"),
        ("/settings/keeping-years", {}, "/settings/keeping-years", "/settings/keeping-years/new"),
        ("/consignments/3/voiding", {}, "/consignments/3/voiding", "/consignments/3"),
        ("/consignments/3/empties", {}, "/consignments/3/empties", "/consignments/3/empties"),
        ("/consignments/3/samples", {}, "/consignments/3/packout", "/consignments/3/packout"),
        ("/quotes", {"market": "1", "tray": "2", "buyer": "x"}, "/quotes", "/quotes/new?market=1&tray=2"),
        ("/nothing", {}, "/nothing", "/"),
    ],
)
def test_the_page_of_a_form(
    sqlite_database: Database, action: str, fields: dict[str, str], came_from: str, page: str
) -> None:
    app = Visitor(sqlite_database, None).client.app
    assert isinstance(app, FastAPI)
    assert form_page(app, KeptForm(action, tuple(fields.items())), came_from) == page


# How long, and how much.

NOON = datetime(2026, 1, 12, 12, tzinfo=UTC)
FORM, OTHER = KeptForm("/a", (("x", "1"),)), KeptForm("/b", (("x", "1"),))


def test_it_is_forgotten_after_a_shift() -> None:
    kept = KeptForms()
    kept.keep("browser", (1, "Ada"), [FORM], NOON)
    assert kept.of("browser", 1, NOON + KEPT_FOR) == (FORM,)
    assert kept.waiting("browser", NOON + KEPT_FOR) == ["Ada"]
    assert kept.of("browser", 1, NOON + KEPT_FOR + timedelta(seconds=1)) == ()


def test_the_last_of_an_address_counts_and_the_others_stay() -> None:
    kept, newer = KeptForms(), KeptForm("/a", (("x", "2"),))
    kept.keep("browser", (1, "Ada"), [FORM, OTHER], NOON)
    kept.keep("browser", (1, "Ada"), [newer], NOON)
    assert kept.of("browser", 1, NOON) == (OTHER, newer)
    kept.drop("browser", 1, newer.action)
    assert kept.of("browser", 1, NOON) == (OTHER,)
    assert (kept.of("browser", 2, NOON), kept.of("other", 1, NOON), kept.waiting("", NOON)) == ((), (), [])


def test_of_very_many_the_oldest_go() -> None:
    kept = KeptForms()
    for number in range(300):
        kept.keep(f"browser {number}", (1, "Ada"), [FORM], NOON)
    assert kept.of("browser 99", 1, NOON) == ()
    assert kept.of("browser 100", 1, NOON) == (FORM,)
