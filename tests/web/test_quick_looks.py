"""Quick looks: begun, tapped, taken back, read, voided, refused; and never mixed with measured fruit."""

from collections.abc import Mapping

import pytest
from sqlmodel import select

from shedgrade.domain.people import Person, Role
from shedgrade.domain.spec import library
from shedgrade.reports.block import block_report
from shedgrade.reports.packout import packout_of
from shedgrade.storage import intake
from shedgrade.storage.database import Database
from shedgrade.storage.quick_looks import look_for
from shedgrade.storage.samples import drawn_fruit
from shedgrade.storage.tables import Block, QuickLook, QuickLookFruit
from tests.support import season
from tests.support.bench import Bench
from tests.support.visitor import Visitor, error_at, parsed, typed_in, visitor, words

TRAY = {"gross": "17.2", "tare": "0.9", "fruit": "4", "form_key": "tray"}
MANAGER = Person(1, "", frozenset({Role.MANAGER}))
AGMARK = library.standards()["mango-agmark"]
BEST, SECOND = AGMARK.classes[0], AGMARK.classes[1]


@pytest.fixture
def start(made: Bench) -> str:
    return f"/consignments/{made.consignment}/quick-looks"


@pytest.fixture
def look(grader: Visitor, start: str) -> str:
    """The address of a look at a tray of four fruit."""
    answer = grader.post(start, TRAY | {"gross": "2.5"})
    return str(answer.headers["location"].removesuffix("/tapping"))


def plain(text: str) -> str:
    return text.replace("\N{NARROW NO-BREAK SPACE}", " ").replace("\N{NO-BREAK SPACE}", " ")


def tapped(database: Database) -> list[tuple[str, str]]:
    """What stands, in order."""
    with database.reading() as session:
        rows = session.exec(select(QuickLookFruit).order_by(QuickLookFruit.number))  # type: ignore[arg-type]
        return [(row.class_id, row.kind) for row in rows if row.voided_at is None]


def tap(person: Visitor, look: str, *taps: Mapping[str, str]) -> None:
    for each in taps:
        answer = person.post(f"{look}/fruit", each)
        assert (answer.status_code, answer.headers["location"]) == (303, f"{look}/tapping")


def last_id(person: Visitor, look: str) -> str:
    return typed_in(parsed(person.get(look)), "fruit")


def test_a_tray_is_weighed_and_every_fruit_tapped(
    sqlite_database: Database, grader: Visitor, made: Bench, start: str, look: str
) -> None:
    assert grader.get(f"{start}/new").status_code == 200
    keys = parsed(grader.get(f"{look}/tapping"))
    assert words(keys, "h1").startswith("1 of 4")
    assert [key["value"] for key in keys.select("button[name=class]")] == [BEST.id]
    assert [link.get_text(strip=True) for link in keys.select("a.send-key")] == [
        *(each.name for each in AGMARK.classes[1:]),
        "No class",
    ]
    tap(grader, look, {"class": BEST.id})
    faults = parsed(grader.get(f"{look}/tapping?class={SECOND.id}"))
    assert words(faults, "h1") == f"2 of 4 {SECOND.name}: what is its main fault?"
    assert len(faults.select("button[name=fault]")) == len(AGMARK.crop.kinds) + 1
    tap(grader, look, {"class": SECOND.id, "fault": "sap-stain"}, {"class": "none", "fault": "none"})
    assert "Fruit 3: No class, another reason" in words(parsed(grader.get(f"{look}/tapping")))
    tap(grader, look, {"class": BEST.id})
    assert grader.get(f"{look}/tapping").headers["location"] == look
    assert tapped(sqlite_database) == [(BEST.id, ""), (SECOND.id, "sap-stain"), ("", ""), (BEST.id, "")]
    read = plain(words(parsed(grader.get(look))))
    assert f"By eye: 2 of 4 {BEST.name}" in read
    assert f"{BEST.name} 2 50 %" in read
    assert "Sap stain: 1 of 4 fruit" in read
    assert "Another reason: 1 of 4 fruit" in read
    assert "1.6 kg weighed 2.5 kg less 0.9 kg tray" in read
    assert "Mean weight 400 g" in read


def test_a_look_says_its_n_and_its_range_on_the_consignment_page(
    grader: Visitor, grower: Visitor, made: Bench, look: str
) -> None:
    tap(grader, look, *[{"class": BEST.id}] * 3, {"class": SECOND.id, "fault": "rub"})
    for person in (grader, grower):
        line = plain(words(parsed(person.get(f"/consignments/{made.consignment}")), "#quick-looks"))
        assert f"By eye: 3 of 4 {BEST.name}" in line
        assert f"{BEST.name} 75 % (1" in line  # with its range
        assert "rub 1" in line


