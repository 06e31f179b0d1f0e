"""Wet empties: the net is corrected once a bin type, and everything the form refuses."""

from datetime import UTC, datetime, timedelta

import pytest
from sqlmodel import select

from shedgrade.actions import intake as actions
from shedgrade.actions.intake import DocketFacts, WeighingFacts
from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from shedgrade.storage.tables import EmptiesWeighing, Tare
from tests.support.intake import Dock, dry_tare, facts, stored_dock
from tests.support.season import RECEIVED
from tests.support.visitor import Visitor, error_at, one, parsed, typed_in, visitor, words


@pytest.fixture
def ids(sqlite_database: Database) -> Dock:
    return stored_dock(sqlite_database)


@pytest.fixture
def supervisor(sqlite_database: Database) -> Visitor:
    return visitor(sqlite_database, Role.SUPERVISOR)


@pytest.fixture
def key(ids: Dock, sqlite_database: Database) -> int:
    """Four bins, 1 600 kg net."""
    return received(sqlite_database, ids, WeighingFacts(4, ids.bin_type, ids.tare, 1_760_000))


def received(database: Database, ids: Dock, *weighings: WeighingFacts) -> int:
    with database.writing() as session:
        docket = actions.add_docket(session, DocketFacts("1042", "", RECEIVED))
        stored = actions.add_consignment(session, docket.id or 0, facts(ids, *weighings), ids.person)
        session.commit()
    return stored.id or 0


def empties(ids: Dock, **changes: str) -> dict[str, str]:
    """Four wet empties, each 4.75 kg heavier than a dry one, saved as they were shown."""
    shown = {"do": "save", "shown": "-19000 1581000"}
    return {"type": str(ids.bin_type), "empties": "4", "total": "179", **shown, **changes}


def weighed(database: Database) -> list[EmptiesWeighing]:
    with database.reading() as session:
        return list(session.exec(select(EmptiesWeighing)))


def test_the_form_offers_what_came(supervisor: Visitor, ids: Dock, key: int) -> None:
    page = parsed(supervisor.get(f"/consignments/{key}/empties"))
    assert "Half-ton plastic, 4 came" in words(page, "#f-type")
    assert one(page, f'[name="type"][value="{ids.bin_type}"]').has_attr("checked")


def test_the_corrected_net_is_shown_before_it_is_saved(
    supervisor: Visitor, ids: Dock, key: int, sqlite_database: Database
) -> None:
    answer = supervisor.post(f"/consignments/{key}/empties", empties(ids, do="net", shown=""))
    page = parsed(answer)
    assert answer.status_code == 200
    assert "1 581 kg net, corrected Nothing is stored yet." in words(page, "#net")
    assert "taken for 4 bins −19 kg Net now 1 581 kg" in words(page, "#net")
    assert [button.get_text(strip=True) for button in page.select(".button-row button")] == [
        "Save",
        "Work out the net again",
    ]
    assert typed_in(page, "shown") == empties(ids)["shown"]
    assert weighed(sqlite_database) == []
    first = page.select("form.intake button")[0]
    assert (first["name"], first["value"]) == ("do", "net")


def test_a_corrected_net_nobody_saw_is_shown_first(
    supervisor: Visitor, ids: Dock, key: int, sqlite_database: Database
) -> None:
    for unseen in ({"shown": ""}, {"total": "180"}):
        answer = supervisor.post(f"/consignments/{key}/empties", empties(ids, **unseen))
        assert answer.status_code == 422
        assert "Look at the net below first, then save." in words(parsed(answer), ".notice")
    assert weighed(sqlite_database) == []


def test_the_form_says_when_it_applies(supervisor: Visitor, ids: Dock, key: int) -> None:
    lead = words(parsed(supervisor.get(f"/consignments/{key}/empties")), ".lead")
    assert lead.startswith("Only for bins that were already wet when they were weighed full")
    assert "Bins weighed dry that got wet in the dump need no correction." in lead


def test_saving_corrects_the_net_where_it_can_be_seen(
    supervisor: Visitor, ids: Dock, key: int, sqlite_database: Database
) -> None:
    answer = supervisor.post(f"/consignments/{key}/empties", empties(ids))
    assert (answer.status_code, answer.headers["location"]) == (303, f"/consignments/{key}#net")
    [row] = weighed(sqlite_database)
    with sqlite_database.reading() as session:
        tare = session.get_one(Tare, row.tare_id)
    assert (row.consignment_id, tare.state, tare.empties, tare.total_g) == (key, "wet", 4, 179_000)
    assert tare.weighed_on == datetime.now(UTC).date()
    assert abs(datetime.now(UTC) - row.weighed_at) < timedelta(minutes=1)
    net = words(parsed(supervisor.get(f"/consignments/{key}")), "#net")
    assert "Net as received 1 600 kg weighed Wet empties weighed −19 kg weighed Net now 1 581 kg" in net


def test_some_of_the_empties_stand_for_all_bins_of_the_type(supervisor: Visitor, ids: Dock, key: int) -> None:
    """Two weighed, 4.75 kg heavier each; four came."""
    supervisor.post(f"/consignments/{key}/empties", empties(ids, empties="2", total="89.5"))
    line = words(parsed(supervisor.get(f"/consignments/{key}")), "#net .correction")
    assert line.startswith("Wet empties weighed: Half-ton plastic, 2 for 89.5 kg on ")
    assert line.endswith("taken for 4 bins −19.0 kg")


