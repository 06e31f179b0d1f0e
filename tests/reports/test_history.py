"""Each change as a sentence, with the names people know, for the shed and for a grower."""

import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from sqlmodel import Session, SQLModel

from shedgrade.domain.people import Person, Role
from shedgrade.reports.history import Reader, lines_of
from shedgrade.reports.told_new import ADDED
from shedgrade.reports.told_values import Say, label
from shedgrade.storage import tables
from shedgrade.storage.database import Database
from shedgrade.storage.history import Actor, Told, act_as
from shedgrade.storage.nouns import NOT_TOLD, NOUNS
from tests.support import season

AT = datetime(2026, 1, 12, 14, 5, tzinfo=UTC)
NINE = AT.replace(hour=9, minute=0)
SHED = Person(1, "Shed manager", frozenset({Role.MANAGER}))
OWN_GROWER = Person(8, "Grower of Tallow Creek", frozenset({Role.GROWER}), 4)


def reader(person: Person = SHED) -> Reader:
    return Reader(person, lambda day: f"{day:%d.%m.%Y}", lambda moment: f"{moment:%d.%m.%Y %H:%M}")


def told(noun: str, deed: str = "added", **facts: Any) -> Told:
    made = {
        "at": AT,
        "by": "Shed manager",
        "device": "Bench tablet 1",
        "row_id": 9,
        "before": {},
        "after": {},
        "why": "",
        "person_id": 1,
        "on_tablet": True,
    }
    return Told(noun=noun, deed=deed, **{**made, **facts})


def sentence(session: Session, change: Told, person: Person = SHED) -> str:
    (line,) = lines_of(session, [change], reader(person))
    return line.sentence.replace("\N{NARROW NO-BREAK SPACE}", " ")


