"""People in the shed's books: the pages, what they sign in with, and everything that is refused."""

import re
from datetime import UTC, datetime
from typing import Any

import pytest
from bs4 import BeautifulSoup
from sqlmodel import col, select

from shedgrade.actions.people import add_person
from shedgrade.actions.sign_ins import register_tablet, sign_in
from shedgrade.domain.people import Role
from shedgrade.domain.sign_in import PASSWORD_RULE, PIN_RULE, Tried
from shedgrade.storage import people, sign_ins
from shedgrade.storage.database import Database
from shedgrade.storage.hashing import fits
from shedgrade.storage.tables import Change, FailedTries, PersonRole, PersonRow, SignIn
from tests.support import season
from tests.support.visitor import Visitor, error_at, one, parsed, typed_in, visitor, words

PASSWORD, PIN = "apricot lantern gate", "402817"
ADA = {"name": "Ada Thorne", "roles": ["supervisor", "grader"], "grower": "", "version": "1"}
POSTS = ("", "/password", "/pin", "/leaving", "/return")


@pytest.fixture
def keeper(sqlite_database: Database) -> Visitor:
    """The shed manager, whose id is 1."""
    return visitor(sqlite_database, Role.MANAGER)


@pytest.fixture
def ada(keeper: Visitor, sqlite_database: Database) -> int:
    return somebody(sqlite_database)


def somebody(database: Database, *roles: Role, name: str = "Ada Thorne") -> int:
    with database.writing() as session:
        person_id = add_person(session, name, frozenset(roles or [Role.GRADER]))
        session.commit()
    return person_id


def a_grower(database: Database) -> int:
    with database.writing() as session:
        grower_id = season.grower(session)
        session.commit()
    return grower_id


def row(database: Database, person_id: int) -> PersonRow:
    with database.reading() as session:
        return people.person_whole(session, person_id).row


def roles(database: Database, person_id: int) -> set[str]:
    with database.reading() as session:
        return set(session.exec(select(PersonRole.role).where(PersonRole.person_id == person_id)))


def names(database: Database) -> list[str]:
    with database.reading() as session:
        return list(session.exec(select(PersonRow.name).order_by(col(PersonRow.id))))


def open_places(database: Database, person_id: int) -> list[str]:
    """Where somebody is signed in: the browser's name, or the tablet's."""
    with database.reading() as session:
        return sorted(line.tablet_name or line.sign_in.browser for line in sign_ins.open_sign_ins(session, person_id))


def sign_in_everywhere(database: Database, person_id: int) -> None:
    now = datetime.now(UTC)
    with database.writing() as session:
        tablet = register_tablet(session, "Bench tablet", 1, now)
        sign_in(session, person_id, "phone", now)
        sign_in(session, person_id, "", now, tablet_id=tablet.id)
        session.commit()


def slip(database: Database, *tried: Tried) -> None:
    with database.writing() as session:
        for each in tried:
            sign_ins.count_failure(session, each, datetime.now(UTC))
        session.commit()


def ticked(page: BeautifulSoup) -> list[str]:
    return [str(box["value"]) for box in page.select('[name="roles"][checked]')]


def test_the_list_tells_roles_and_how_each_signs_in(keeper: Visitor, sqlite_database: Database, ada: int) -> None:
    keeper.post(f"/people/{ada}/password", {"password": PASSWORD, "version": "1"})
    keeper.post(f"/people/{ada}/pin", {"pin": PIN, "version": "2"})
    page = parsed(keeper.get("/people"))
    assert re.search(r"Ada Thorne grader password and PIN", words(page, "table"))
    assert "shed manager shed manager cannot yet" in words(page, "table")
    assert "2 people work with these records 1 of them cannot sign in yet" in words(page)
    assert "personal data" in words(page)