def test_a_second_weighing_is_refused_and_says_what_stands(
    supervisor: Visitor, ids: Dock, key: int, sqlite_database: Database
) -> None:
    supervisor.post(f"/consignments/{key}/empties", empties(ids))
    answer = supervisor.post(f"/consignments/{key}/empties", empties(ids, total="180"))
    page = parsed(answer)
    assert answer.status_code == 422
    sentence = error_at(page, "type")
    assert sentence.startswith("The wet empties of Half-ton plastic were weighed on ")
    assert sentence.endswith("4 for 179 kg, −19 kg in the net. That weighing stands.")
    assert typed_in(page, "total") == "180"
    assert len(weighed(sqlite_database)) == 1
    assert "of every bin type that came were weighed" in words(parsed(supervisor.get(f"/consignments/{key}/empties")))


def test_another_bin_type_is_weighed_for_itself(supervisor: Visitor, ids: Dock, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        crate = actions.add_bin_type(session, "Crate").id or 0
        tare = dry_tare(session, crate, ids.person, total_g=10_000)
        session.commit()
    plastic = WeighingFacts(4, ids.bin_type, ids.tare, 1_760_000)
    key = received(sqlite_database, ids, plastic, WeighingFacts(2, crate, tare, 40_000))
    shown = "-19000 1617000"
    assert supervisor.post(f"/consignments/{key}/empties", empties(ids, shown=shown)).status_code == 303
    page = parsed(supervisor.get(f"/consignments/{key}/empties"))
    assert [box["value"] for box in page.select('[name="type"]')] == [str(crate)]
    one_crate = {"type": str(crate), "empties": "1", "total": "2.5", "do": "save", "shown": "-19000 -1000 1616000"}
    assert supervisor.post(f"/consignments/{key}/empties", one_crate).status_code == 303
    assert len(weighed(sqlite_database)) == 2


def test_the_same_form_twice_stores_once(supervisor: Visitor, ids: Dock, key: int, sqlite_database: Database) -> None:
    typed = empties(ids, form_key="one sheet of paper")
    answers = [supervisor.post(f"/consignments/{key}/empties", typed) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [303, 303]
    assert len(weighed(sqlite_database)) == 1


@pytest.mark.parametrize(
    ("name", "typed", "sentence"),
    [
        ("type", "", "Choose one."),
        ("type", "4711", "not one of the choices"),
        ("empties", "", "Fill this in."),
        ("empties", "0", "a whole number from 1 to 500 is accepted"),
        ("empties", "5", "5 is more than the 4 of that type that came; 1 to 4 is accepted."),
        ("total", "", "Fill this in."),
        ("total", "wet", "is not a number"),
        ("total", "1.79", "That makes 0.4 kg an empty"),
        ("total", "79", "That makes 19.8 kg an empty, and a dry one weighs 40.0 kg; from half to 2 times that"),
        ("total", "321", "That makes 80.3 kg an empty, and a dry one weighs 40.0 kg; from half to 2 times that"),
    ],
)
def test_refuses_by_the_field_and_keeps_what_was_typed(
    supervisor: Visitor, ids: Dock, key: int, sqlite_database: Database, name: str, typed: str, sentence: str
) -> None:
    answer = supervisor.post(f"/consignments/{key}/empties", empties(ids, **{name: typed}))
    page = parsed(answer)
    assert answer.status_code == 422
    assert sentence in error_at(page, name)
    if name != "type":
        assert typed_in(page, name) == typed
    kept = "total" if name != "total" else "empties"
    assert typed_in(page, kept) == empties(ids)[kept]
    assert weighed(sqlite_database) == []


def test_empties_heavier_than_the_fruit_are_refused(supervisor: Visitor, ids: Dock, sqlite_database: Database) -> None:
    """A part bin with 10 kg of fruit in it, and an empty that got 15 kg heavier."""
    key = received(sqlite_database, ids, WeighingFacts(1, ids.bin_type, ids.tare, 50_000))
    answer = supervisor.post(f"/consignments/{key}/empties", empties(ids, empties="1", total="55"))
    assert answer.status_code == 422
    assert "The wet empties leave no fruit" in error_at(parsed(answer), "total")
    assert weighed(sqlite_database) == []


@pytest.mark.parametrize("wrong", ["4711", "0", "99999999999", "x"])
def test_an_unknown_consignment_is_not_here(supervisor: Visitor, ids: Dock, wrong: str) -> None:
    assert supervisor.get(f"/consignments/{wrong}/empties").status_code == 404
    assert supervisor.post(f"/consignments/{wrong}/empties", empties(ids)).status_code == 404


@pytest.mark.parametrize("role", [Role.GRADER, Role.MARKETER, Role.GROWER])
def test_only_who_receives_may(ids: Dock, key: int, sqlite_database: Database, role: Role) -> None:
    someone = visitor(sqlite_database, role, grower_id=ids.grower if role is Role.GROWER else None)
    assert someone.get(f"/consignments/{key}/empties").status_code == 403
    assert someone.post(f"/consignments/{key}/empties", empties(ids)).status_code == 403
    assert weighed(sqlite_database) == []


def test_a_form_from_another_site_is_refused(
    supervisor: Visitor, ids: Dock, key: int, sqlite_database: Database
) -> None:
    elsewhere = {"origin": "http://elsewhere.example"}
    assert supervisor.post(f"/consignments/{key}/empties", empties(ids), headers=elsewhere).status_code == 403
    assert weighed(sqlite_database) == []
