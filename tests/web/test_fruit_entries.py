"""What a tablet kept and sends later: stored once and under who measured it, each entry by itself."""

import json
from datetime import UTC, datetime, timedelta
from typing import Any
from unittest.mock import patch

import pytest
from httpx2 import Response
from sqlmodel import col, select

from shedgrade.actions import samples as actions
from shedgrade.actions.people import PersonFacts, change_person
from shedgrade.actions.sign_ins import sign_in
from shedgrade.domain.grading.facts import Defect, Fruit
from shedgrade.domain.people import Doer, Role
from shedgrade.domain.units import THIN
from shedgrade.storage.bench import MeasuredFruit, bench_sample, fruit_after
from shedgrade.storage.database import Database
from shedgrade.storage.people import person_whole
from shedgrade.storage.tables import Change, Consignment, FruitCapture, FruitRow, PersonRow, Sample, Tablet
from shedgrade.web.clock import Clock
from shedgrade.web.entries import MOST_ENTRIES
from shedgrade.web.undoing import NOT_YOURS, may_undo_as_captured
from shedgrade.web.whoami import COOKIE
from tests.support import season
from tests.support.bench import Bench, bench
from tests.support.signing import Watch, somebody, tablet
from tests.support.visitor import Visitor, parsed, visitor, words

KEY = "0123456789abcdef0123456789abcdef"
FIELDS = [["weight", "412 g"], ["stage", "3"], ["mark-sap-stain", "4,6"], ["seen", "sap-stain"], ["draw", ""]]
CAPTURED = "2026-01-09T15:04:05.678Z"


@pytest.fixture
def ada(sqlite_database: Database) -> int:
    return somebody(sqlite_database, "Ada Birch", Role.GRADER)


@pytest.fixture
def her_browser(sqlite_database: Database, ada: int) -> Visitor:
    return Visitor(sqlite_database, ada)


def key(number: int) -> str:
    return f"{number:032x}"


def entry(database: Database, made: Bench, person: int, **changed: Any) -> dict[str, Any]:
    """A fruit as the tablet keeps it."""
    with database.reading() as session:
        mark = bench_sample(session, made.sample).mark
        name = session.get_one(PersonRow, person).name
    good = {"key": KEY, "sample": made.sample, "mark": mark, "person": person, "name": name, "at": CAPTURED}
    return {**good, "fields": FIELDS, **changed}


def voiding(database: Database, made: Bench, person: int, **changed: Any) -> dict[str, Any]:
    return entry(database, made, person, **{"key": key(900), "voids": KEY, "reason": actions.UNDONE, **changed})


def send(browser: Visitor, *entries: Any, **options: Any) -> Response:
    return browser.post("/fruit-entries", {"entries": json.dumps(entries)}, **options)


def answers(browser: Visitor, *entries: Any) -> list[dict[str, Any]]:
    response = send(browser, *entries)
    assert response.status_code == 200, response.text
    found: list[dict[str, Any]] = json.loads(response.text.replace(THIN, " "))["answers"]
    return found


def stored(database: Database, made: Bench) -> list[MeasuredFruit]:
    with database.reading() as session:
        return fruit_after(session, made.sample, 0, 1000)


def at_tablet(database: Database, registrar: int, person: int, name: str = "Bench 1") -> tuple[Visitor, int]:
    """A tablet of the shed at which this person is signed in, and its id."""
    browser = tablet(database, registrar, name)
    with database.reading() as session:
        tablet_id = session.exec(select(Tablet.id).where(Tablet.name == name)).one() or 0
    with database.writing() as session:
        opened = sign_in(session, person, "a tablet's browser", datetime.now(UTC), tablet_id)
        session.commit()
    browser.client.cookies.set(COOKIE, opened.token)
    return browser, tablet_id


