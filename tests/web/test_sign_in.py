"""Signing in by password, by PIN, by a tap, in the demo by picking; and out."""

import logging
from concurrent.futures import ThreadPoolExecutor

import pytest
from httpx2 import Response
from sqlmodel import select

from shedgrade.domain.people import Role
from shedgrade.domain.sign_in import FREE_FAILURES, FREE_OF_SENDER, PIN_FAILURES
from shedgrade.storage.database import Database
from shedgrade.storage.hashing import NOBODYS
from shedgrade.storage.tables import FailedTries, PersonRow, SignIn
from shedgrade.web.pages import own_page
from shedgrade.web.whoami import COOKIE, TABLET_COOKIE
from tests.support.signing import PASSWORD, PIN, WRONG_PIN, Watch, somebody, tablet
from tests.support.visitor import Visitor, error_at, one, parsed, typed_in, visitor, words


@pytest.fixture
def ada(sqlite_database: Database) -> int:
    return somebody(sqlite_database, "Ada Birch", Role.GRADER, password=PASSWORD, pin=PIN)


@pytest.fixture
def phone(sqlite_database: Database, ada: int) -> Visitor:
    """Nobody yet, where there is somebody to be."""
    return Visitor(sqlite_database, None)


@pytest.fixture
def bench(sqlite_database: Database, ada: int) -> Visitor:
    return tablet(sqlite_database, ada)


def by_password(phone: Visitor, password: str = PASSWORD, name: str = "Ada Birch", **more: str) -> Response:
    return phone.post("/sign-in", {"name": name, "password": password, **more})


def by_pin(phone: Visitor, person_id: int, pin: str = PIN, **more: str) -> Response:
    return phone.post("/sign-in/pin", {"person": person_id, "pin": pin, **more})


def tap(phone: Visitor, person_id: int, **more: str) -> Response:
    return phone.post("/sign-in/tapped", {"person": person_id, **more})


def cookies_of(answer: Response) -> dict[str, str]:
    """What the answer gives the browser to hold, and how, in small letters."""
    lines = answer.headers.get_list("set-cookie")
    return {line.partition("=")[0]: line.lower() for line in lines}


def sign_in_rows(database: Database) -> list[SignIn]:
    with database.reading() as session:
        return list(session.exec(select(SignIn).order_by(SignIn.id)))  # type: ignore[arg-type]


def holding(database: Database, token: str) -> Visitor:
    """A browser of somebody who got hold of a token."""
    thief = Visitor(database, None)
    thief.client.cookies.set(COOKIE, token)
    return thief


def name_in(phone: Visitor) -> str:
    """Whom the header names."""
    return words(parsed(phone.get("/specs")), ".person strong")


# By password.


def test_nobody_is_asked_to_sign_in_and_sent_on_to_where_they_wanted(phone: Visitor) -> None:
    asked = phone.get("/consignments?until=2026-01-14")
    assert asked.headers["location"] == "/sign-in?next=/consignments%3Funtil%3D2026-01-14"
    form = parsed(phone.get(asked.headers["location"]))
    assert typed_in(form, "next") == "/consignments?until=2026-01-14"
    answer = by_password(phone, next=typed_in(form, "next"))
    assert (answer.status_code, answer.headers["location"]) == (303, "/consignments?until=2026-01-14")
    assert phone.get("/consignments").status_code == 200


def test_the_first_page_needs_no_telling(phone: Visitor) -> None:
    assert phone.get("/").headers["location"] == "/sign-in"


@pytest.mark.parametrize("name", ["Ada Birch", " ada  BIRCH "])
def test_a_name_signs_in_however_it_is_typed(phone: Visitor, name: str) -> None:
    assert by_password(phone, name=name).status_code == 303
    assert name_in(phone) == "Ada Birch"


