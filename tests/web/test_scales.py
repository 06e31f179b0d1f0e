"""Scales paired with benches: the code, the token, what comes in time and what comes late, and who may end one."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from bs4 import Tag
from httpx2 import Response
from sqlmodel import select

from shedgrade.actions.sign_ins import register_tablet
from shedgrade.domain.people import Role
from shedgrade.domain.scales import CODE_LASTS, FRESH_FOR, KEPT_FOR, LATE_AFTER
from shedgrade.storage import tables
from shedgrade.storage.database import Database
from shedgrade.storage.sign_ins import hashed
from tests.support.signing import Watch
from tests.support.visitor import Visitor, parsed, visitor

Machine = Visitor


@pytest.fixture
def machine(sqlite_database: Database) -> Machine:
    """The machine at the scale: it holds no cookie and names no page it came from."""
    return Visitor(sqlite_database, None)


def code_of(bench: Visitor) -> str:
    bench.post("/scales/codes")
    shown = parsed(bench.get("/scales")).select_one(".pairing-code")
    assert shown is not None
    return shown.get_text()


def pairs(machine: Machine, code: str, name: str = "Scale at ttyUSB0") -> Response:
    return machine.client.post("/scales/pairings", data={"code": code, "name": name})


def paired(machine: Machine, bench: Visitor) -> str:
    return str(pairs(machine, code_of(bench)).json()["token"])


def sends(machine: Machine, token: str, weight_dg: object = 4125, **other: Any) -> Response:
    fields = {"run": "r1", "number": "1", "weight_dg": str(weight_dg), "ago_ms": "100", **other}
    return machine.client.post("/scales/readings", data=fields, headers={"authorization": f"Bearer {token}"})


def told(bench: Visitor, seen: str = "") -> Tag:
    answer = bench.get(f"/scales/here?seen={seen}")
    assert answer.status_code == 200
    found = parsed(answer).select_one("[data-state]")
    assert found is not None
    return found


def rows(database: Database, table: type[Any]) -> list[Any]:
    with database.reading() as session:
        return list(session.exec(select(table)))


def test_a_bench_shows_a_code_and_a_scale_that_knows_it_feeds_the_bench(grader: Visitor, machine: Machine) -> None:
    token = paired(machine, grader)
    assert sends(machine, token).status_code == 204
    here = told(grader)
    assert (here["data-live"], here["data-reading"]) == ("412.5", "1")
    assert grader.get(f"/scales/here?seen={here['data-state']}").status_code == 204
    assert "Scale at ttyUSB0 feeds this bench" in grader.get("/scales").text
    assert "authority" not in grader.get("/scales").text


def test_nothing_of_the_token_is_kept_but_its_hash(
    grader: Visitor, machine: Machine, sqlite_database: Database
) -> None:
    token = paired(machine, grader)
    (scale,) = rows(sqlite_database, tables.Scale)
    assert scale.token_sha256 == hashed(token)
    assert token not in repr(scale)
    assert rows(sqlite_database, tables.PairingCode) == []


def test_a_code_works_once(grader: Visitor, machine: Machine) -> None:
    code = code_of(grader)
    assert pairs(machine, code).status_code == 200
    again = pairs(machine, code)
    assert again.status_code == 422
    assert "not a code that a bench shows" in again.json()["sentence"]


def test_a_new_code_takes_the_place_of_the_one_before(grader: Visitor, machine: Machine) -> None:
    before = code_of(grader)
    grader.post("/scales/codes")
    assert pairs(machine, before).status_code == 422


def test_a_code_runs_out(grader: Visitor, machine: Machine, watch: Watch) -> None:
    code = code_of(grader)
    watch.now += CODE_LASTS
    assert pairs(machine, code).status_code == 422
    assert parsed(grader.get("/scales")).select_one(".pairing-code") is None


def test_guessing_codes_is_slowed_for_its_sender_alone(grader: Visitor, machine: Machine, watch: Watch) -> None:
    code = code_of(grader)
    for _ in range(5):
        assert pairs(machine, "00000000").status_code == 422
    slowed = pairs(machine, code)
    assert slowed.status_code == 429
    assert "Wait 2 seconds" in slowed.json()["sentence"]
    watch.now += timedelta(seconds=3)
    assert pairs(machine, code).status_code == 200
    assert pairs(machine, "00000000").status_code == 422  # forgiven by the right one


def test_guessing_codes_slows_no_sign_in(machine: Machine, grader: Visitor) -> None:
    for _ in range(8):
        pairs(machine, "00000000")
    assert machine.post("/sign-in", {"name": "Nobody", "password": "guess"}).status_code == 422


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("number", "0"),
        ("number", ""),
        ("weight_dg", "0"),
        ("weight_dg", "-5"),
        ("weight_dg", "4x"),
        ("weight_dg", "1e3"),
        ("weight_dg", "9" * 30),
        ("ago_ms", "-1"),
        ("ago_ms", "99999999999"),
        ("run", ""),
        ("run", "r" * 41),
    ],
)
def test_what_is_no_reading_is_refused_in_a_sentence(
    grader: Visitor, machine: Machine, sqlite_database: Database, field: str, value: str
) -> None:
    token = paired(machine, grader)
    answer = sends(machine, token, **{field: value})
    assert answer.status_code == 422
    assert answer.json()["sentence"].endswith(".")
    assert rows(sqlite_database, tables.ScaleReading) == []


@pytest.mark.parametrize("sent", ["", "Bearer", "Bearer x", "Basic x", "bearer  "])
def test_without_its_token_nothing_is_taken_in(machine: Machine, sent: str) -> None:
    fields = {"run": "r", "number": "1", "weight_dg": "4125", "ago_ms": "0"}
    assert machine.client.post("/scales/readings", data=fields, headers={"authorization": sent}).status_code == 404


def test_a_page_elsewhere_can_send_nothing(grader: Visitor, machine: Machine) -> None:
    token = paired(machine, grader)
    headers = {"authorization": f"Bearer {token}", "origin": "http://elsewhere.example"}
    fields = {"run": "r", "number": "1", "weight_dg": "4125", "ago_ms": "0"}
    assert machine.client.post("/scales/readings", data=fields, headers=headers).status_code == 403


def test_the_same_reading_sent_twice_is_kept_once(grader: Visitor, machine: Machine, sqlite_database: Database) -> None:
    token = paired(machine, grader)
    for _ in range(2):
        assert sends(machine, token).status_code == 204
    assert len(rows(sqlite_database, tables.ScaleReading)) == 1
    sends(machine, token, number="2")
    sends(machine, token, run="another start", number="1")
    assert len(rows(sqlite_database, tables.ScaleReading)) == 3


def test_a_fresh_reading_goes_stale(grader: Visitor, machine: Machine, watch: Watch) -> None:
    sends(machine, paired(machine, grader))
    watch.now += FRESH_FOR
    assert told(grader)["data-live"] == ""


def test_what_comes_late_waits_in_order_and_never_goes_in_by_itself(grader: Visitor, machine: Machine) -> None:
    token = paired(machine, grader)
    late_ms = int(LATE_AFTER.total_seconds() * 1000)
    for number, (weight_dg, ago_ms) in enumerate([(4125, late_ms + 60_000), (3980, late_ms + 30_000)], 1):
        sends(machine, token, weight_dg, number=str(number), ago_ms=str(ago_ms))
    here = told(grader)
    assert here["data-live"] == ""
    assert "412.5" in here.get_text()
    assert "1 more after it" in here.get_text()
    first = here.select_one("form[data-put]")
    assert first is not None
    assert first["data-put"] == "412.5"
    assert grader.post(str(first["action"])).status_code == 303
    then = told(grader)
    assert then["data-state"] != here["data-state"]
    assert "398" in then.get_text()
    assert grader.post(str(first["action"])).status_code == 404
    grader.post("/scales/readings/2/ending")
    assert told(grader).get_text(strip=True) == ""


def test_late_ones_stand_on_the_page_for_who_has_no_scripts(grader: Visitor, machine: Machine) -> None:
    sends(machine, paired(machine, grader), ago_ms="60000")
    assert "Weighed while the shed was out of reach" in grader.get("/scales").text


def test_nobody_elses_bench_hears_or_puts_away_anything(
    grader: Visitor, machine: Machine, sqlite_database: Database
) -> None:
    sends(machine, paired(machine, grader), ago_ms="60000")
    other = visitor(sqlite_database, Role.GRADER, Role.SUPERVISOR)
    answer = other.get("/scales/here")
    assert (answer.status_code, answer.headers["scale"]) == (204, "none")
    assert other.post("/scales/readings/1/ending").status_code == 404
    assert other.post("/scales/1/ending").status_code == 404
    assert "Scale at" not in other.get("/devices").text


def test_old_readings_are_dropped(grader: Visitor, machine: Machine, sqlite_database: Database, watch: Watch) -> None:
    token = paired(machine, grader)
    sends(machine, token, ago_ms="60000")
    watch.now += KEPT_FOR
    sends(machine, token, number="2")
    assert [row.number for row in rows(sqlite_database, tables.ScaleReading)] == [2]


def test_a_bench_left_open_over_night_takes_the_first_reading_for_a_new_one(
    grader: Visitor, machine: Machine, watch: Watch
) -> None:
    token = paired(machine, grader)
    sends(machine, token)
    seen = int(str(told(grader)["data-reading"]))
    watch.now += KEPT_FOR + timedelta(hours=1)
    sends(machine, token, number="2")
    assert int(str(told(grader)["data-reading"])) > seen


def test_a_second_scale_takes_the_place_of_the_first(grader: Visitor, machine: Machine) -> None:
    first = paired(machine, grader)
    second = str(pairs(machine, code_of(grader)).json()["token"])
    assert sends(machine, first).status_code == 404
    assert sends(machine, second).status_code == 204


def test_who_keeps_people_ends_any_scale_on_the_page_of_devices(
    grader: Visitor, machine: Machine, sqlite_database: Database
) -> None:
    token = paired(machine, grader)
    manager = visitor(sqlite_database, Role.MANAGER)
    assert "Scale at ttyUSB0" in manager.get("/devices").text
    assert manager.post("/scales/1/ending").headers["location"] == "/devices?done=scale-ended"
    assert sends(machine, token).status_code == 404
    assert manager.post("/scales/1/ending").status_code == 404
    history = manager.get("/settings/history").text
    assert "paired the scale Scale at ttyUSB0" in history
    assert "ended the scale Scale at ttyUSB0" in history
    assert token not in history


def test_whose_bench_it_is_ends_it_too(grader: Visitor, machine: Machine) -> None:
    token = paired(machine, grader)
    assert "Scale at ttyUSB0" in grader.get("/devices").text
    assert grader.post("/scales/1/ending").status_code == 303
    assert sends(machine, token).status_code == 404


def test_a_bench_that_is_signed_out_is_fed_no_more(grader: Visitor, machine: Machine) -> None:
    token = paired(machine, grader)
    grader.post("/sign-out")
    assert sends(machine, token).status_code == 404


def test_a_scale_of_a_tablet_feeds_whoever_is_at_it_until_the_tablet_ends(
    machine: Machine, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        manager = tables.PersonRow(name="Ada Thorne")
        session.add(manager)
        session.flush()
        opened = register_tablet(session, "Bench 1", manager.id or 0, datetime.now(UTC))
        session.commit()
    first, second = (visitor(sqlite_database, Role.GRADER, *more) for more in ((), (Role.SUPERVISOR,)))
    with sqlite_database.writing() as session:
        for row in session.exec(select(tables.SignIn)):
            row.tablet_id = opened.id
            session.add(row)
        session.commit()
    token = paired(machine, first)
    sends(machine, token)
    assert told(first)["data-live"] == told(second)["data-live"] == "412.5"
    with sqlite_database.writing() as session:
        tablet = session.get(tables.Tablet, opened.id)
        assert tablet is not None
        tablet.ended_at, tablet.ended_by_id = datetime.now(UTC), tablet.registered_by_id
        session.add(tablet)
        session.commit()
    assert sends(machine, token, number="2").status_code == 404


def test_a_bench_that_asks_by_itself_says_nothing_of_somebody_being_there(
    grader: Visitor, machine: Machine, sqlite_database: Database, watch: Watch
) -> None:
    paired(machine, grader)
    grader.get("/scales")
    (before,) = rows(sqlite_database, tables.SignIn)
    watch.now += timedelta(minutes=5)
    grader.get("/scales/here")
    (after,) = rows(sqlite_database, tables.SignIn)
    assert after.seen_at == before.seen_at
    grader.get("/scales")
    (touched,) = rows(sqlite_database, tables.SignIn)
    assert touched.seen_at > before.seen_at


def test_who_does_not_grade_has_no_bench(sqlite_database: Database) -> None:
    marketer = visitor(sqlite_database, Role.MARKETER)
    assert marketer.get("/scales").status_code == 403
    assert marketer.get("/scales/here").status_code == 403
    assert marketer.post("/scales/codes").status_code == 403