def test_takes_somebody_in_who_can_sign_in(keeper: Visitor, sqlite_database: Database) -> None:
    answer = keeper.post("/people", ADA | {"name": " Ada   Thorne ", "password": PASSWORD, "pin": "402 817"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/people/2?done=new-person")
    stored = row(sqlite_database, 2)
    assert (stored.name, stored.grower_id, stored.active) == ("Ada Thorne", None, True)
    assert roles(sqlite_database, 2) == {"supervisor", "grader"}
    assert fits(PASSWORD, stored.password_hash)
    assert fits(PIN, stored.pin_hash)
    assert "Signs in by password and PIN." in words(parsed(keeper.get("/people/2")))


def test_takes_in_a_grower_with_the_grower_they_speak_for(keeper: Visitor, sqlite_database: Database) -> None:
    grower_id = a_grower(sqlite_database)
    keeper.post("/people", ADA | {"roles": "grower", "grower": str(grower_id)})
    stored = row(sqlite_database, 2)
    assert (stored.grower_id, stored.password_hash, stored.pin_hash) == (grower_id, "", "")
    assert "Tallow Creek" in words(parsed(keeper.get("/people")), "table")
    assert "Cannot sign in yet" in words(parsed(keeper.get("/people/2")))


BAD = [
    ("name", "  ", "Fill this in."),
    ("name", "x" * 81, "That is 81 letters long; at most 80 fit."),
    ("name", "SHED manager", "There is somebody called SHED manager already."),
    ("roles", "", "That is not one of the roles."),
    ("roles", "wizard", "That is not one of the roles."),
    ("roles", [], "Tick at least one role."),
    ("roles", "grower", "Choose the grower they speak for."),
    ("grower", "1", "Only a grower speaks for one."),
    ("grower", "77", "That is not one of the choices."),
    ("grower", "9" * 25, "That is not one of the choices."),
]


@pytest.mark.parametrize(("field", "typed", "sentence"), BAD)
@pytest.mark.parametrize("address", ["/people", "/people/2"])
def test_refuses_somebody_by_the_field(
    keeper: Visitor, sqlite_database: Database, ada: int, address: str, field: str, typed: str, sentence: str
) -> None:
    a_grower(sqlite_database)
    sent = {"name": "Bea Holm", "roles": ["marketer"], "grower": "", "version": "1"} | {field: typed}
    answer = keeper.post(address, sent)
    page = parsed(answer)
    at = "grower" if typed == "grower" else field
    assert answer.status_code == 422
    assert sentence in error_at(page, at)
    assert one(page, ".errors a")["href"] == f"#f-{at}"
    assert typed_in(page, "name") == sent["name"]
    assert ticked(page) == [each for each in ("marketer", "grower") if each in sent["roles"]]
    assert names(sqlite_database) == ["shed manager", "Ada Thorne"]
    assert roles(sqlite_database, ada) == {"grader"}


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("password", "short", "That is 5 letters long."),
        ("password", "ab" * 8, "That repeats itself."),
        ("password", "x" * 201, "That is 201 letters long."),
        ("pin", "1234", "A PIN is 6 digits"),
        ("pin", "123456", "easy to guess"),
        ("pin", "pin pin", "A PIN is 6 digits"),
    ],
)
@pytest.mark.parametrize("address", ["/people", "/people/2/{}"])
def test_refuses_a_password_or_pin_and_never_shows_it_again(
    keeper: Visitor, sqlite_database: Database, ada: int, address: str, field: str, typed: str, sentence: str
) -> None:
    answer = keeper.post(address.format(field), ADA | {"name": "Bea", field: typed})
    page = parsed(answer)
    assert answer.status_code == 422
    assert sentence in error_at(page, field)
    assert typed_in(page, field) == ""
    assert f'"{typed}"' not in answer.text
    assert names(sqlite_database) == ["shed manager", "Ada Thorne"]
    assert (row(sqlite_database, ada).password_hash, row(sqlite_database, ada).version) == ("", 1)