@pytest.mark.parametrize(
    ("name", "password"),
    [("Ada Birch", "three wet mango"), ("Ada Birch", PIN), ("Nobody", PASSWORD), ("Ada", PASSWORD)],
)
def test_the_wrong_password_and_the_unknown_name_are_told_the_same(phone: Visitor, name: str, password: str) -> None:
    answer = by_password(phone, password, name)
    page = parsed(answer)
    assert answer.status_code == 422
    assert "That name and password do not go together." in words(page)
    assert typed_in(page, "name") == name
    assert password not in answer.text
    assert "set-cookie" not in answer.headers


@pytest.mark.parametrize("field", ["name", "password"])
def test_an_empty_field_is_named_and_no_try(phone: Visitor, verified: list[str], field: str) -> None:
    answer = phone.post("/sign-in", {"name": "Ada Birch", "password": PASSWORD, field: "  "})
    assert answer.status_code == 422
    assert "Fill this in." in error_at(parsed(answer), field)
    assert PASSWORD not in answer.text
    assert verified == []


def test_somebody_and_nobody_cost_one_hash_each(phone: Visitor, sqlite_database: Database, verified: list[str]) -> None:
    somebody(sqlite_database, "Bo", pin=PIN)  # in the books, but without a password
    gone = somebody(sqlite_database, "Gus", password=PASSWORD)
    with sqlite_database.writing() as session:
        session.get_one(PersonRow, gone).active = False
        session.commit()
    texts = {
        by_password(phone, "wrong", name).text.replace(f'value="{name}"', "")
        for name in ("Ada Birch", "Nobody", "Bo", "Gus")
    }
    assert len(texts) == 1
    assert len(verified) == 4
    assert [kept in {NOBODYS, ""} for kept in verified] == [False, True, True, True]


def test_who_has_left_does_not_come_back_by_password(phone: Visitor, sqlite_database: Database, ada: int) -> None:
    by_password(phone)
    with sqlite_database.writing() as session:
        session.get_one(PersonRow, ada).active = False
        session.commit()
    assert phone.get("/specs").headers["location"].startswith("/sign-in")
    assert by_password(phone).status_code == 422


@pytest.mark.parametrize("name", ["Ada Birch", "Nobody"])
def test_after_some_slips_it_has_to_wait_without_a_hash(
    phone: Visitor, watch: Watch, verified: list[str], name: str
) -> None:
    for _ in range(FREE_FAILURES):
        assert by_password(phone, "wrong", name).status_code == 422
    for password in ("wrong", PASSWORD):
        answer = by_password(phone, password, name)
        assert (answer.status_code, answer.headers["retry-after"]) == (429, "2")
        assert "Too many tries. Wait 2 seconds." in words(parsed(answer))
        assert typed_in(parsed(answer), "name") == name
    assert len(verified) == FREE_FAILURES
    watch.on(seconds=1.5)
    assert "Wait 1 second." in words(parsed(by_password(phone, "wrong", name)))
    watch.on(seconds=0.5)
    assert by_password(phone, "wrong", name).status_code == 422
    assert "Wait 4 seconds." in words(parsed(by_password(phone, "wrong", name)))


def test_the_right_password_after_the_wait_forgives(phone: Visitor, watch: Watch, sqlite_database: Database) -> None:
    for _ in range(FREE_FAILURES):
        by_password(phone, "wrong")
    watch.on(seconds=2)
    assert by_password(phone).status_code == 303
    with sqlite_database.reading() as session:
        assert session.exec(select(FailedTries)).all() == []


def test_a_restart_forgives_nothing(phone: Visitor, watch: Watch, sqlite_database: Database) -> None:
    for _ in range(FREE_FAILURES):
        by_password(phone, "wrong")
    again = Visitor(sqlite_database, None)  # another app on the same database
    assert by_password(again).status_code == 429