def test_a_scale_at_zero_with_the_tray_on_it_needs_no_tare(grader: Visitor, start: str) -> None:
    look = grader.post(start, TRAY | {"gross": "1.6", "tare": ""}).headers["location"].removesuffix("/tapping")
    tap(grader, look, {"class": BEST.id})
    said = plain(words(parsed(grader.get(look))))
    assert "1.6 kg weighed scale at zero with the empty tray" in said
    assert "1 of 4 fruit were looked at so far" in said


def test_the_last_tap_is_taken_back_and_stays_told(
    sqlite_database: Database, grader: Visitor, made: Bench, look: str
) -> None:
    tap(grader, look, {"class": BEST.id}, {"class": SECOND.id, "fault": "rub"})
    fruit = last_id(grader, look)
    for _ in range(2):  # sent twice, taken back once
        assert grader.post(f"{look}/undoing", {"fruit": fruit}).status_code == 303
    assert tapped(sqlite_database) == [(BEST.id, "")]
    tap(grader, look, {"class": BEST.id})
    assert tapped(sqlite_database) == [(BEST.id, "")] * 2
    history = words(parsed(grader.get(f"/consignments/{made.consignment}/history")))
    assert "began a quick look at a tray of 4 fruit" in history
    assert "took back fruit 2 of a quick look" in history


def test_only_the_last_tap_is_taken_back(sqlite_database: Database, grader: Visitor, look: str) -> None:
    tap(grader, look, {"class": BEST.id})
    first = last_id(grader, look)
    tap(grader, look, {"class": SECOND.id, "fault": "rub"})
    for wrong in (first, "999", "", "x"):
        answer = grader.post(f"{look}/undoing", {"fruit": wrong})
        assert answer.status_code == 409
        assert "nothing was taken back" in words(parsed(answer))
    assert len(tapped(sqlite_database)) == 2


def test_one_tap_sent_twice_is_one_fruit(sqlite_database: Database, grader: Visitor, look: str) -> None:
    for _ in range(2):
        assert grader.post(f"{look}/fruit", {"class": BEST.id, "form_key": "one"}).status_code == 303
    assert len(tapped(sqlite_database)) == 1


def test_a_full_tray_takes_no_more(sqlite_database: Database, grader: Visitor, look: str) -> None:
    tap(grader, look, *[{"class": BEST.id}] * 4)
    answer = grader.post(f"{look}/fruit", {"class": BEST.id})
    assert answer.status_code == 409
    assert "Nothing more was stored" in words(parsed(answer))
    assert len(tapped(sqlite_database)) == 4


@pytest.mark.parametrize(
    ("changed", "field", "sentence"),
    [
        ({"gross": ""}, "gross", "Fill this in."),
        ({"gross": "heavy"}, "gross", "is accepted"),
        ({"gross": "0"}, "gross", "is accepted"),
        ({"gross": "900"}, "gross", "is too much"),
        ({"tare": "-1"}, "tare", "less than nothing"),
        ({"tare": "17.2"}, "tare", "a smaller weight is accepted"),
        ({"fruit": ""}, "fruit", "Fill this in."),
        ({"fruit": "0"}, "fruit", "from 1 to 300 is accepted"),
        ({"fruit": "4.5"}, "fruit", "is not a whole number"),
        ({"fruit": "1"}, "gross", "Look at the weights and the number again"),
        ({"fruit": "300", "gross": "2"}, "gross", "Look at the weights and the number again"),
    ],
)
def test_a_wrong_tray_is_refused_beside_its_field_and_kept(
    sqlite_database: Database, grader: Visitor, start: str, changed: dict[str, str], field: str, sentence: str
) -> None:
    typed = TRAY | {"fruit": "40"} | changed
    answer = grader.post(start, typed)
    page = parsed(answer)
    assert answer.status_code == 422
    assert sentence in plain(error_at(page, field))
    assert {name: typed_in(page, name) for name in ("gross", "tare", "fruit")} == {
        name: typed[name] for name in ("gross", "tare", "fruit")
    }
    with sqlite_database.reading() as session:
        assert session.exec(select(QuickLook)).all() == []


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({}, "class", "Choose one."),
        ({"class": "Gold"}, "class", "not one of the choices"),
        ({"class": SECOND.id}, "fault", "Choose one."),
        ({"class": SECOND.id, "fault": "bites"}, "fault", "not one of the choices"),
    ],
)
def test_a_wrong_tap_is_refused(
    sqlite_database: Database, grader: Visitor, look: str, typed: dict[str, str], field: str, sentence: str
) -> None:
    answer = grader.post(f"{look}/fruit", typed)
    assert answer.status_code == 422
    assert sentence in error_at(parsed(answer), field)
    assert tapped(sqlite_database) == []


