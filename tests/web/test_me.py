"""One's own page: a new password, a new PIN."""

import pytest
from bs4 import BeautifulSoup
from sqlmodel import select

from shedgrade.domain.people import Role
from shedgrade.domain.sign_in import FREE_FAILURES, PASSWORD_RULE, PIN_RULE
from shedgrade.storage.database import Database
from shedgrade.storage.tables import Change, PersonRow
from shedgrade.web.whoami import COOKIE
from tests.support.signing import PASSWORD, PIN, WRONG_PIN, Watch, somebody, tablet
from tests.support.visitor import Visitor, error_at, one, parsed, words

NEW = "four dry avocado bins"


@pytest.fixture
def ada(sqlite_database: Database) -> int:
    return somebody(sqlite_database, "Ada Birch", Role.GRADER, password=PASSWORD, pin=PIN)


@pytest.fixture
def phone(sqlite_database: Database, ada: int) -> Visitor:
    return Visitor(sqlite_database, ada)


def new_password(now: str = PASSWORD, new: str = NEW, again: str = NEW) -> dict[str, str]:
    return {"now": now, "new_password": new, "again": again}


def new_pin(now: str = PASSWORD, new: str = "820461", again: str = "820461") -> dict[str, str]:
    return {"now": now, "new_pin": new, "again": again}


def hashes(database: Database, person_id: int) -> tuple[str, str]:
    with database.reading() as session:
        row = session.get_one(PersonRow, person_id)
        return row.password_hash, row.pin_hash


def test_the_name_in_the_header_leads_to_it(phone: Visitor) -> None:
    assert one(parsed(phone.get("/specs")), ".person")["href"] == "/me"
    page = parsed(phone.get("/me"))
    assert words(page, "h1") == "You are Ada Birch"
    assert "Grader, on a test's browser." in words(page)
    assert words(page, "#f-password-new_password-hint") == PASSWORD_RULE
    assert words(page, "#f-pin-new_pin-hint") == PIN_RULE
    assert [form["action"] for form in page.select("main form")] == ["/sign-out", "/me/password", "/me/pin"]


def test_a_new_password_works_and_the_old_one_no_more(phone: Visitor, sqlite_database: Database, ada: int) -> None:
    elsewhere = Visitor(sqlite_database, ada)
    answer = phone.post("/me/password", new_password())
    assert (answer.status_code, answer.headers["location"]) == (303, "/me?done=password")
    assert "Your new password is stored." in words(parsed(phone.get("/me?done=password")))
    assert elsewhere.get("/me").status_code == 303
    stranger = Visitor(sqlite_database, None)
    assert stranger.post("/sign-in", {"name": "Ada Birch", "password": PASSWORD}).status_code == 422
    assert stranger.post("/sign-in", {"name": "Ada Birch", "password": NEW}).status_code == 303


def test_the_change_is_told_without_the_secret(phone: Visitor, sqlite_database: Database, ada: int) -> None:
    phone.post("/me/password", new_password())
    phone.post("/me/pin", new_pin(now=NEW))
    with sqlite_database.reading() as session:
        told = session.exec(select(Change).where(Change.person_id == ada)).all()
    assert [(change.noun, change.row_id, change.device) for change in told] == [("person", ada, "a test's browser")] * 2
    text = "".join(change.before + change.after for change in told)
    assert all(secret not in text for secret in (*hashes(sqlite_database, ada), NEW, "820461"))


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        (new_password(now="wrong"), "now", "That is not it."),
        (new_password(now=""), "now", "Fill this in."),
        (new_password(new="short", again="short"), "new_password", "Use 10 to 200"),
        (new_password(new="", again=""), "new_password", "Fill this in."),
        (new_password(again="other words altogether"), "again", "Type both again."),
    ],
)
def test_refuses_a_password_by_the_field(
    phone: Visitor, sqlite_database: Database, ada: int, typed: dict[str, str], field: str, sentence: str
) -> None:
    before = hashes(sqlite_database, ada)
    answer = phone.post("/me/password", typed)
    page = parsed(answer)
    assert answer.status_code == 422
    assert sentence in error_at(page, field)
    assert one(page, ".errors a")["href"] == f"#f-{field}"
    assert all(value not in answer.text for value in typed.values() if value)
    assert hashes(sqlite_database, ada) == before


@pytest.mark.parametrize("pin", ["12345", "123456", "4028a7", ""])
def test_refuses_a_pin_by_the_field(phone: Visitor, sqlite_database: Database, ada: int, pin: str) -> None:
    before = hashes(sqlite_database, ada)
    answer = phone.post("/me/pin", new_pin(new=pin, again=pin))
    assert answer.status_code == 422
    assert error_at(parsed(answer), "new_pin")
    assert hashes(sqlite_database, ada) == before