def test_a_sender_that_goes_through_names_has_to_wait(phone: Visitor, watch: Watch, verified: list[str]) -> None:
    for number in range(FREE_OF_SENDER):
        by_password(phone, "wrong", f"Name {number}")
    assert by_password(phone).status_code == 429
    assert len(verified) == FREE_OF_SENDER
    watch.on(seconds=2)
    assert by_password(phone).status_code == 303


def test_many_tries_at_once_are_no_more_than_one_by_one(
    ada: int, sqlite_database: Database, watch: Watch, verified: list[str]
) -> None:
    browsers = [Visitor(sqlite_database, None) for _ in range(12)]
    with ThreadPoolExecutor(12) as pool:
        answers = list(pool.map(lambda each: by_password(each, "wrong").status_code, browsers))
    assert sorted(answers) == [422] * FREE_FAILURES + [429] * (12 - FREE_FAILURES)
    assert len(verified) == FREE_FAILURES


def test_a_typed_name_is_not_kept_in_words(phone: Visitor, sqlite_database: Database) -> None:
    by_password(phone, "Ada Birch", PASSWORD)  # into the wrong boxes
    with sqlite_database.reading() as session:
        assert all("mango" not in row.of for row in session.exec(select(FailedTries)))


def test_no_secret_is_logged(phone: Visitor, bench: Visitor, ada: int, caplog: pytest.LogCaptureFixture) -> None:
    with caplog.at_level(logging.DEBUG):
        by_password(phone, "a wrong secret")
        answer = by_password(phone)
        by_pin(bench, ada)
    token = cookies_of(answer)[COOKIE].split("=")[1].split(";")[0]
    for secret in ("a wrong secret", PASSWORD, PIN, token):
        assert secret not in caplog.text.lower()


# What the browser holds.


def test_the_cookie_is_out_of_reach(phone: Visitor) -> None:
    cookie = cookies_of(by_password(phone))[COOKIE]
    assert all(word in cookie for word in ("httponly", "samesite=lax", "path=/", f"max-age={31 * 24 * 3600}"))
    assert "secure" not in cookie


def test_over_https_it_goes_over_https_only(phone: Visitor) -> None:
    typed = {"name": "Ada Birch", "password": PASSWORD}
    answer = phone.client.post("https://testserver/sign-in", data=typed, headers={"origin": "https://testserver"})
    assert answer.status_code == 303
    assert "secure" in cookies_of(answer)[COOKIE]


def test_a_token_put_there_by_somebody_else_is_never_used(phone: Visitor) -> None:
    phone.client.cookies.set(COOKIE, "planted")
    answer = by_password(phone)
    assert "planted" not in cookies_of(answer)[COOKIE]
    phone.client.cookies.clear()
    phone.client.cookies.set(COOKIE, "planted")
    assert phone.get("/specs").status_code == 303


def test_each_sign_in_has_a_new_token_and_ends_the_one_before(phone: Visitor, sqlite_database: Database) -> None:
    by_password(phone)
    first = phone.client.cookies[COOKIE]
    by_password(phone)
    assert phone.client.cookies[COOKIE] != first
    assert [row.ended_at is None for row in sign_in_rows(sqlite_database)] == [False, True]


@pytest.mark.parametrize("cookie", ["", "0", "1", "x", "9" * 400, "-1", "é"])
def test_a_cookie_that_names_nobody_is_nobody(phone: Visitor, cookie: str) -> None:
    headers = {"cookie": f"{COOKIE}={cookie}".encode()}
    assert phone.get("/growers", headers=headers).headers["location"] == "/sign-in?next=/growers"


def test_signing_out_ends_it_everywhere_it_was_copied(phone: Visitor, sqlite_database: Database) -> None:
    by_password(phone)
    copied = holding(sqlite_database, phone.client.cookies[COOKIE])
    assert copied.get("/specs").status_code == 200
    answer = phone.post("/sign-out")
    assert (answer.status_code, answer.headers["location"]) == (303, "/sign-in")
    assert "max-age=0" in cookies_of(answer)[COOKIE]
    assert copied.get("/specs").headers["location"].startswith("/sign-in")