NEW = {
    "run": (
        told("run", after={"kind": "packing", "spec_version_id": 7, "rule": "net", "tray_type_ids": [3], "loads": [1]}),
        "started packing, on Bench tablet 1: under spec version 7, into tray type 3",
    ),
    "sizing pass": (
        told("run", after={"kind": "sizing pass", "spec_version_id": 7, "rule": "net", "loads": [1]}),
        "started a sizing pass, on Bench tablet 1: under spec version 7",
    ),
    "shared bin": (
        told("shared bin", after={"outlet_id": "juice", "rule": "net"}),
        "opened a bin for juice that several runs fill, on Bench tablet 1",
    ),
    "grower with a contact": (
        told("grower", after={"name": "Tallow Creek", "contact": "gate 2"}),
        "took Tallow Creek into the books, on Bench tablet 1: contact gate 2",
    ),
    "grower": (told("grower", after={"name": "Tallow Creek"}), "took Tallow Creek into the books, on Bench tablet 1"),
    "bin type": (told("bin type", after={"name": "Half bin"}), "added the bin type Half bin, on Bench tablet 1"),
    "docket": (
        told("docket", after={"number": "N101", "truck": "red"}),
        "opened docket N101, truck red, on Bench tablet 1",
    ),
    "file": (
        told("sample", after={"question": "table", "origin": "file", "fruit": 250}, device=""),
        "read a sample of the table from a file, 250 fruit",
    ),
    "quote": (
        told("quote", after={"number": 12, "buyer": "Harbour Fruit", "valid_until": "2026-01-20", "trays": 80}),
        "made quote 12 to Harbour Fruit, on Bench tablet 1: 80 trays, valid until 20.01.2026",
    ),
    "tray type": (
        told("tray type", after={"name": "7 kg", "net_g": 7000, "valid_from": "2026-01-20", "counts": [12, 14]}),
        "put 7 kg on the list of trays from 20.01.2026, on Bench tablet 1: 7 kg net, counts 12, 14",
    ),
    "first prices": (
        told("price list", after={"valid_from": "2026-01-20", "prices": 14, "currency": "AUD"}),
        "set 14 prices from 20.01.2026, on Bench tablet 1",
    ),
    "few prices": (
        told(
            "price list",
            after={
                "valid_from": "2026-01-20",
                "prices": 1,
                "currency": "AUD",
                "changed": [["I 16s in 7 kg", 2150, 2200], ["I 18s in 7 kg", None, 900], ["juice", -4, None]],
            },
            device="Firefox on Windows",
            on_tablet=False,
        ),
        (
            "set 1 price from 20.01.2026, in Firefox on Windows: I 16s in 7 kg from 21.50 to 22.00 AUD; "
            "I 18s in 7 kg 9.00 AUD, no price before; juice no price any more, −0.04 AUD before"
        ),
    ),
    "many prices": (
        told("price list", after={"valid_from": "2026-01-20", "prices": 40, "currency": "AUD", "changed": 31}),
        "set 40 prices from 20.01.2026, on Bench tablet 1: 31 of them changed",
    ),
    "mended prices": (
        told(
            "price list",
            after={
                "valid_from": "2026-01-20",
                "prices": 2,
                "currency": "AUD",
                "mends": True,
                "changed": [["I 16s", 2150, 215]],
            },
            device="",
        ),
        "set 2 prices from 20.01.2026 in place of those of the same day: I 16s from 21.50 to 2.15 AUD",
    ),
    "same prices": (
        told("price list", after={"valid_from": "2026-01-20", "prices": 40, "currency": "AUD", "changed": []}),
        "set 40 prices from 20.01.2026, on Bench tablet 1: none changed",
    ),
    "rule": (
        told(
            "setting",
            after={
                "key": "keeping-years",
                "value": 7,
                "valid_from": "2026-01-20",
                "source": "a buyer asks",
                "held_before": 6,
            },
        ),
        (
            "set a rule from 20.01.2026, on Bench tablet 1: trading records are kept 7 years instead of 6 years. "
            "Where that comes from: a buyer asks"
        ),
    ),
    "rule of an older program": (
        told("setting", after={"key": "old-rule", "value": 3, "valid_from": "2026-01-20", "source": "us"}, device=""),
        "set a rule from 20.01.2026: old-rule 3. Where that comes from: us",
    ),
    "fruit in a row": (
        told(
            "fruit",
            "measured",
            after={"first": 1, "last": 23, "count": 23, "began": NINE, "ended": NINE.replace(second=59)},
            device="",
        ),
        "measured fruit 1 to 23",
    ),
    "fruit between others": (
        told(
            "fruit",
            "measured",
            after={"first": 1, "last": 23, "count": 12, "began": NINE, "ended": NINE.replace(hour=11)},
            device="",
        ),
        "measured 12 of the fruit 1 to 23, from 09:00 to 11:00",
    ),
    "one fruit alone": (
        told("fruit", "measured", after={"first": 4, "last": 4, "count": 1, "began": NINE, "ended": NINE}, device=""),
        "measured fruit 4",
    ),
    "person": (told("person", after={"name": "Sela", "active": True}), "took Sela into the books, on Bench tablet 1"),
    "tablet": (told("tablet", after={"name": "Dock tablet"}, device=""), "registered the tablet Dock tablet"),
    "fruit": (told("fruit", after={"number": 3}, device=""), "measured fruit 3"),
}