def test_a_new_pin_is_asked_for_by_other_tablets_at_once(phone: Visitor, sqlite_database: Database, ada: int) -> None:
    bench = tablet(sqlite_database, ada)
    bench.post("/sign-in/pin", {"person": ada, "pin": PIN})
    assert phone.post("/me/pin", new_pin()).headers["location"] == "/me?done=pin"
    assert bench.get("/me").headers["location"].startswith("/sign-in")
    assert bench.post("/sign-in/pin", {"person": ada, "pin": PIN}).status_code == 422
    assert bench.post("/sign-in/pin", {"person": ada, "pin": "820461"}).status_code == 303


def test_without_a_password_the_pin_proves_who_it_is(sqlite_database: Database, ada: int) -> None:
    bo = somebody(sqlite_database, "Bo", pin=PIN)
    bench = tablet(sqlite_database, ada)
    bench.post("/sign-in/pin", {"person": bo, "pin": PIN})
    page = parsed(bench.get("/me"))
    assert "Your PIN now" in words(page)
    assert page.select('form[action="/me/password"]') == []
    assert bench.post("/me/pin", new_pin(now=WRONG_PIN)).status_code == 422
    assert bench.post("/me/pin", new_pin(now="402 817")).status_code == 303
    assert bench.get("/me").status_code == 200


def test_a_tablet_offers_somebody_else(sqlite_database: Database, ada: int, phone: Visitor) -> None:
    bench = tablet(sqlite_database, ada)
    bench.post("/sign-in/pin", {"person": ada, "pin": PIN})
    assert buttons(parsed(bench.get("/me"))) == [
        "Hand over: the next person taps a name",
        "Sign out: asks your PIN again",
    ]
    assert "a tap on your name is enough until your shift is over" in words(parsed(bench.get("/me")))
    assert buttons(parsed(phone.get("/me"))) == ["Sign out: asks your password again"]
    assert "a tap" not in words(parsed(phone.get("/me")))


def buttons(page: BeautifulSoup) -> list[str]:
    return [each.get_text(strip=True) for each in page.select(".button-row .post-button button")]


def test_who_opens_more_than_the_bench_is_told_that_the_pin_is_asked_each_time(
    sqlite_database: Database, ada: int
) -> None:
    maren = somebody(sqlite_database, "Maren Holt", Role.MANAGER, pin=PIN)
    office = tablet(sqlite_database, ada)
    office.post("/sign-in/pin", {"person": maren, "pin": PIN})
    assert "your PIN is asked again" in words(parsed(office.get("/me")))


def test_guessing_the_password_here_is_slowed_as_at_the_door(
    phone: Visitor, watch: Watch, verified: list[str], sqlite_database: Database
) -> None:
    for _ in range(FREE_FAILURES):
        phone.post("/me/password", new_password(now="wrong"))
    answer = phone.post("/me/password", new_password())
    assert (answer.status_code, answer.headers["retry-after"]) == (429, "2")
    assert "Too many tries. Wait 2 seconds." in error_at(parsed(answer), "now")
    assert len(verified) == FREE_FAILURES
    door = Visitor(sqlite_database, None)
    assert door.post("/sign-in", {"name": "Ada Birch", "password": PASSWORD}).status_code == 429


def test_a_slip_in_the_new_one_is_no_failure_of_the_old(phone: Visitor, watch: Watch) -> None:
    for _ in range(FREE_FAILURES + 2):
        assert phone.post("/me/password", new_password(again="other words")).status_code == 422
    assert phone.post("/me/password", new_password()).status_code == 303


def test_the_same_form_twice_is_answered_the_same(phone: Visitor) -> None:
    typed = {**new_password(), "form_key": "one sheet"}
    answers = [phone.post("/me/password", typed) for _ in range(2)]
    assert [answer.headers["location"] for answer in answers] == ["/me?done=password"] * 2


def test_in_the_demo_there_is_nothing_to_change(sqlite_database: Database) -> None:
    cass = somebody(sqlite_database, "Cass")
    phone = Visitor(sqlite_database, cass, demo=True)
    page = parsed(phone.get("/me"))
    assert "In the demo season people come without a password or a PIN." in words(page)
    assert [form["action"] for form in page.select("main form")] == ["/sign-out"]
    assert phone.post("/me/password", new_password(now="")).status_code == 422
    assert phone.post("/me/password", new_password(now="x")).status_code == 422
    assert hashes(sqlite_database, cass) == ("", "")


def test_nobody_changes_nothing(sqlite_database: Database, ada: int) -> None:
    stranger = Visitor(sqlite_database, None)
    for answer in (stranger.get("/me"), stranger.post("/me/password", new_password()), stranger.post("/me/pin")):
        assert answer.headers["location"].startswith("/sign-in")


def test_another_sites_form_changes_nothing(phone: Visitor, sqlite_database: Database, ada: int) -> None:
    before = hashes(sqlite_database, ada)
    for address, typed in (("/me/password", new_password()), ("/me/pin", new_pin())):
        assert phone.post(address, typed, headers={"origin": "http://elsewhere.example"}).status_code == 403
    assert hashes(sqlite_database, ada) == before
    assert COOKIE in phone.client.cookies