def test_signing_out_twice_or_as_nobody_is_no_fault(phone: Visitor) -> None:
    assert [phone.post("/sign-out").status_code for _ in range(2)] == [303, 303]


def test_a_password_is_good_for_so_many_days(phone: Visitor, watch: Watch) -> None:
    by_password(phone)
    watch.on(days=29)
    assert phone.get("/specs").status_code == 200
    watch.on(days=2)
    ended = phone.get("/specs").headers["location"]
    assert ended == "/sign-in?next=/specs&why=ended"
    assert "Your sign-in had ended" in words(parsed(phone.get(ended)))


def test_a_form_from_another_site_signs_nobody_in_or_out(phone: Visitor, sqlite_database: Database) -> None:
    for address in ("/sign-in", "/sign-out", "/sign-in/pin", "/sign-in/tapped", "/sign-in/picked"):
        answer = phone.post(
            address, {"name": "Ada Birch", "password": PASSWORD}, headers={"origin": "http://elsewhere.example"}
        )
        assert answer.status_code == 403
    assert sign_in_rows(sqlite_database) == []


# Where it goes on.


@pytest.mark.parametrize(
    "after",
    [
        "https://elsewhere.example",
        "//elsewhere.example",
        "/\\elsewhere.example",
        "/\\/elsewhere.example",
        "/x\\..\\\\elsewhere.example",
        "/\t/elsewhere.example",
        "/\n/elsewhere.example",
        "\\\\elsewhere.example",
        "javascript:alert(1)",
        "x",
        "",
        "/sign-in",
        "/sign-in?next=/sign-in",
    ],
)
def test_going_on_never_leaves_this_site_nor_turns_in_circles(phone: Visitor, after: str) -> None:
    assert own_page(after) == "/"
    assert by_password(phone, next=after).headers["location"] == "/"
    assert typed_in(parsed(phone.get("/sign-in", params={"next": after, "by": "password"})), "next") == "/"


@pytest.mark.parametrize("after", ["/growers", "/consignments?until=2026-01-14", "/samples/3#last"])
def test_a_page_of_ours_is_gone_on_to(after: str) -> None:
    assert own_page(after) == after


def test_a_form_of_nobody_comes_back_to_its_page(phone: Visitor) -> None:
    answer = phone.post("/growers", {"name": "x"}, headers={"referer": "http://testserver/growers/new?a=1"})
    assert answer.headers["location"] == "/sign-in?next=/growers/new%3Fa%3D1"
    answer = phone.post("/growers", {"name": "x"}, headers={"referer": "http://elsewhere.example/growers/new"})
    assert answer.headers["location"] == "/sign-in"


def test_a_part_of_a_page_sends_the_whole_page_there(phone: Visitor) -> None:
    headers = {"hx-request": "true", "referer": "http://testserver/samples/3"}
    answer = phone.post("/samples/3/fruit", {"weight": "412"}, headers=headers)
    assert (answer.status_code, answer.headers["hx-redirect"]) == (204, "/sign-in?next=/samples/3")


@pytest.mark.parametrize(
    ("role", "place"),
    [(Role.MANAGER, "/consignments"), (Role.GRADER, "/consignments"), (Role.GROWER, "/blocks")],
)
def test_the_day_begins_where_the_role_works(demo_database: Database, role: Role, place: str) -> None:
    assert visitor(demo_database, role).get("/").headers["location"] == place


# On a tablet.


def test_a_tablet_shows_the_names_that_have_a_pin(bench: Visitor, sqlite_database: Database, ada: int) -> None:
    somebody(sqlite_database, "Zed", password=PASSWORD)
    bo = somebody(sqlite_database, "Bo Ferris", pin=PIN)
    keys = parsed(bench.get("/sign-in?next=/growers")).select("main button")
    assert [(int(str(key["value"])), key.get_text(" ", strip=True)) for key in keys] == [
        (ada, "Ada Birch asks the PIN"),
        (bo, "Bo Ferris asks the PIN"),
    ]