CHANGED = {
    "from to": (
        told("block", "changed", before={"name": "Ridge 3"}, after={"name": "Ridge 4"}),
        "changed the name from Ridge 3 to Ridge 4, on Bench tablet 1",
    ),
    "several": (
        told(
            "block",
            "changed",
            before={"crop_id": "mango", "area_m2": 20_000, "variety": "Keitt"},
            after={"crop_id": "avocado", "area_m2": 12_500, "variety": "Hass"},
            device="",
        ),
        (
            "changed the fruit from Mango to Avocado, changed the area from 2 ha to 1.25 ha and "
            "changed the variety from Keitt to Hass"
        ),
    ),
    "set": (
        told("grower", "changed", before={"contact": ""}, after={"contact": "gate 2"}, device=""),
        "set the contact to gate 2",
    ),
    "taken out": (
        told("grower", "changed", before={"contact": "gate 2"}, after={"contact": ""}, device=""),
        "took out the contact gate 2",
    ),
    "withdrawn": (
        told(
            "quote",
            "changed",
            before={"withdrawn_at": None, "withdrawn_by_id": None},
            after={"withdrawn_at": "2026-01-12T14:05:00+00:00", "withdrawn_by_id": 1},
            why="the buyer cancelled",
        ),
        "withdrew it, on Bench tablet 1: the buyer cancelled",
    ),
    "voided": (
        told("fruit", "voided", after={"number": 12}, why="undone at the bench"),
        "voided fruit 12, on Bench tablet 1: undone at the bench",
    ),
    "voided consignment": (
        told(
            "consignment",
            "changed",
            before={"voided_at": None, "voided_by_id": None, "void_reason": ""},
            after={"voided_at": "2026-01-12T14:05:00+00:00", "voided_by_id": 1, "void_reason": "saved twice"},
        ),
        "voided the consignment, on Bench tablet 1: saved twice",
    ),
    "voided sample": (
        told("sample", "voided", why="the scale was off", device=""),
        "voided the sample: the scale was off",
    ),
    "why after a colon": (
        told("grower", after={"name": "Tallow Creek", "contact": "gate 2"}, why="new this year", device=""),
        "took Tallow Creek into the books: contact gate 2. Why: new this year",
    ),
    "moments": (
        told(
            "consignment",
            "changed",
            before={"received_at": "2026-01-12T14:05:00+00:00"},
            after={"received_at": "2026-01-12T15:05:00+00:00"},
            device="",
        ),
        "changed the time received from 12.01.2026 14:05 to 12.01.2026 15:05",
    ),
}


@pytest.mark.parametrize(("change", "expected"), [*NEW.values(), *CHANGED.values()], ids=[*NEW, *CHANGED])
def test_says_what_was_done(sqlite_database: Database, change: Told, expected: str) -> None:
    with sqlite_database.reading() as session:
        assert sentence(session, change) == f"Shed manager {expected}."


def test_ids_are_told_by_their_names(database: Database) -> None:
    with database.writing() as session:
        grower = season.grower(session)
        block = season.block(session, grower)
        version, tray = season.spec_version(session), season.tray_type(session)
        market = season.market(session, version, [tray])
        consignment = season.consignment(session, block, market, number="N101")
        docket = session.get_one(tables.Consignment, consignment).docket_id
        bin_type = season.bins_of(session, consignment)[0]
        cases = {
            sentence(
                session,
                told(
                    "block",
                    after={
                        "name": "Ridge 3",
                        "grower_id": grower,
                        "crop_id": "mango",
                        "variety": "Keitt",
                        "area_m2": 20_000,
                    },
                    device="",
                ),
            ),
            sentence(session, told("consignment", after={"docket_id": docket, "bins": 10, "gross_g": 4_400_000})),
            sentence(session, told("consignment", after={"docket_id": docket}, device="")),
            sentence(
                session,
                told(
                    "market",
                    "changed",
                    before={"tray_type_ids": [tray]},
                    after={"tray_type_ids": [tray, 77]},
                    device="",
                ),
            ),
            sentence(session, told("spec", after={"title": "x"}, row_id=version, device="")),
            sentence(
                session,
                told("sample", after={"question": "intake", "tray_type_id": tray, "origin": "bench"}, device=""),
            ),
            sentence(
                session,
                told("wet empties", after={"bin_type_id": bin_type, "empties": 10, "total_g": 412_000}, device=""),
            ),
            sentence(
                session,
                told("market", after={"name": "City", "currency": "AUD", "spec_version_id": version}, device=""),
            ),
            sentence(
                session,
                told(
                    "tare",
                    after={
                        "bin_type_id": bin_type,
                        "empties": 1,
                        "state": "dry",
                        "total_g": 40_500,
                        "weighed_on": "2026-01-12",
                    },
                    device="",
                ),
            ),
        }
    assert cases == {
        "Shed manager added the block Ridge 3 of Tallow Creek: Mango, Keitt, 2 ha.",
        "Shed manager received it on docket N101, 10 bins, 4 400 kg gross, on Bench tablet 1.",
        "Shed manager received it on docket N101.",
        "Shed manager changed the tray types from 7 kg tray to 7 kg tray, tray type 77.",
        "Shed manager published Mango, Codex CXS 184, version 1.",
        "Shed manager started a sample of bins at intake, counted for 7 kg tray.",
        "Shed manager weighed the wet empties of Half-ton plastic: 10, 412 kg.",
        "Shed manager added the market City: pays AUD under Mango, Codex CXS 184, version 1.",
        "Shed manager weighed 1 dry empty of Half-ton plastic: 40.5 kg on 12.01.2026.",
    }


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({"before": {"password_hash": "new"}, "after": {"password_hash": "new"}}, "Ada gave Sela a new password."),
        ({"before": {"password_hash": ""}, "after": {"password_hash": "new"}}, "Ada gave Sela a password."),
        ({"before": {"pin_hash": "new"}, "after": {"pin_hash": "new"}, "person_id": 9}, "Ada chose a new PIN."),
        ({"before": {"pin_hash": ""}, "after": {"pin_hash": "new"}, "person_id": 9}, "Ada chose a PIN."),
        ({"after": {"pin_hash": ""}}, "Ada took the PIN of Sela away."),
        ({"after": {"active": False}}, "Ada wrote down that Sela has left."),
        ({"after": {"active": True}}, "Ada took Sela back in."),
        (
            {"before": {"name": "Sel"}, "after": {"name": "Sela", "password_hash": "new"}},
            "Ada changed the name from Sel to Sela and gave Sela a password.",
        ),
    ],
)
def test_what_is_said_of_a_person(sqlite_database: Database, facts: dict[str, Any], expected: str) -> None:
    with sqlite_database.writing() as session:
        session.add(tables.PersonRow(id=9, name="Sela"))
        session.flush()
        assert sentence(session, told("person", "changed", by="Ada", device="", **facts)) == expected


