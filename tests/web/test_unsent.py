"""A tablet's file of unsent fruit: taken in whole or fruit by fruit, again without harm, damaged not at all."""

import hashlib
import json
import zlib
from typing import Any

import pytest
from httpx2 import Response
from sqlmodel import select

from shedgrade.domain.people import Doer, Role
from shedgrade.storage.bench import bench_sample, fruit_after
from shedgrade.storage.database import Database
from shedgrade.storage.tables import FruitCapture, PersonRow
from tests.support.bench import Bench
from tests.support.visitor import ORIGIN, Visitor, error_at, one, parsed, visitor, words

AGAIN = "This is not a file of unsent fruit. Choose the one that the tablet gave, unchanged."


@pytest.fixture
def boss(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.SUPERVISOR)


def entries(database: Database, made: Bench, *weights: str) -> list[dict[str, Any]]:
    with database.reading() as session:
        mark = bench_sample(session, made.sample).mark
        name = session.get_one(PersonRow, made.grader).name
    who = {"sample": made.sample, "mark": mark, "person": made.grader, "name": name, "at": "2026-01-09T15:04:05Z"}
    return [
        {**who, "key": f"{number:032x}", "fields": [["weight", weight], ["mark-rub", "2.5"]]}
        for number, weight in enumerate(weights)
    ]


def file_of(kept: Any, **changed: Any) -> bytes:
    """As static/js/bench/rescue-file.js writes it; tests/browser/test_queue.py holds that it does."""
    text = json.dumps(kept)
    whole = {"version": 1, "made_at": "2026-01-12T05:00:00Z", "crc32": f"{zlib.crc32(text.encode()):08x}"}
    return json.dumps({**whole, "entries": text, **changed}).encode()


def hand_in(browser: Visitor, content: bytes, name: str = "unsent.json", **headers: str) -> Response:
    files = {"file": (name, content, "application/json")}
    return browser.client.post("/unsent/file", files=files, headers={"origin": ORIGIN, **headers})


def stored(database: Database, made: Bench) -> list[tuple[int, Doer]]:
    with database.reading() as session:
        return [(each.fruit.weight_dg, each.measured_by) for each in fruit_after(session, made.sample, 0, 100)]


def test_every_fruit_is_stored_under_who_measured_it_and_once(
    sqlite_database: Database, made: Bench, boss: Visitor
) -> None:
    content = file_of(entries(sqlite_database, made, "412", "385.5"))
    first, second = hand_in(boss, content), hand_in(boss, content)
    assert words(parsed(first), "h1").endswith("2 fruit stored, 0 stored before")
    assert one(parsed(first), f"a[href='/samples/{made.sample}/fruit']")
    assert parsed(first).select("form [type=file]") == []
    assert words(parsed(second), "h1").endswith("0 fruit stored, 2 stored before")
    assert stored(sqlite_database, made) == [(4120, Doer("Bench two")), (3855, Doer("Bench two"))]
    with sqlite_database.reading() as session:
        captures = session.exec(select(FruitCapture)).all()
        sender = session.exec(select(PersonRow.id).where(PersonRow.name == Role.SUPERVISOR.words)).one()
    assert {(each.sent_by_id, each.file_sha256, each.tablet_id) for each in captures} == {
        (sender, hashlib.sha256(content).hexdigest(), None)
    }
    assert "and came in a file; sent by line supervisor." in words(parsed(boss.get("/fruit/1")))


def test_what_cannot_be_stored_is_listed_and_the_rest_is_stored(
    sqlite_database: Database, made: Bench, boss: Visitor
) -> None:
    kept = entries(sqlite_database, made, "412", "4120", "385.5", "400")
    kept[3] = {**kept[0], "fields": [["weight", "500"]]}
    page = parsed(hand_in(boss, file_of(kept)))
    assert words(page, "h1").endswith("2 fruit stored, 0 stored before, 2 not taken")
    rows = [" ".join(row.get_text(" ").split()) for row in page.select("tbody tr")]
    assert rows[0].startswith("4120, mark rub 2.5 Bench two 4 120 g is heavier than any mango")
    assert rows[1].startswith(
        "500 Bench two Under this id fruit 1 was stored before, and it is another one. Stored: 412 g"
    )
    assert [weight for weight, _ in stored(sqlite_database, made)] == [4120, 3855]


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"weight g\n412\n",
        b"[]",
        b"7",
        b"{}",
        b'{"version": 1}',
        b"[" * 100_000,
        b"\xff\xfe\x00",
        b'{"version": 1, "crc32": "00000000", "entries": "\\ud800"}',
        file_of([], version=2),
        file_of([], version=None),
    ],
    ids=["empty", "csv", "list", "number", "object", "half", "deep", "bytes", "surrogate", "newer", "no version"],
)
def test_another_file_is_none(content: bytes, boss: Visitor) -> None:
    answer = hand_in(boss, content)
    assert (answer.status_code, error_at(parsed(answer), "file")) == (422, AGAIN)


@pytest.mark.parametrize("changed", [{"crc32": "00000000"}, {"crc32": ""}, {"entries": "[]"}])
def test_a_damaged_file_stores_nothing(
    changed: dict[str, str], sqlite_database: Database, made: Bench, boss: Visitor
) -> None:
    answer = hand_in(boss, file_of(entries(sqlite_database, made, "412"), **changed))
    assert (answer.status_code, "arrived damaged" in error_at(parsed(answer), "file")) == (422, True)
    assert stored(sqlite_database, made) == []


def test_no_file_and_too_many_entries(boss: Visitor) -> None:
    answer = boss.post("/unsent/file", {})
    assert error_at(parsed(answer), "file") == "Choose the file that the tablet gave."
    answer = hand_in(boss, file_of([{}] * 5_001))
    assert "at most 5000 are accepted" in error_at(parsed(answer), "file")


def test_who_may_not(sqlite_database: Database, made: Bench, boss: Visitor) -> None:
    content = file_of(entries(sqlite_database, made, "412"))
    assert hand_in(visitor(sqlite_database, Role.MARKETER), content).status_code == 403
    assert hand_in(visitor(sqlite_database, Role.GROWER, grower_id=made.grower), content).status_code == 403
    assert hand_in(Visitor(sqlite_database, None), content).headers["location"].startswith("/sign-in")
    assert hand_in(boss, content, origin="http://elsewhere.example").status_code == 403
    assert stored(sqlite_database, made) == []


def test_the_service_worker_may_speak_for_every_page(sqlite_database: Database) -> None:
    answer = Visitor(sqlite_database, None).get("/service-worker.js")
    assert (answer.status_code, answer.headers["cache-control"]) == (200, "no-cache")
    assert answer.headers["content-type"].startswith("text/javascript")
    assert "default-src 'self'" in answer.headers["content-security-policy"]