def test_a_name_is_tapped_the_pin_given_and_the_page_asked_for_shown(bench: Visitor, ada: int) -> None:
    asked = tap(bench, ada, next="/growers")
    assert asked.headers["location"] == f"/sign-in?person={ada}&next=/growers"
    form = parsed(bench.get(asked.headers["location"]))
    assert words(form, "h1") == "Ada Birch"
    assert (typed_in(form, "person"), typed_in(form, "pin")) == (str(ada), "")
    answer = by_pin(bench, ada, "402 817", next=typed_in(form, "next"))
    assert (answer.status_code, answer.headers["location"]) == (303, "/growers")
    assert name_in(bench) == "Ada Birch"


def test_after_the_pin_a_tap_is_enough_this_shift(bench: Visitor, sqlite_database: Database, ada: int) -> None:
    bo = somebody(sqlite_database, "Bo Ferris", pin=PIN)
    by_pin(bench, ada)
    first = bench.client.cookies[COOKIE]
    by_pin(bench, bo)
    assert name_in(bench) == "Bo Ferris"
    assert tap(bench, ada).headers["location"] == "/"
    assert name_in(bench) == "Ada Birch"
    assert bench.client.cookies[COOKIE] != first
    assert tap(bench, bo).headers["location"] == "/"
    assert holding(sqlite_database, first).get("/specs").status_code == 303


@pytest.mark.parametrize(
    ("roles", "by_a_tap"),
    [
        ([Role.GRADER], True),
        ([Role.SUPERVISOR], True),
        ([Role.GRADER, Role.SUPERVISOR], True),
        ([Role.MANAGER], False),
        ([Role.MARKETER], False),
        ([Role.GROWER], False),
        ([Role.GRADER, Role.MANAGER], False),
    ],
    ids=str,
)
@pytest.mark.parametrize("how", ["handed over", "locked", "idle"])
def test_whose_role_opens_more_than_the_bench_gives_the_pin_again(
    bench: Visitor, sqlite_database: Database, watch: Watch, roles: list[Role], *, by_a_tap: bool, how: str
) -> None:
    bo = somebody(sqlite_database, "Bo Ferris", *roles, pin=PIN)
    by_pin(bench, bo)
    held = bench.client.cookies[COOKIE]
    if how == "idle":
        watch.on(minutes=30)
    else:
        bench.post("/locking", {"why": "locked"} if how == "locked" else {})
        assert holding(sqlite_database, held).get("/blocks").headers["location"].startswith("/sign-in")
    key = next(key for key in parsed(bench.get("/sign-in")).select("main button") if key["value"] == str(bo))
    assert key.get_text(" ", strip=True) == f"Bo Ferris {'a tap is enough' if by_a_tap else 'asks the PIN'}"
    asked = f"/sign-in?person={bo}&next=/"
    assert tap(bench, bo).headers["location"] == ("/" if by_a_tap else asked)
    assert bench.get("/blocks").status_code == (200 if by_a_tap else 303)


def test_a_manager_who_walked_away_is_out_when_the_next_one_comes(
    bench: Visitor, sqlite_database: Database, ada: int, watch: Watch
) -> None:
    maren = somebody(sqlite_database, "Maren Holt", Role.MANAGER, pin=PIN)
    by_pin(bench, ada)
    by_pin(bench, maren)
    watch.on(minutes=30)
    tap(bench, ada)
    assert [row.ended_at is None for row in sign_in_rows(sqlite_database)] == [True, False]


def test_after_handing_over_nobody_is_signed_in(bench: Visitor, ada: int) -> None:
    by_pin(bench, ada)
    answer = bench.post("/locking")
    assert (answer.status_code, answer.headers["location"]) == (303, "/sign-in")
    page = bench.get("/sign-in")
    assert words(parsed(page), ".person strong") == "Nobody is signed in"
    assert "Locked" not in words(parsed(page))
    assert page.headers["cache-control"] == "no-store"