@pytest.mark.parametrize("field", ["password", "pin"])
def test_an_empty_new_secret_is_asked_for(keeper: Visitor, ada: int, field: str) -> None:
    answer = keeper.post(f"/people/{ada}/{field}", {field: "  ", "version": "1"})
    assert answer.status_code == 422
    assert error_at(parsed(answer), field) == "Fill this in."


def test_a_form_refused_for_its_name_asks_for_the_password_again(keeper: Visitor, sqlite_database: Database) -> None:
    answer = keeper.post("/people", ADA | {"name": "", "password": PASSWORD, "pin": PIN})
    page = parsed(answer)
    assert error_at(page, "password") == error_at(page, "pin") == "Type it again: it is not kept in the form."
    assert PASSWORD not in answer.text
    assert PIN not in answer.text


def test_changes_name_and_roles_and_counts_the_version(keeper: Visitor, sqlite_database: Database, ada: int) -> None:
    form = parsed(keeper.get(f"/people/{ada}"))
    assert (typed_in(form, "name"), ticked(form)) == ("Ada Thorne", ["grader"])
    answer = keeper.post(f"/people/{ada}", ADA | {"name": "Ada Thorne-Holm"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/people?done=person")
    stored = row(sqlite_database, ada)
    assert (stored.name, stored.version, roles(sqlite_database, ada)) == (
        "Ada Thorne-Holm",
        2,
        {"supervisor", "grader"},
    )


def test_a_person_is_one_form_and_what_they_sign_in_with_is_on_pages_of_its_own(keeper: Visitor, ada: int) -> None:
    """A form sent from beside another drops what was typed there."""
    page = parsed(keeper.get(f"/people/{ada}"))
    typed_into = [form for form in page.select("form") if form.select('input:not([type="hidden"]), select')]
    assert [form["action"] for form in typed_into] == [f"/people/{ada}"]
    assert len(page.select("main .button.act")) == 1
    for secret, said in (("password", "Give a password"), ("pin", "Give a PIN")):
        assert one(page, f'#ways a[href="/people/{ada}/{secret}"]').get_text() == said
        own = parsed(keeper.get(f"/people/{ada}/{secret}"))
        assert [form["action"] for form in own.select("form")] == [f"/people/{ada}/{secret}"]
        assert "It is their first one." in words(own)
    keeper.post(f"/people/{ada}/password", {"password": PASSWORD, "version": "1"})
    assert parsed(keeper.get(f"/people/{ada}")).select("#ways a")[0].get_text() == "Give another password"
    assert "It takes the place of the one they have, given " in words(parsed(keeper.get(f"/people/{ada}/password")))


@pytest.mark.parametrize(
    ("deed", "typed", "said"),
    [
        ("/people", ADA | {"name": "Bea Holm"}, "Saved. They are in the books."),
        ("/people/2", ADA, "Saved. It holds from their next step on."),
        ("/people/2/password", {"password": PASSWORD, "version": "1"}, "The new password is stored."),
        ("/people/2/pin", {"pin": PIN, "version": "1"}, "The new PIN is stored."),
        ("/people/2/leaving", {"version": "1"}, "Saved. They have left"),
        ("/growers", {"name": "Quarry Lane"}, "The grower is saved."),
        ("/growers/1", {"name": "Tallow Creek East", "version": "1"}, "The grower is saved."),
        (
            "/blocks",
            {"grower": "1", "name": "Ridge", "crop": "mango", "variety": "Calypso", "area": "2"},
            "The block is saved.",
        ),
        (
            "/settings/shift-hours",
            {"value": "10", "valid_from": f"{datetime.now(UTC):%Y-%m-%d}", "source": "we said so", "version": "1"},
            "Saved. The new value stands below",
        ),
        ("/devices/2/ending", {}, "That sign-in is ended."),
    ],
)
def test_what_was_saved_is_said_on_the_page_it_leads_to(
    keeper: Visitor, sqlite_database: Database, ada: int, deed: str, typed: dict[str, Any], said: str
) -> None:
    a_grower(sqlite_database)
    sign_in_everywhere(sqlite_database, ada)
    answer = keeper.post(deed, typed)
    assert answer.status_code == 303
    page = parsed(keeper.get(answer.headers["location"]))
    assert words(page, ".notice-good").startswith(said)
    assert page.select(".notice-good + .answer"), "it is said at the top"
    assert parsed(keeper.get(answer.headers["location"].split("?")[0])).select(".notice-good") == []


def test_a_word_that_is_none_of_ours_says_nothing(keeper: Visitor) -> None:
    assert parsed(keeper.get("/people?done=<b>anything")).select(".notice") == []


def test_without_growers_the_form_says_to_add_one_first(keeper: Visitor, sqlite_database: Database) -> None:
    page = parsed(keeper.get("/people/new"))
    assert "No growers yet: add one first" in words(page, "#f-grower")
    assert one(page, "#f-grower a")["href"] == "/growers/new"
    refused = parsed(keeper.post("/people", ADA | {"roles": "grower"}))
    assert error_at(refused, "grower") == "Choose the grower they speak for."
    a_grower(sqlite_database)
    assert one(parsed(keeper.get("/people/new")), "#f-grower").name == "select"


def test_a_stale_save_marks_each_field_that_differs_with_what_is_stored(keeper: Visitor, ada: int) -> None:
    keeper.post(f"/people/{ada}", ADA | {"roles": ["grader", "marketer"]})
    page = parsed(keeper.post(f"/people/{ada}", ADA | {"name": "Ada H."}))
    assert words(page, "#f-name-stored") == "Stored now: Ada Thorne"
    assert words(page, "#f-roles-stored") == "Stored now: grader, marketer"
    assert "f-roles-stored" in one(page, "#f-roles")["aria-describedby"]
    assert page.select("#f-grower-stored") == []


def test_a_role_taken_away_is_told_in_the_history(keeper: Visitor, sqlite_database: Database, ada: int) -> None:
    keeper.post(f"/people/{ada}", ADA | {"roles": "marketer"})
    with sqlite_database.reading() as session:
        told = list(session.exec(select(Change).where(Change.row_id == ada, col(Change.person_id) == 1)))
    assert [change.deed for change in told if "grader" in change.before] == ["removed"]
    assert [change.deed for change in told if "marketer" in change.after] == ["added"]


def test_a_new_role_holds_at_once(keeper: Visitor, sqlite_database: Database) -> None:
    other = visitor(sqlite_database, Role.GRADER)
    assert other.get("/quotes").status_code == 403
    keeper.post("/people/2", ADA | {"roles": "marketer"})
    assert other.get("/quotes").status_code == 200


@pytest.mark.parametrize("version", ["0", "1", "3", "", "old", "9" * 30])
def test_a_stale_save_says_what_is_stored_and_who_stored_it(
    keeper: Visitor, sqlite_database: Database, ada: int, version: str
) -> None:
    visitor(sqlite_database, Role.MANAGER, Role.GRADER).post(f"/people/{ada}", ADA | {"roles": "marketer"})
    answer = keeper.post(f"/people/{ada}", ADA | {"name": "Ada H.", "version": version})
    page = parsed(answer)
    assert answer.status_code == 409
    assert "shed manager, grader saved this at " in words(page)
    assert "Stored now: Ada Thorne, marketer." in words(page)
    assert (typed_in(page, "name"), ticked(page)) == ("Ada H.", ["supervisor", "grader"])
    assert {str(box["value"]) for box in page.select('[name="version"]')} == {"2"}
    assert row(sqlite_database, ada).name == "Ada Thorne"
    assert keeper.post(f"/people/{ada}", ADA | {"name": "Ada H.", "version": "2"}).status_code == 303


@pytest.mark.parametrize(
    ("deed", "typed"), [("password", {"password": PASSWORD}), ("pin", {"pin": PIN}), ("leaving", {}), ("return", {})]
)
def test_a_stale_deed_is_not_done(
    keeper: Visitor, sqlite_database: Database, ada: int, deed: str, typed: dict[str, str]
) -> None:
    keeper.post(f"/people/{ada}", ADA)
    answer = keeper.post(f"/people/{ada}/{deed}", typed | {"version": "1"})
    assert answer.status_code == 409
    assert "You saved this yourself at " in words(parsed(answer))
    stored = row(sqlite_database, ada)
    assert (stored.version, stored.password_hash, stored.pin_hash, stored.active) == (2, "", "", True)


def test_a_mistake_does_not_make_a_stale_form_fresh(keeper: Visitor, ada: int) -> None:
    keeper.post(f"/people/{ada}", ADA)
    page = parsed(keeper.post(f"/people/{ada}", ADA | {"name": ""}))
    assert {str(box["value"]) for box in page.select('[name="version"]')} == {"1"}


def test_the_same_form_twice_takes_in_one_person(keeper: Visitor, sqlite_database: Database) -> None:
    typed = ADA | {"form_key": "one sheet of paper"}
    sent = [keeper.post("/people", typed) for _ in range(2)]
    assert [answer.headers["location"] for answer in sent] == ["/people/2?done=new-person"] * 2
    assert len(names(sqlite_database)) == 2


@pytest.mark.parametrize("deed", ["", "/password", "/pin", "/leaving"])
def test_the_same_deed_twice_is_done_once(keeper: Visitor, sqlite_database: Database, ada: int, deed: str) -> None:
    typed = ADA | {"password": PASSWORD, "pin": PIN, "form_key": "one sheet of paper"}
    assert [keeper.post(f"/people/{ada}{deed}", typed).status_code for _ in range(2)] == [303, 303]
    assert row(sqlite_database, ada).version == 2


def test_a_new_password_forgives_and_ends_every_sign_in(keeper: Visitor, sqlite_database: Database, ada: int) -> None:
    sign_in_everywhere(sqlite_database, ada)
    slip(sqlite_database, Tried.name("Ada Thorne"))
    answer = keeper.post(f"/people/{ada}/password", {"password": PASSWORD, "version": "1"})
    assert (answer.status_code, answer.headers["location"]) == (303, f"/people/{ada}?done=their-password")
    assert fits(PASSWORD, row(sqlite_database, ada).password_hash)
    assert open_places(sqlite_database, ada) == []
    with sqlite_database.reading() as session:
        assert session.exec(select(FailedTries)).all() == []
        assert {ended.ended_by_id for ended in session.exec(select(SignIn).where(SignIn.person_id == ada))} == {1}
    assert "shed manager" in words(parsed(keeper.get(f"/people/{ada}")), "#ways")


def test_a_new_pin_forgives_and_ends_sign_ins_on_tablets(keeper: Visitor, sqlite_database: Database, ada: int) -> None:
    sign_in_everywhere(sqlite_database, ada)
    slip(sqlite_database, Tried.pin(ada))
    keeper.post(f"/people/{ada}/pin", {"pin": PIN, "version": "1"})
    assert fits(PIN, row(sqlite_database, ada).pin_hash)
    assert open_places(sqlite_database, ada) == ["phone"]
    with sqlite_database.reading() as session:
        assert session.exec(select(FailedTries)).all() == []


def test_a_manager_who_gives_themselves_a_password_stays_signed_in(keeper: Visitor, sqlite_database: Database) -> None:
    sign_in_everywhere(sqlite_database, 1)
    keeper.post("/people/1/password", {"password": PASSWORD, "version": "1"})
    assert open_places(sqlite_database, 1) == ["a test's browser"]
    assert keeper.get("/people").status_code == 200


def test_a_secret_stands_nowhere_but_hashed(keeper: Visitor, sqlite_database: Database, ada: int) -> None:
    keeper.post(f"/people/{ada}/password", {"password": PASSWORD, "version": "1", "form_key": "k"})
    keeper.post(f"/people/{ada}/pin", {"pin": PIN, "version": "2", "form_key": "l"})
    with sqlite_database.reading() as session:
        dump = "\n".join(session.connection().connection.driver_connection.iterdump())  # type: ignore[union-attr]
    assert "argon2id" in dump
    assert PASSWORD not in dump
    assert PIN not in dump


def test_whoever_has_left_is_out_at_once_and_stays_in_the_books(keeper: Visitor, sqlite_database: Database) -> None:
    leaver = visitor(sqlite_database, Role.GRADER)
    assert leaver.get("/consignments").status_code == 200
    answer = keeper.post("/people/2/leaving", {"version": "1"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/people/2?done=left")
    assert leaver.get("/consignments").status_code == 303
    assert open_places(sqlite_database, 2) == []
    assert "grader" in words(parsed(keeper.get("/people")), ".section")
    page = parsed(keeper.get("/people/2"))
    assert "Has left: stays in the books and cannot sign in." in words(page)
    assert page.select("#ways") == []
    assert [keeper.get(f"/people/2/{secret}").status_code for secret in ("password", "pin")] == [404, 404]
    assert words(page, "#leaving h2") == "grader has left"
    assert words(page, "#leaving button") == "Mark as back"
    assert one(page, "#leaving form")["action"] == "/people/2/return"


@pytest.mark.usefixtures("ada")
def test_leaving_says_only_what_they_have(keeper: Visitor) -> None:
    def said() -> str:
        return words(parsed(keeper.get("/people/2")), "#leaving form p")

    assert "They could not sign in anyway." in said()
    keeper.post("/people/2/pin", {"pin": PIN, "version": "1"})
    assert "signed out everywhere at once, and their PIN opens nothing any more." in said()
    keeper.post("/people/2/password", {"password": PASSWORD, "version": "2"})
    assert "their password and PIN open nothing any more. You can mark them as back right after." in said()
    keeper.post("/people/2/leaving", {"version": "3"})
    assert said() == "Once marked as back, their password and PIN open the records again."


def test_the_role_of_a_grower_says_that_they_see_their_money(keeper: Visitor) -> None:
    assert "how their fruit graded and what it brings in money" in words(parsed(keeper.get("/people/new")))


def test_whoever_comes_back_signs_in_anew(keeper: Visitor, sqlite_database: Database) -> None:
    leaver = visitor(sqlite_database, Role.GRADER)
    keeper.post("/people/2/leaving", {"version": "1"})
    answer = keeper.post("/people/2/return", {"version": "2"})
    assert (answer.status_code, answer.headers["location"]) == (303, "/people/2?done=back")
    assert row(sqlite_database, 2).active
    assert leaver.get("/consignments").status_code == 303


@pytest.mark.parametrize(("deed", "field"), [("", "roles"), ("/leaving", "leaving")])
def test_the_last_manager_stays(keeper: Visitor, sqlite_database: Database, deed: str, field: str) -> None:
    gone = somebody(sqlite_database, Role.MANAGER, name="Gone")
    keeper.post(f"/people/{gone}/leaving", {"version": "1"})
    answer = keeper.post(f"/people/1{deed}", ADA | {"name": "shed manager"})
    page = parsed(answer)
    assert answer.status_code == 422
    assert error_at(page, field) == "shed manager is the only shed manager. Make somebody else one first."
    assert one(page, ".errors a")["href"] == f"#f-{field}"
    assert (roles(sqlite_database, 1), row(sqlite_database, 1).active) == ({"manager"}, True)


def test_the_last_manager_with_a_password_stays(keeper: Visitor, sqlite_database: Database) -> None:
    other = somebody(sqlite_database, Role.MANAGER)
    keeper.post("/people/1/password", {"password": PASSWORD, "version": "1"})
    answer = keeper.post("/people/1/leaving", {"version": "2"})
    assert answer.status_code == 422
    assert "No other shed manager has a password. Give Ada Thorne one first" in error_at(parsed(answer), "leaving")
    keeper.post(f"/people/{other}/password", {"password": PASSWORD, "version": "1"})
    assert keeper.post("/people/1/leaving", {"version": "2"}).status_code == 303


def test_one_of_two_managers_can_go(keeper: Visitor, sqlite_database: Database) -> None:
    somebody(sqlite_database, Role.MANAGER)
    assert keeper.post("/people/1", ADA | {"name": "shed manager"}).status_code == 303
    assert keeper.get("/people").status_code == 403


@pytest.mark.parametrize("record_id", ["0", "77", "none", "9" * 25])
@pytest.mark.parametrize("deed", POSTS)
def test_an_unknown_person_is_not_here(keeper: Visitor, record_id: str, deed: str) -> None:
    typed = ADA | {"password": PASSWORD, "pin": PIN}
    assert keeper.post(f"/people/{record_id}{deed}", typed).status_code == 404
    assert keeper.get(f"/people/{record_id}").status_code == 404


@pytest.mark.parametrize("role", [Role.SUPERVISOR, Role.GRADER, Role.MARKETER, Role.GROWER])
def test_only_the_manager_keeps_people(sqlite_database: Database, role: Role) -> None:
    someone = visitor(sqlite_database, role)
    typed = ADA | {"password": PASSWORD, "pin": PIN}
    assert [someone.get(f"/people{at}").status_code for at in ("", "/new", "/1")] == [403] * 3
    assert [someone.post(f"/people{at}", typed).status_code for at in ("", *(f"/1{deed}" for deed in POSTS))] == [
        403
    ] * 6
    assert names(sqlite_database) == [role.words]
    assert row(sqlite_database, 1).version == 1


def test_a_form_from_another_site_is_refused(keeper: Visitor, sqlite_database: Database, ada: int) -> None:
    typed = ADA | {"password": PASSWORD, "pin": PIN}
    for headers in ({"origin": "http://elsewhere.example"}, {"sec-fetch-site": "cross-site"}, {"origin": "null"}):
        for address in ("/people", *(f"/people/{ada}{deed}" for deed in POSTS)):
            assert keeper.post(address, typed, headers=headers).status_code == 403
    assert row(sqlite_database, ada).version == 1
    assert len(names(sqlite_database)) == 2


@pytest.mark.parametrize(
    ("role", "place"),
    [(Role.SUPERVISOR, "/consignments"), (Role.GRADER, "/consignments"), (Role.GROWER, "/blocks")],
)
def test_the_day_begins_where_the_role_works(sqlite_database: Database, role: Role, place: str) -> None:
    assert visitor(sqlite_database, role).get("/").headers["location"] == place


def test_who_has_no_password_cannot_sign_in_but_in_the_demo_by_picking_the_name(sqlite_database: Database) -> None:
    somebody(sqlite_database)
    shed = words(parsed(visitor(sqlite_database, Role.MANAGER).get("/people")), "main")
    assert "2 of them cannot sign in yet." in shed
    assert shed.count("cannot yet") == 2
    demo = words(parsed(visitor(sqlite_database, Role.SUPERVISOR, Role.MANAGER, demo=True).get("/people")), "main")
    assert "cannot" not in demo
    assert "In the demo anybody can sign in by picking a name." in demo
    assert demo.count("picking the name") == 3


@pytest.mark.usefixtures("ada")
@pytest.mark.parametrize(
    ("address", "secret", "rule"),
    [
        ("/people/new", "password", PASSWORD_RULE),
        ("/people/new", "pin", PIN_RULE),
        ("/people/2/password", "password", PASSWORD_RULE),
        ("/people/2/pin", "pin", PIN_RULE),
    ],
)
def test_where_a_secret_is_given_its_whole_rule_is_said(keeper: Visitor, address: str, secret: str, rule: str) -> None:
    assert rule in words(parsed(keeper.get(address)), f"#f-{secret}-hint")