def test_roles_of_one_save_are_told_together(sqlite_database: Database) -> None:
    given = [
        told("person", by="Ada", device="", after={"person_id": 9, "role": role}) for role in ("marketer", "manager")
    ]
    taken = [told("person", "removed", by="Ada", device="", before={"person_id": 9, "role": "grader"}, after={})]
    later = [told("person", by="Ada", device="", after={"person_id": 9, "role": "grader"}, at=AT + timedelta(hours=1))]
    with sqlite_database.writing() as session:
        session.add(tables.PersonRow(id=9, name="Sela"))
        session.flush()
        lines = [line.sentence for line in lines_of(session, [*later, *given, *taken], reader())]
    assert lines == [
        "Ada gave Sela the role grader.",
        "Ada gave Sela the roles shed manager and marketer.",
        "Ada took from Sela the role grader.",
    ]


def rename(session: Session, row: Any, at: datetime, name: str) -> None:
    act_as(session, Actor(None, "", at))
    row.name = name
    session.add(row)
    session.flush()


def test_who_got_another_name_is_called_by_both(sqlite_database: Database) -> None:
    """Also whom and what a line speaks of; what came after the new name calls them by that alone."""
    hour = timedelta(hours=1)
    with sqlite_database.writing() as session:
        grower = tables.Grower(id=4, name="Tallow Creek")
        anna = tables.PersonRow(id=9, name="Anna")
        session.add_all([grower, anna])
        session.flush()
        rename(session, anna, AT + hour, "Anna Berg")
        rename(session, anna, AT + 2 * hour, "Anna Holm")
        rename(session, grower, AT + hour, "Tallow Hill")
        block = {"name": "Ridge 3", "grower_id": 4, "crop_id": "mango", "variety": "Keitt", "area_m2": 20_000}
        by_anna: dict[str, Any] = {"by": "Anna Holm", "person_id": 9, "device": ""}
        pin: dict[str, Any] = {"before": {}, "after": {"pin_hash": "new"}, "device": "", "by": "Ada"}
        added = ": Mango, Keitt, 2 ha."
        for change, expected in (
            (
                told("block", after=block, **by_anna),
                f"Anna (now Anna Holm) added the block Ridge 3 of Tallow Creek (now Tallow Hill){added}",
            ),
            (
                told("block", after=block, **by_anna, at=AT + 1.5 * hour),
                f"Anna Berg (now Anna Holm) added the block Ridge 3 of Tallow Hill{added}",
            ),
            (
                told("block", after=block, **by_anna, at=AT + 3 * hour),
                f"Anna Holm added the block Ridge 3 of Tallow Hill{added}",
            ),
            (told("person", "changed", **pin), "Ada gave Anna (now Anna Holm) a PIN."),
        ):
            assert sentence(session, change) == expected
            assert "Anna" not in sentence(
                session, replace(change, noun="grower", after={"name": "X"}, row_id=1), OWN_GROWER
            )