def test_handing_over_in_a_browser_of_ones_own_signs_out(phone: Visitor, sqlite_database: Database) -> None:
    by_password(phone)
    phone.post("/locking")
    assert [row.ended_at is None for row in sign_in_rows(sqlite_database)] == [False]


def test_another_tablet_and_another_shift_ask_again(
    bench: Visitor, sqlite_database: Database, ada: int, watch: Watch
) -> None:
    by_pin(bench, ada)
    other = tablet(sqlite_database, ada, "Bench 2")
    assert tap(other, ada).headers["location"].startswith("/sign-in?person=")
    watch.on(hours=13)
    assert bench.get("/specs").headers["location"] == "/sign-in?next=/specs&why=ended"
    assert tap(bench, ada).headers["location"].startswith("/sign-in?person=")


def test_whoever_signs_out_of_a_tablet_is_asked_again(bench: Visitor, ada: int) -> None:
    by_pin(bench, ada)
    bench.post("/sign-out")
    assert tap(bench, ada).headers["location"].startswith("/sign-in?person=")


def test_the_cookies_of_a_tablet_last_a_shift_and_a_year(bench: Visitor, ada: int) -> None:
    held = cookies_of(by_pin(bench, ada))
    assert f"max-age={36 * 3600};" in held[COOKIE]
    assert f"max-age={400 * 24 * 3600};" in held[TABLET_COOKIE]
    assert all("httponly" in cookie and "samesite=lax" in cookie for cookie in held.values())


@pytest.mark.parametrize("person", ["", "0", "77", "none", "9" * 25])
def test_a_name_that_is_not_on_the_tablet_opens_nothing(bench: Visitor, person: str) -> None:
    assert bench.post("/sign-in/tapped", {"person": person}).status_code == 404
    assert bench.post("/sign-in/pin", {"person": person, "pin": PIN}).status_code == 404
    assert bench.post("/sign-in/pin", {"person": person, "pin": ""}).status_code == 404
    assert bench.get(f"/sign-in?person={person}").status_code == 200


def test_a_pin_opens_nothing_in_a_browser_of_somebodys_own(
    phone: Visitor, ada: int, sqlite_database: Database, verified: list[str]
) -> None:
    phone.client.cookies.set(TABLET_COOKIE, "made up")
    for answer in (by_pin(phone, ada), by_pin(phone, ada, ""), tap(phone, ada)):
        assert answer.status_code == 404
    assert (verified, sign_in_rows(sqlite_database)) == ([], [])
    assert one(parsed(phone.get(f"/sign-in?person={ada}")), '[name="password"]')


def test_an_empty_pin_is_no_try(bench: Visitor, ada: int, verified: list[str]) -> None:
    answer = by_pin(bench, ada, " ")
    assert answer.status_code == 422
    assert "Fill this in." in error_at(parsed(answer), "pin")
    assert verified == []


def test_a_wrong_pin_says_so_and_is_not_shown(bench: Visitor, ada: int) -> None:
    answer = by_pin(bench, ada, WRONG_PIN)
    assert answer.status_code == 422
    assert "That is not the PIN." in error_at(parsed(answer), "pin")
    assert WRONG_PIN not in answer.text


def test_a_thousand_wrong_pins_in_a_row_open_nothing(
    bench: Visitor, ada: int, watch: Watch, verified: list[str]
) -> None:
    answers = [by_pin(bench, ada, f"{200_000 + number}") for number in range(1000)]
    assert {answer.status_code for answer in answers} == {422, 429}
    assert len(verified) == FREE_FAILURES
    assert "Too many tries. Wait 2 seconds." in error_at(parsed(answers[-1]), "pin")
    assert answers[-1].headers["retry-after"] == "2"
    assert "retry-after" not in answers[0].headers
    assert COOKIE not in bench.client.cookies


