"""What no browser sends and somebody else may: refused or let through, never a breakage, and never stored broken."""

import pytest
from httpx2 import Response
from sqlmodel import select

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from shedgrade.storage.tables import Grower
from tests.support.visitor import ORIGIN, Visitor, visitor

FINE = range(200, 500)
HALF_A_PAIR = {"unicode_escape": b"\\ud800 Creek", "raw_unicode_escape": b"\\ud800 Creek", "utf-7": b"+2AA- Creek"}
OTHER_CHARSETS = {"utf-8": b"\xff\xfe", "punycode": b"\xff-99999999", "undefined": b"a", "utf-16": b"a", "hex": b"zz"}


@pytest.fixture
def keeper(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.MANAGER)


def multipart(who: Visitor, charset: str, name: bytes) -> Response:
    """A grower's form as parts in a charset of the sender's choice."""
    body = b'--x\r\nContent-Disposition: form-data; name="name"\r\n\r\n' + name + b"\r\n--x--\r\n"
    kind = f"multipart/form-data; boundary=x; charset={charset}"
    return who.client.post("/growers", content=body, headers={"origin": ORIGIN, "content-type": kind})


@pytest.mark.parametrize("charset", HALF_A_PAIR)
def test_half_a_surrogate_pair_is_left_out(keeper: Visitor, sqlite_database: Database, charset: str) -> None:
    assert multipart(keeper, charset, HALF_A_PAIR[charset]).status_code == 303
    with sqlite_database.reading() as session:
        assert session.exec(select(Grower.name)).all() == ["Creek"]


@pytest.mark.parametrize("charset", OTHER_CHARSETS)
def test_any_charset_is_borne(keeper: Visitor, charset: str) -> None:
    assert multipart(keeper, charset, OTHER_CHARSETS[charset]).status_code in FINE


def test_a_nul_is_left_out(keeper: Visitor, sqlite_database: Database) -> None:
    assert keeper.post("/growers", {"name": "Tallow\x00 Creek"}).status_code == 303
    with sqlite_database.reading() as session:
        assert session.exec(select(Grower.name)).all() == ["Tallow Creek"]


@pytest.mark.parametrize("origin", ["http://[::1", "http://", "//", "x" * 5_000, f"{ORIGIN}/", f"{ORIGIN}@elsewhere"])
def test_an_origin_that_is_none_is_refused(keeper: Visitor, origin: str) -> None:
    assert keeper.client.post("/growers", data={"name": "x"}, headers={"origin": origin}).status_code == 403


@pytest.mark.parametrize(
    "referer", ["http://[::1", "//", "https://elsewhere.example/people", f"{ORIGIN}.example/people"]
)
def test_a_stranger_is_sent_back_to_no_foreign_page(sqlite_database: Database, referer: str) -> None:
    visitor(sqlite_database, Role.MANAGER)  # somebody is in the books
    headers = {"referer": referer, "hx-request": "true"}
    assert Visitor(sqlite_database, None).get("/growers", headers=headers).headers["hx-redirect"] == "/sign-in"


@pytest.mark.parametrize("cookie", [b"sign_in=\xff\xfe", b"sign_in=" + b"x" * 5_000, b"sign_in", b";;=;", b'sign_in="'])
def test_a_broken_cookie_is_nobody_s(sqlite_database: Database, cookie: bytes) -> None:
    visitor(sqlite_database, Role.MANAGER)
    answer = Visitor(sqlite_database, None).client.get("/growers", headers={b"cookie": cookie})
    assert (answer.status_code, answer.headers["location"]) == (303, "/sign-in?next=/growers")


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "TRACE", "OPTIONS", "ELSE"])
def test_another_method_is_not_allowed(keeper: Visitor, method: str) -> None:
    assert keeper.client.request(method, "/growers", headers={"origin": ORIGIN}).status_code == 405