def test_a_fruit_is_stored_as_typed_and_its_id_named_back(
    sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    (answer,) = answers(her_browser, entry(sqlite_database, made, ada))
    (fruit,) = stored(sqlite_database, made)
    assert fruit.fruit == Fruit(4120, 3, (Defect("sap-stain", area_mm2=460),))
    assert fruit.measured_by == Doer("Ada Birch")
    told = {name: answer[name] for name in ("key", "answer", "fruit", "number", "draw", "class_word", "facts")}
    assert told == {
        "key": KEY,
        "answer": "stored",
        "fruit": fruit.id,
        "number": 1,
        "draw": fruit.draw_id,
        "class_word": "Class II",
        "facts": "412 g, stage 3, sap stain 4.6 cm²",
    }


def test_the_tablet_s_clock_is_kept_and_decides_nothing(
    sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    begun = datetime.now(UTC)
    answers(
        her_browser,
        entry(sqlite_database, made, ada, key=key(1), at="2031-05-05T00:00:00Z"),
        entry(sqlite_database, made, ada, key=key(2), at="1999-05-05T00:00:00Z"),
    )
    with sqlite_database.reading() as session:
        captures = session.exec(select(FruitCapture).order_by(col(FruitCapture.fruit_id))).all()
    assert [each.captured_at.year for each in captures if each.captured_at] == [2031, 1999]
    assert [(each.sent_by_id, each.tablet_id, each.file_sha256) for each in captures] == [(ada, None, "")] * 2
    assert [each.number for each in stored(sqlite_database, made)] == [1, 2]
    assert all(begun <= each.measured_at <= datetime.now(UTC) for each in stored(sqlite_database, made))


@pytest.mark.parametrize("at", ["", "yesterday", "2026-01-09", "0001-01-01T00:00:00+14:00", 17, None, "9" * 400])
def test_a_clock_that_tells_no_time_loses_no_fruit(
    at: Any, sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    (answer,) = answers(her_browser, entry(sqlite_database, made, ada, at=at))
    assert answer["answer"] == "stored"
    with sqlite_database.reading() as session:
        assert session.exec(select(FruitCapture.captured_at)).all() == [None]
    assert "Kept in the browser first." in words(parsed(her_browser.get(f"/fruit/{answer['fruit']}")))


def test_sent_again_it_is_stored_once_and_answered_alike(
    sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    first, second = (answers(her_browser, entry(sqlite_database, made, ada))[0] for _ in range(2))
    assert (first["answer"], second["answer"]) == ("stored", "had already")
    assert {**first, "answer": ""} == {**second, "answer": ""}
    assert len(stored(sqlite_database, made)) == 1


def test_twice_in_one_batch_it_is_stored_once(
    sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    one = entry(sqlite_database, made, ada)
    assert [each["answer"] for each in answers(her_browser, one, one)] == ["stored", "had already"]
    assert len(stored(sqlite_database, made)) == 1


def test_the_same_id_with_another_fruit_shows_both_and_changes_nothing(
    sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    answers(her_browser, entry(sqlite_database, made, ada))
    (answer,) = answers(her_browser, entry(sqlite_database, made, ada, fields=[["weight", "450"]]))
    assert (answer["answer"], answer["stands"], answer["holds"]) == (
        "differs",
        "412 g, stage 3, sap stain 4.6 cm²",
        "450 g",
    )
    assert [each.fruit.weight_dg for each in stored(sqlite_database, made)] == [4120]


def test_a_fruit_saved_by_the_form_is_known_by_its_id(
    sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    her_browser.post(f"/samples/{made.sample}/fruit", {**dict(FIELDS), "entry_key": KEY})
    (answer,) = answers(her_browser, entry(sqlite_database, made, ada))
    assert answer["answer"] == "had already"
    assert len(stored(sqlite_database, made)) == 1


@pytest.mark.parametrize(
    "case",
    [
        ([["weight", "4120"]], "weight", "heavier than any mango", "412"),
        ([["weight", ""]], "weight", "", ""),
        ([], "weight", "", ""),
        ([["weight", "412"], ["mark-rub", "900"]], "mark-rub", "more than the whole surface", ""),
        ([["weight", "412"], ["seen", "rub"]], "mark-rub", "type its area in cm²", ""),
        ([["weight", "412"], ["stage", "9"]], "stage", "no stage of this colour scale", ""),
        ([["weight", "412"], ["size_code", "A"]], "size_code", 'not size "A"', ""),
        ([["weight", "412"], ["mark-moon", "1"]], "mark-moon", 'no defect kind "moon"', ""),
    ],
)
def test_what_cannot_be_is_refused_by_its_field_and_the_rest_is_stored(
    case: tuple[list[list[str]], str, str, str],
    sqlite_database: Database,
    made: Bench,
    ada: int,
    her_browser: Visitor,
) -> None:
    fields, name, says, meant = case
    batch = [entry(sqlite_database, made, ada, key=key(number)) for number in (1, 2, 3)]
    batch[1]["fields"] = fields
    before, bad, after = answers(her_browser, *batch)
    assert (before["answer"], bad["answer"], after["answer"]) == ("stored", "refused", "stored")
    assert says in bad["errors"][name]
    assert bad["errors"][name] in bad["says"]
    assert bad["meant"] == meant
    assert [each.number for each in stored(sqlite_database, made)] == [1, 2]


BROKEN: list[Any] = [
    None,
    7,
    "fruit",
    [],
    {},
    {"key": ""},
    {"key": "short"},
    {"key": "x" * 65},
    {"key": "../../../../etc/passwd"},
    {"key": 12345678901234567890},
]


@pytest.mark.parametrize("broken", BROKEN, ids=[json.dumps(each)[:20] for each in BROKEN])
def test_what_is_no_entry_blocks_no_other(
    broken: Any, sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    bad, good = answers(her_browser, broken, entry(sqlite_database, made, ada))
    assert (bad["key"], bad["answer"], good["answer"]) == ("", "refused", "stored")


@pytest.mark.parametrize(
    "fields",
    [
        None,
        "weight=412",
        {"weight": "412"},
        [["weight"]],
        [["weight", 412]],
        [[1, 2, 3]],
        [["weight", "9" * 501]],
        [["weight", "412"]] * 201,
    ],
    ids=["none", "text", "object", "half", "number", "three", "long", "many"],
)
def test_fields_that_cannot_be_read_are_refused(
    fields: Any, sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    (answer,) = answers(her_browser, entry(sqlite_database, made, ada, fields=fields))
    assert (answer["answer"], answer["says"]) == ("refused", "The fields of this fruit cannot be read.")


def test_letters_no_database_keeps_are_left_out(
    sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    (answer,) = answers(her_browser, entry(sqlite_database, made, ada, fields=[["weight", "41\x002\ud800"]]))
    assert (answer["answer"], answer["facts"]) == ("stored", "412 g")


@pytest.mark.parametrize("sent", ["", "{", "7", "null", '{"key": 1}', "[" * 100_000, '"' + "x" * 100])
def test_what_is_no_list_is_refused_whole(sent: str, her_browser: Visitor) -> None:
    assert her_browser.post("/fruit-entries", {"entries": sent}).status_code == 422


def test_more_than_a_batch_is_refused_whole(
    sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    one = entry(sqlite_database, made, ada)
    response = send(her_browser, *[one] * (MOST_ENTRIES + 1))
    assert (response.status_code, "at most 200 are accepted" in words(parsed(response))) == (422, True)
    assert stored(sqlite_database, made) == []


def test_a_body_over_the_limit_is_refused(sqlite_database: Database, ada: int) -> None:
    small = Visitor(sqlite_database, ada, upload_limit=10_000)
    assert small.post("/fruit-entries", {"entries": "x" * 20_000}).status_code == 413


def test_who_may_not(sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor) -> None:
    one = entry(sqlite_database, made, ada)
    assert send(visitor(sqlite_database, Role.MARKETER), one).status_code == 403
    assert send(visitor(sqlite_database, Role.GROWER, grower_id=made.grower), one).status_code == 403
    assert send(Visitor(sqlite_database, None), one).headers["location"] == "/sign-in"
    assert send(her_browser, one, headers={"origin": "http://elsewhere.example"}).status_code == 403
    assert send(her_browser, one, headers={"origin": "null"}).status_code == 403
    assert stored(sqlite_database, made) == []


def test_a_fruit_of_another_shift_keeps_who_measured_it(sqlite_database: Database, made: Bench, ada: int) -> None:
    bea = somebody(sqlite_database, "Bea Rowan", Role.GRADER)
    browser, tablet_id = at_tablet(sqlite_database, made.grader, bea)
    (answer,) = answers(browser, entry(sqlite_database, made, ada))
    assert answer["answer"] == "stored"
    (fruit,) = stored(sqlite_database, made)
    assert fruit.measured_by == Doer("Ada Birch")
    with sqlite_database.reading() as session:
        capture = session.exec(select(FruitCapture)).one()
    assert (capture.sent_by_id, capture.tablet_id) == (bea, tablet_id)
    said = words(parsed(browser.get(f"/fruit/{fruit.id}")))
    assert "Kept on Bench 1 first, Fri 9 Jan 2026, 15:04 by its own clock; sent by Bea Rowan." in said


def test_a_grower_reads_nobody_s_name_of_it(sqlite_database: Database, made: Bench, ada: int) -> None:
    bea = somebody(sqlite_database, "Bea Rowan", Role.GRADER)
    browser, _ = at_tablet(sqlite_database, made.grader, bea)
    (answer,) = answers(browser, entry(sqlite_database, made, ada))
    grower = visitor(sqlite_database, Role.GROWER, grower_id=made.grower)
    said = words(parsed(grower.get(f"/fruit/{answer['fruit']}")))
    assert "sent by the shed" in said
    assert "Ada" not in said
    assert "Bea" not in said


def test_in_a_browser_of_one_s_own_nobody_sends_another_s(sqlite_database: Database, made: Bench, ada: int) -> None:
    other = visitor(sqlite_database, Role.SUPERVISOR)
    response = send(other, entry(sqlite_database, made, ada))
    told = response.json()
    (answer,) = told["answers"]
    with sqlite_database.reading() as session:
        assert session.get_one(PersonRow, told["sender"]).name == Role.SUPERVISOR.words
    assert (answer["answer"], answer["says"]) == (
        "not yours",
        "Ada Birch measured this, and has to sign in here to send it.",
    )
    assert stored(sqlite_database, made) == []


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"person": 999_999}, "The books have no Ada Birch any more."),
        ({"person": "x"}, "The books have no Ada Birch any more."),
        ({"person": None}, "The books have no Ada Birch any more."),
        ({"name": "Cleo Marsh"}, "The books know Cleo Marsh by another name."),
        ({"name": ""}, "The books know somebody by another name."),
    ],
)
def test_whom_the_books_do_not_know_so_is_not_guessed(
    changed: dict[str, Any], says: str, sqlite_database: Database, made: Bench, ada: int
) -> None:
    bea = somebody(sqlite_database, "Bea Rowan", Role.GRADER)
    browser, _ = at_tablet(sqlite_database, made.grader, bea)
    (answer,) = answers(browser, {**entry(sqlite_database, made, ada), **changed})
    assert (answer["answer"], says in answer["says"]) == ("not yours", True)
    assert stored(sqlite_database, made) == []


def test_a_restored_server_gives_nobody_s_fruit_to_who_has_their_number_now(
    sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    (answer,) = answers(her_browser, entry(sqlite_database, made, ada, name="Cleo Marsh"))
    assert answer["answer"] == "not yours"


@pytest.mark.parametrize(
    ("roles", "active"), [(frozenset({Role.GRADER}), False), (frozenset({Role.MARKETER}), True)], ids=["left", "moved"]
)
def test_fruit_of_who_no_longer_grades_is_sent_by_who_keeps_the_people(
    roles: frozenset[Role], active: bool, sqlite_database: Database, made: Bench, ada: int
) -> None:
    with sqlite_database.writing() as session:
        whole = person_whole(session, ada, to_change=True)
        whole.row.active = active
        change_person(session, whole, PersonFacts("Ada Birch", roles, None), whole.row.version)
        session.commit()
    bea, boss = (somebody(sqlite_database, name, role) for name, role in (("Bea", Role.GRADER), ("Boss", Role.MANAGER)))
    hers, _ = at_tablet(sqlite_database, made.grader, bea)
    (answer,) = answers(hers, entry(sqlite_database, made, ada))
    assert answer["answer"] == "not yours"
    assert answer["says"] == "Ada Birch does not grade here any more. A shed manager can send this."
    boss_s, _ = at_tablet(sqlite_database, made.grader, boss, "Bench 2")
    assert answers(boss_s, entry(sqlite_database, made, ada))[0]["answer"] == "stored"
    assert stored(sqlite_database, made)[0].measured_by == Doer("Ada Birch")


def test_an_idle_tablet_still_takes_what_was_on_the_scale(
    sqlite_database: Database, made: Bench, ada: int, watch: Watch
) -> None:
    browser, _ = at_tablet(sqlite_database, made.grader, ada)
    watch.on(minutes=30)
    response = send(browser, entry(sqlite_database, made, ada))
    assert response.json()["answers"][0]["answer"] == "stored"
    assert "saved" in browser.client.cookies
    assert browser.get(f"/samples/{made.sample}").status_code == 303


CLOSED: dict[str, tuple[dict[str, Any], str | None, str]] = {
    "no such sample": ({"sample": 999}, None, "not there any more"),
    "no number": ({"sample": "x"}, None, "not there any more"),
    "too large a number": ({"sample": 2**63}, None, "not there any more"),
    "another sample under its number": ({"mark": "2020-01-01T00:00:00.000000Z"}, None, "not there any more"),
    "from a file": ({}, "UPDATE sample SET origin = 'file'", "came from a file"),
    "voided": (
        {},
        "UPDATE sample SET voided_at = '2026-01-10 00:00:00', voided_by_id = 1, void_reason = 'twice'",
        "This sample was voided",
    ),
    "consignment voided": (
        {},
        "UPDATE consignment SET voided_at = '2026-01-10 00:00:00', voided_by_id = 1, void_reason = 'twice'",
        "Consignment 1042-1 was voided",
    ),
}


@pytest.mark.parametrize("case", CLOSED)
def test_a_sample_that_takes_nothing_says_so_and_the_next_is_stored(
    case: str, sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    changed, statement, says = CLOSED[case]
    other = bench(sqlite_database, number="2042")
    one = entry(sqlite_database, made, ada, **changed)
    two = entry(sqlite_database, other, ada, key=key(2))
    if statement:
        with sqlite_database.writing() as session:
            session.connection().exec_driver_sql(f"{statement} WHERE id = 1")
            session.commit()
            kind: Any = Consignment if "consignment" in statement else Sample
            assert session.get_one(kind, 1)
    shut, good = answers(her_browser, one, two)
    assert (shut["answer"], says in shut["says"], good["answer"]) == ("closed", True, "stored")
    assert stored(sqlite_database, made) == []


@pytest.mark.parametrize("statement", ["UPDATE docket SET number = 'K-77'", "UPDATE consignment SET line = 9"])
def test_a_corrected_docket_shuts_out_no_fruit_that_waits(
    statement: str, sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    one = entry(sqlite_database, made, ada)
    with sqlite_database.writing() as session:
        session.connection().exec_driver_sql(statement)
        session.commit()
    assert answers(her_browser, one)[0]["answer"] == "stored"


def test_an_entry_marked_with_the_name_of_then_finds_its_sample(
    sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    """As tablets once wrote it, whatever the consignment is called now; the moment still has to be the sample's."""
    mark = entry(sqlite_database, made, ada)["mark"]
    here = entry(sqlite_database, made, ada, mark=f"K-77-9 {mark}")
    elsewhere = entry(sqlite_database, made, ada, key=key(2), mark="K-77-9 2020-01-01T00:00:00.000000Z")
    assert [each["answer"] for each in answers(her_browser, here, elsewhere)] == ["stored", "closed"]


def test_a_fruit_of_a_sample_voided_meanwhile_is_here_all_the_same(
    sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    """It was stored, and the answer never came."""
    one = entry(sqlite_database, made, ada)
    (first,) = answers(her_browser, one)
    her_browser.post(f"/samples/{made.sample}/voiding", {"reason": "wrong bins"})
    again, other = answers(her_browser, one, {**one, "key": key(2)})
    assert (again["answer"], again["fruit"]) == ("had already", first["fruit"])
    assert (other["answer"], "This sample was voided" in other["says"]) == ("closed", True)


def test_a_fault_over_one_leaves_it_for_later(
    sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    really = actions.save_fruit

    def faulty(session: Any, sample: Any, new: Any) -> Any:
        if new.entry_key == key(1):
            raise RuntimeError("the scale fell off")
        return really(session, sample, new)

    batch = [entry(sqlite_database, made, ada, key=key(number)) for number in (1, 2)]
    with patch.object(actions, "save_fruit", faulty):
        fault, good = answers(her_browser, *batch)
    assert (fault["answer"], good["answer"]) == ("again", "stored")
    assert [each["answer"] for each in answers(her_browser, *batch)] == ["stored", "had already"]


def test_fruit_goes_to_the_bin_it_was_taken_from(
    sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    with sqlite_database.reading() as session:
        bins = season.bins_of(session, made.consignment)
    answers(
        her_browser,
        *(
            entry(sqlite_database, made, ada, key=key(n), fields=[["weight", "412"], ["bin", str(bins[bin_at])]])
            for n, bin_at in enumerate((0, 1, 1, 0))
        ),
    )
    assert [each.draw_name for each in stored(sqlite_database, made)] == ["bin 1", "bin 2", "bin 2", "bin 1"]


def test_a_fruit_sent_again_moves_no_draw(
    sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    with sqlite_database.reading() as session:
        bins = season.bins_of(session, made.consignment)
    one, two = (
        entry(sqlite_database, made, ada, key=key(n), fields=[["weight", "412"], ["bin", str(bins[n])]]) for n in (0, 1)
    )
    assert [each["answer"] for each in answers(her_browser, one, two, one)] == ["stored", "stored", "had already"]
    with sqlite_database.reading() as session:
        draw = bench_sample(session, made.sample).draw
    assert draw is not None
    assert draw.name == "bin 2"


def test_an_undo_comes_behind_its_fruit_and_once(
    sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    both = entry(sqlite_database, made, ada), voiding(sqlite_database, made, ada)
    assert [each["answer"] for each in answers(her_browser, *both)] == ["stored", "stored"]
    assert [each["answer"] for each in answers(her_browser, *both)] == ["had already", "had already"]
    (fruit,) = stored(sqlite_database, made)
    assert fruit.voided is not None
    assert (fruit.voided.reason, fruit.voided.by) == (actions.UNDONE, Doer("Ada Birch"))
    with sqlite_database.reading() as session:
        assert len(session.exec(select(Change).where(Change.deed == "voided")).all()) == 1


def test_who_sent_an_undo_for_another_stands_in_the_history(sqlite_database: Database, made: Bench, ada: int) -> None:
    bea = somebody(sqlite_database, "Bea Rowan", Role.GRADER)
    browser, _ = at_tablet(sqlite_database, made.grader, bea)
    answers(browser, entry(sqlite_database, made, ada), voiding(sqlite_database, made, ada))
    with sqlite_database.reading() as session:
        change = session.exec(select(Change).where(Change.deed == "voided")).one()
    assert (change.person_id, change.device, json.loads(change.after)) == (
        ada,
        "Bench 1",
        {"number": 1, "sent_by_id": bea},
    )
    assert "Ada Birch voided fruit 1" in words(parsed(browser.get(f"/samples/{made.sample}/history")))


@pytest.mark.parametrize(
    ("changed", "answer", "says"),
    [
        ({"voids": key(77)}, "again", "not stored yet"),
        ({"voids": "x"}, "refused", "names no fruit"),
        ({"reason": ""}, "refused", "Say why"),
        ({"reason": " \n "}, "refused", "Say why"),
        ({"reason": "x" * 201}, "refused", "at most 200"),
    ],
)
def test_a_voiding_that_cannot_be(
    changed: dict[str, Any],
    answer: str,
    says: str,
    sqlite_database: Database,
    made: Bench,
    ada: int,
    her_browser: Visitor,
) -> None:
    answers(her_browser, entry(sqlite_database, made, ada))
    (told,) = answers(her_browser, voiding(sqlite_database, made, ada, **changed))
    assert (told["answer"], says in told["says"]) == (answer, True)
    assert stored(sqlite_database, made)[0].voided is None


def test_voided_before_for_another_reason_shows_both(
    sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    (fruit,) = answers(her_browser, entry(sqlite_database, made, ada))
    her_browser.post(f"/fruit/{fruit['fruit']}/voiding", {"reason": "dropped"})
    (told,) = answers(her_browser, voiding(sqlite_database, made, ada, reason="another bin's"))
    assert (told["answer"], told["stands"], told["holds"]) == ("differs", "dropped", "another bin's")


def test_undo_of_somebody_else_s_fruit_asks_for_a_reason(
    sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    bea = somebody(sqlite_database, "Bea Rowan", Role.GRADER)
    answers(her_browser, entry(sqlite_database, made, ada))
    hers = Visitor(sqlite_database, bea)
    (told,) = answers(hers, voiding(sqlite_database, made, bea))
    assert (told["answer"], told["says"]) == ("refused", NOT_YOURS)
    (told,) = answers(hers, voiding(sqlite_database, made, bea, reason="it was the next bin's"))
    assert told["answer"] == "stored"


@pytest.mark.parametrize(
    ("undone", "stored_before", "may"),
    [("2026-01-09T16:00:00Z", True, True), ("2026-01-10T16:00:00Z", True, False), ("", True, False)],
)
def test_an_undo_that_comes_days_later_counts_by_the_tablet_s_own_day(
    undone: str, stored_before: bool, may: bool, sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    answers(her_browser, entry(sqlite_database, made, ada))
    with sqlite_database.writing() as session:
        row = session.exec(select(FruitRow)).one()
        row.measured_at -= timedelta(days=3)
        session.add(row)
        session.commit()
    (told,) = answers(her_browser, voiding(sqlite_database, made, ada, at=undone))
    assert told["answer"] == ("stored" if may else "refused")
    (fruit,) = stored(sqlite_database, made)
    assert (fruit.voided is not None) == may
    clock = Clock()
    with sqlite_database.reading() as session:
        person = person_whole(session, ada).person
    assert not may_undo_as_captured(fruit, person, clock, None, None)


def test_the_tablet_asks_which_ids_are_here(
    sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    batch = [entry(sqlite_database, made, ada, key=key(number)) for number in (1, 2)]
    answers(her_browser, *batch, voiding(sqlite_database, made, ada, voids=key(2)))
    asked = ",".join((key(1), key(2), key(3), "", "'--", "x" * 500))
    response = her_browser.get(f"/fruit-entries?keys={asked}")
    assert response.json() == {"sender": ada, "known": {key(1): False, key(2): True}}
    assert her_browser.get("/fruit-entries").json() == {"sender": ada, "known": {}}
    assert her_browser.get(f"/fruit-entries?keys={',' * 200}").status_code == 422


def test_the_bench_catches_up_without_its_form(
    sqlite_database: Database, made: Bench, ada: int, her_browser: Visitor
) -> None:
    batch = [entry(sqlite_database, made, ada, key=key(number)) for number in (1, 2)]
    told = answers(her_browser, *batch)
    response = her_browser.get(f"/samples/{made.sample}/side?draw={told[0]['draw']}", headers={"hx-request": "true"})
    page = parsed(response)
    assert page.select("#fruit-form, html, [data-empties]") == []
    assert words(page, "#last .class-word") == "Class II"
    assert [each.get_text() for each in page.select("#fruit-items a")] == ["2. Class II", "1. Class II"]
    assert her_browser.get("/samples/999/side").status_code == 404
    answers(her_browser, voiding(sqlite_database, made, ada, voids=key(2)))
    page = parsed(her_browser.get(f"/samples/{made.sample}/side?draw=x"))
    assert "Fruit 2 voided" in words(page, "#last")