def test_patience_opens_nothing_either_and_then_the_right_pin_is_refused_too(
    bench: Visitor, ada: int, watch: Watch, verified: list[str]
) -> None:
    statuses = []
    for number in range(60):
        statuses.append(by_pin(bench, ada, f"{200_000 + number}").status_code)
        watch.on(minutes=16)
    assert statuses == [422] * PIN_FAILURES + [403] * (60 - PIN_FAILURES)
    assert len(verified) == PIN_FAILURES
    closed = by_pin(bench, ada)
    assert closed.status_code == 403
    assert "is closed" in error_at(parsed(closed), "pin")


def test_a_closed_pin_is_opened_by_its_owners_password(bench: Visitor, ada: int, watch: Watch) -> None:
    for _ in range(PIN_FAILURES):
        by_pin(bench, ada, WRONG_PIN)
        watch.on(minutes=16)
    assert by_pin(bench, ada).status_code == 403
    assert by_password(bench).status_code == 303
    bench.post("/sign-out")
    assert by_pin(bench, ada).status_code == 303


def test_a_tablet_takes_a_password_as_well(bench: Visitor, sqlite_database: Database, ada: int) -> None:
    assert one(parsed(bench.get("/sign-in?by=password")), '[name="password"]')
    wrong = parsed(by_password(bench, "wrong"))
    assert "Everybody's names" in words(wrong)
    by_password(bench)
    (row,) = sign_in_rows(sqlite_database)
    assert row.tablet_id is not None


def test_a_tablet_on_which_nobody_has_a_pin_asks_for_a_password(sqlite_database: Database) -> None:
    cass = somebody(sqlite_database, "Cass", password=PASSWORD)
    assert one(parsed(tablet(sqlite_database, cass).get("/sign-in")), '[name="password"]')


# In the demo.


def test_the_demo_lets_everybody_pick(sqlite_database: Database) -> None:
    cass = somebody(sqlite_database, "Cass", Role.SUPERVISOR)
    phone = Visitor(sqlite_database, None, demo=True)
    page = parsed(phone.get("/sign-in?next=/growers"))
    assert "everybody comes without a password" in words(page)
    assert words(page, "main button") == "Cass line supervisor"
    answer = phone.post("/sign-in/picked", {"person": cass, "next": typed_in(page, "next")})
    assert answer.headers["location"] == "/growers"
    assert name_in(phone) == "Cass"


@pytest.mark.parametrize("person", ["", "12", "none", "9" * 25])
def test_nobody_cannot_be_picked(sqlite_database: Database, person: str) -> None:
    somebody(sqlite_database, "Cass")
    answer = Visitor(sqlite_database, None, demo=True).post("/sign-in/picked", {"person": person})
    assert answer.status_code == 422
    assert "set-cookie" not in answer.headers


def test_who_has_left_is_not_picked(sqlite_database: Database) -> None:
    cass, _ = somebody(sqlite_database, "Cass"), somebody(sqlite_database, "Bo")
    with sqlite_database.writing() as session:
        session.get_one(PersonRow, cass).active = False
        session.commit()
    phone = Visitor(sqlite_database, None, demo=True)
    assert "Cass" not in words(parsed(phone.get("/sign-in")))
    assert phone.post("/sign-in/picked", {"person": cass}).status_code == 422


def test_out_of_the_demo_nobody_is_picked(phone: Visitor, ada: int, sqlite_database: Database) -> None:
    assert phone.post("/sign-in/picked", {"person": ada}).status_code == 404
    assert sign_in_rows(sqlite_database) == []


def test_in_the_demo_a_password_somebody_was_given_works(sqlite_database: Database, ada: int) -> None:
    phone = Visitor(sqlite_database, None, demo=True)
    page = parsed(phone.get("/sign-in?by=password"))
    assert "Everybody's names" in words(page)
    assert by_password(phone).status_code == 303