def test_it_is_voided_with_a_reason_and_takes_nothing_more(
    sqlite_database: Database, grader: Visitor, grower: Visitor, made: Bench, look: str
) -> None:
    tap(grader, look, {"class": BEST.id})
    refused = grader.post(f"{look}/voiding", {"reason": " "})
    assert (refused.status_code, error_at(parsed(refused), "reason")) == (422, "Fill this in.")
    assert grader.post(f"{look}/voiding", {"reason": "another load"}).status_code == 303
    again = grader.post(f"{look}/voiding", {"reason": "wrong tray"})
    assert again.status_code == 409
    assert "Voided: another load" in words(parsed(again))
    for place, typed in (("fruit", {"class": BEST.id}), ("undoing", {"fruit": "1"})):
        answer = grader.post(f"{look}/{place}", typed)
        assert answer.status_code == 409
        assert "was voided" in words(parsed(answer))
    assert grader.get(f"{look}/tapping").headers["location"] == look
    told = words(parsed(grower.get(f"/consignments/{made.consignment}")), "#quick-looks li.voided")
    assert "Voided by the shed" in told
    assert told.endswith("another load")
    assert parsed(grader.get(look)).select("form") == []


def test_a_voided_consignment_takes_no_look(
    sqlite_database: Database, grader: Visitor, made: Bench, start: str
) -> None:
    supervisor = visitor(sqlite_database, Role.SUPERVISOR)
    supervisor.post(f"/consignments/{made.consignment}/voiding", {"reason": "saved twice"})
    assert grader.post(start, TRAY | {"fruit": "40"}).status_code == 409
    assert grader.get(f"{start}/new").status_code == 409
    assert "Quick look at a tray" not in grader.get(f"/consignments/{made.consignment}").text


def test_who_may_not(sqlite_database: Database, grader: Visitor, grower: Visitor, start: str, look: str) -> None:
    marketer = visitor(sqlite_database, Role.MARKETER)
    for person in (marketer, grower):
        assert person.get(f"{start}/new").status_code == 403
        assert person.get(f"{look}/tapping").status_code == 403
        for address in (start, f"{look}/fruit", f"{look}/undoing", f"{look}/voiding"):
            assert person.post(address, TRAY | {"class": BEST.id, "reason": "mine"}).status_code == 403
        assert parsed(person.get(look)).select("main form") == []
    elsewhere = {"origin": "http://elsewhere.example"}
    assert grader.post(f"{look}/fruit", {"class": BEST.id}, headers=elsewhere).status_code == 403
    assert Visitor(sqlite_database, None).get(look).status_code == 303
    assert grader.get("/quick-looks/999").status_code == 404
    assert grader.post("/consignments/999/quick-looks", TRAY | {"form_key": "other"}).status_code == 404
    assert tapped(sqlite_database) == []


def test_another_grower_finds_nothing_there(sqlite_database: Database, look: str) -> None:
    with sqlite_database.writing() as session:
        other = season.grower(session, "Quillock")
        session.commit()
    assert visitor(sqlite_database, Role.GROWER, grower_id=other).get(look).status_code == 404


def test_measured_fruit_say_the_same_with_a_look_and_without(
    sqlite_database: Database, grader: Visitor, made: Bench, start: str
) -> None:
    """The pack-out, the block's season, the fruit behind quotes and samples: no figure of them moves."""
    with sqlite_database.writing() as session:
        for weights in ((4120, 3900), (3500, 4400)):
            draw = season.draw(session, made.sample)
            for weight_dg in weights:
                season.fruit(session, draw, weight_dg)
        session.commit()
    marketer = visitor(sqlite_database, Role.MARKETER)
    quote = f"/quotes/new?market=1&consignment={made.consignment}"

    def everything() -> tuple[object, ...]:
        with sqlite_database.reading() as session:
            block_id = session.exec(select(Block.id)).one() or 0
            report = block_report(session, MANAGER, block_id)
            return (
                packout_of(session, intake.consignment_for(session, MANAGER, made.consignment), None),
                (report.season, report.consignments),
                drawn_fruit(session, consignment_ids=[made.consignment]),
                intake.fruit_counts(session, [made.consignment]),
                words(parsed(marketer.get(quote))),
                words(parsed(marketer.get(f"/consignments/{made.consignment}/packout"))),
            )

    before = everything()
    look = grader.post(start, TRAY | {"gross": "2.5"}).headers["location"].removesuffix("/tapping")
    tap(grader, look, *[{"class": "none", "fault": "rot"}] * 4)
    assert everything() == before
    with sqlite_database.reading() as session:
        assert len(look_for(session, MANAGER, 1)[1].fruit) == 4


def test_a_block_s_page_tells_it_only_as_by_eye(grader: Visitor, grower: Visitor, made: Bench, look: str) -> None:
    tap(grader, look, *[{"class": BEST.id}] * 3, {"class": SECOND.id, "fault": "rub"})
    said = plain(words(parsed(grower.get("/blocks/1"))))
    assert f"By eye: 3 of 4 {BEST.name} in one tray, not measured and counted nowhere above; likely " in said
    assert "Nobody has looked at fruit of Ridge 3 yet" in said
