"""What every request meets first."""

import pytest

from shedgrade.domain.people import Role
from shedgrade.settings import MIB
from shedgrade.storage.database import Database
from shedgrade.web.static_files import static_address
from tests.support.visitor import Visitor, parsed, visitor, words


@pytest.fixture
def keeper(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.MANAGER)


def test_every_answer_carries_the_strict_headers(keeper: Visitor) -> None:
    for address in ("/growers", "/nothing", f"{static_address()}/icon.svg", "/service-worker.js"):
        headers = keeper.get(address).headers
        assert "unsafe" not in headers["content-security-policy"]
        assert headers["content-security-policy"].startswith("default-src 'self'")
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["referrer-policy"] == "same-origin"


def test_parts_of_a_page_go_by_its_policy_and_are_what_they_say(keeper: Visitor) -> None:
    for address in (f"{static_address()}/css/app.css", f"{static_address()}/js/app.js"):
        headers = keeper.get(address).headers
        assert headers["x-content-type-options"] == "nosniff"
        assert "content-security-policy" not in headers


@pytest.mark.parametrize("name", ["js/nothing.js", "css/nothing.css", "nothing"])
def test_where_no_file_stands_the_answer_is_a_page(keeper: Visitor, name: str) -> None:
    answer = keeper.get(f"{static_address()}/{name}")
    assert answer.status_code == 404
    assert answer.headers["content-security-policy"].startswith("default-src 'self'")
    assert answer.headers["cache-control"] == "no-store"


def test_a_part_that_the_browser_has_already_is_not_dressed_anew(keeper: Visitor) -> None:
    sheet = f"{static_address()}/css/app.css"
    first = keeper.get(sheet)
    again = keeper.get(sheet, headers={"if-none-match": first.headers["etag"]})
    assert again.status_code == 304
    assert "content-security-policy" not in again.headers
    assert again.headers["cache-control"] == first.headers["cache-control"]


def test_records_are_not_kept_by_the_browser(keeper: Visitor) -> None:
    assert keeper.get("/growers").headers["cache-control"] == "no-store"


def test_a_body_over_the_limit_is_refused_in_a_sentence(keeper: Visitor) -> None:
    answer = keeper.post("/growers", {"name": "x" * (17 * MIB)})
    assert answer.status_code == 413
    assert "over 16 MB" in words(parsed(answer))


def test_a_broken_form_is_refused_in_a_sentence(keeper: Visitor) -> None:
    headers = {"content-type": "multipart/form-data; boundary=x", "origin": "http://testserver"}
    answer = keeper.client.post("/growers", content=b"--y\r\nnot a form", headers=headers)
    assert answer.status_code in {400, 422}
    assert "Traceback" not in answer.text


def test_a_sender_without_cookie_or_origin_is_no_browser(sqlite_database: Database) -> None:
    stranger = Visitor(sqlite_database, None)
    assert stranger.client.post("/growers", data={"name": "x"}).status_code == 303


def test_a_cookie_without_origin_is_refused(keeper: Visitor) -> None:
    assert keeper.client.post("/growers", data={"name": "x"}).status_code == 403


def test_only_hosts_named_are_answered(sqlite_database: Database) -> None:
    only = visitor(sqlite_database, Role.MANAGER, hosts=("shed.lan",))
    assert only.get("/growers").status_code == 400
    assert only.get("/growers", headers={"host": "shed.lan"}).status_code == 200