def test_a_sample_is_said_by_its_words_beside_others(sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        market = season.market(session, season.spec_version(session))
        load = season.consignment(session, season.block(session, season.grower(session)), market)
        sample_id = season.sample(session, load)
        fruit_id = season.fruit(session, season.draw(session, sample_id), 4120)
        changes = [
            told("sample", "changed", row_id=sample_id, after={"voided_at": "x"}, why="wrong load", device=""),
            told("fruit", "voided", row_id=fruit_id, after={"number": 1}, why="dropped", device=""),
            told("sample", row_id=sample_id, after={"question": "intake"}, device=""),
        ]
        named, alone = (lines_of(session, changes, reader(), one_sample=one) for one in (False, True))
    words = "the sample of bins at intake started 14.01.2026 03:20"
    assert [(line.sentence, line.sample_id, line.linked) for line in named] == [
        (f"Shed manager voided {words}: wrong load.", sample_id, words),
        (f"Shed manager voided fruit 1 of {words}: dropped.", sample_id, words),
        ("Shed manager started a sample of bins at intake.", sample_id, "a sample of bins at intake"),
    ]
    assert [(line.sentence, line.linked) for line in alone] == [
        ("Shed manager voided the sample: wrong load.", ""),
        ("Shed manager voided fruit 1: dropped.", ""),
        ("Shed manager started a sample of bins at intake.", ""),
    ]


def test_a_grower_hears_of_the_shed_and_by_name_of_their_own_people(sqlite_database: Database) -> None:
    change = told("fruit", "voided", after={"number": 12}, why="dropped")
    own = told("grower", "changed", by="Mara", by_grower_id=4, before={"contact": ""}, after={"contact": "gate"})
    others = told("grower", "changed", by="Nils", by_grower_id=5, before={"contact": ""}, after={"contact": "gate"})
    with sqlite_database.reading() as session:
        assert sentence(session, change, OWN_GROWER) == "The shed voided fruit 12: dropped."
        assert sentence(session, own, OWN_GROWER) == "Mara set the contact to gate, on Bench tablet 1."
        assert sentence(session, others, OWN_GROWER) == "The shed set the contact to gate."
        (line,) = lines_of(session, [change], reader(OWN_GROWER))
    assert line.by == "the shed"


def test_every_noun_that_is_added_has_its_words() -> None:
    assert set(ADDED) | {"spec", "spec draft"} == set(NOUNS.values())


def columns() -> set[str]:
    return {
        column.name
        for table in NOUNS
        for column in SQLModel.metadata.tables[str(table.__tablename__)].c
        if column.name not in NOT_TOLD
    }


def test_every_column_that_is_told_has_a_name_without_its_unit() -> None:
    for column in columns():
        assert re.fullmatch(r"[a-z0-9 ]+", label(column)), column
        assert label(column).split()[-1] not in {"g", "dg", "m2", "ddeg", "id", "minor", "bp"}, column


def test_every_kind_of_value_is_said(sqlite_database: Database) -> None:
    say = Say({}, lambda day: f"{day:%d.%m.%Y}", lambda moment: f"{moment:%H:%M}")
    assert [say.value("name", value) for value in (None, "", "x", 7)] == ["", "", "x", "7"]
    assert say.value("heaviest_dg", 9000).replace("\u202f", " ") == "900 g"
    assert say.value("crop_id", "durian") == "durian"
    assert say.value("valid_from", date(2026, 1, 20).isoformat()) == "20.01.2026"
    assert say.value("market_id", 7) == "market 7"
    assert say.value("pulp_ddeg", 264).replace("\u202f", " ") == "26.4 °C"
