"""Putting right what is written about a docket and a pick: what is taken, what is refused, and how it is told."""

import pytest

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from shedgrade.storage.tables import Consignment, Docket
from tests.support.forms import filled
from tests.support.intake import Dock, stored_dock, truck_form
from tests.support.season import RECEIVED
from tests.support.visitor import Visitor, error_at, parsed, typed_in, visitor, words

DOCKET, PICK = "/dockets/1", "/consignments/1"


@pytest.fixture
def dock(sqlite_database: Database) -> Dock:
    """One truck received by a supervisor, on docket 1042."""
    ids = stored_dock(sqlite_database)
    assert Visitor(sqlite_database, ids.person).post("/dockets", truck_form(ids)).status_code == 303
    return ids


@pytest.fixture
def supervisor(sqlite_database: Database, dock: Dock) -> Visitor:
    return Visitor(sqlite_database, dock.person)


def corrected(who: Visitor, address: str, **typed: str) -> dict[str, str | list[str]]:
    """The form as it is stored, with something typed anew; fields are named with _ where the form has -."""
    tree = parsed(who.get(f"{address}/edit"))
    fields = {name.replace("_", "-"): text for name, text in typed.items()}
    return filled(tree, address, **({"reason": "misread"} | fields))


def told(who: Visitor) -> list[str]:
    lines = parsed(who.get(f"{PICK}/history")).select(".history li span:last-child")
    return [" ".join(line.get_text().split()).replace(", in a test's browser", "") for line in lines]


def test_a_docket_s_number_and_truck_are_put_right_and_told(supervisor: Visitor, sqlite_database: Database) -> None:
    answer = supervisor.post(DOCKET, corrected(supervisor, DOCKET, number="1024", truck="Old blue"))
    assert (answer.status_code, answer.headers["location"]) == (303, DOCKET)
    with sqlite_database.reading() as session:
        row = session.get_one(Docket, 1)
        assert (row.number, row.truck, row.version) == ("1024", "Old blue", 2)
    assert "Consignment 1024-1" in words(parsed(supervisor.get(PICK)))
    assert told(supervisor)[0] == (
        "Dock changed the docket number from 1042 to 1024 and changed the truck from Old red to Old blue: misread."
    )


def test_a_pick_is_put_right_and_told_and_the_net_stays(supervisor: Visitor, sqlite_database: Database) -> None:
    before = words(parsed(supervisor.get(PICK)), "#net")
    typed = corrected(supervisor, PICK, team="Day team", pulp="25.1", grower_bins="6")
    answer = supervisor.post(PICK, typed)
    assert (answer.status_code, answer.headers["location"]) == (303, PICK)
    with sqlite_database.reading() as session:
        row = session.get_one(Consignment, 1)
        assert (row.team, row.pulp_ddeg, row.grower_bins, row.version) == ("Day team", 251, 6, 2)
    assert told(supervisor)[0].replace("\N{NARROW NO-BREAK SPACE}", " ") == (
        "Dock changed the picking team from Night team to Day team, changed the pulp temperature from 26.4 °C to "
        "25.1 °C and changed the bins the grower counted from 5 to 6: misread."
    )
    assert typed_in(parsed(supervisor.get(f"{PICK}/edit")), "pulp") == "25.1"
    assert before.split("bins")[0] == words(parsed(supervisor.get(PICK)), "#net").split("bins")[0]


def test_a_grower_reads_the_reason_and_no_name(supervisor: Visitor, dock: Dock, sqlite_database: Database) -> None:
    supervisor.post(DOCKET, corrected(supervisor, DOCKET, number="1024"))
    grower = visitor(sqlite_database, Role.GROWER, grower_id=dock.grower)
    assert told(grower)[0] == "The shed changed the docket number from 1042 to 1024: misread."
    for address in (f"{DOCKET}/edit", f"{PICK}/edit"):
        assert grower.get(address).status_code == 403
        assert f'href="{address}"' not in grower.get(PICK).text + grower.get(DOCKET).text
        assert f'href="{address}"' in supervisor.get(PICK).text + supervisor.get(DOCKET).text


@pytest.mark.parametrize("address", [DOCKET, PICK])
def test_it_needs_a_reason(supervisor: Visitor, address: str) -> None:
    answer = supervisor.post(address, corrected(supervisor, address, reason=" "))
    assert (answer.status_code, error_at(parsed(answer), "reason")) == (422, "Fill this in.")
    assert all("changed" not in line for line in told(supervisor))


def test_a_number_that_another_docket_has_is_refused(supervisor: Visitor, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        session.add(Docket(number="1050", received_at=RECEIVED))
        session.commit()
    answer = supervisor.post(DOCKET, corrected(supervisor, DOCKET, number="1050"))
    page = parsed(answer)
    assert (answer.status_code, typed_in(page, "number")) == (422, "1050")
    assert "There is another docket 1050" in error_at(page, "number")
    assert supervisor.post(DOCKET, corrected(supervisor, DOCKET, number="1042", truck="")).status_code == 303


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("picked_to", "2099-01-01T10:00", "still to come"),
        ("picked_from", "", "Fill this in."),
        ("pulp", "99", "no temperature of fruit"),
        ("grower_bins", "many", "accepted"),
        ("team", "x" * 90, "at most 80"),
    ],
)
def test_the_pick_is_read_as_at_intake(supervisor: Visitor, field: str, typed: str, said: str) -> None:
    answer = supervisor.post(PICK, corrected(supervisor, PICK, **{field: typed}))
    page, name = parsed(answer), field.replace("_", "-")
    assert answer.status_code == 422
    assert said in error_at(page, name)
    assert typed_in(page, name) == typed


def test_a_pick_ends_before_the_fruit_was_received(supervisor: Visitor, sqlite_database: Database) -> None:
    with sqlite_database.reading() as session:
        received = session.get_one(Consignment, 1).received_at
    later = f"{received.replace(year=received.year, minute=59, hour=23):%Y-%m-%dT%H:%M}"
    answer = supervisor.post(PICK, corrected(supervisor, PICK, picked_to=later))
    assert answer.status_code == 422
    assert "accepted" in error_at(parsed(answer), "picked-to")


def test_a_voided_consignment_takes_no_correction(supervisor: Visitor) -> None:
    typed = corrected(supervisor, PICK, team="Night team")
    assert supervisor.post(f"{PICK}/voiding", {"reason": "saved twice"}).status_code == 303
    assert supervisor.get(f"{PICK}/edit").status_code == 409
    answer = supervisor.post(PICK, typed)
    assert answer.status_code == 409
    assert "was voided and counts no longer" in words(parsed(answer))
    assert f'href="{PICK}/edit"' not in supervisor.get(PICK).text
