"""A load like one in the books, and a bin unlike the others: asked about once, then stored as typed."""

from datetime import timedelta

import pytest
from sqlmodel import select

from shedgrade.domain.people import Role
from shedgrade.storage.database import Database
from shedgrade.storage.tables import Consignment, Docket
from tests.support import season
from tests.support.intake import Dock, stored_dock, truck_form
from tests.support.season import RECEIVED
from tests.support.visitor import Visitor, one, parsed, typed_in, visitor, words

THREE = {"gross-2": "440", "bins-2": "1", "gross-3": "440", "labels-2": "", "part-2": ""}
SLIPPED = THREE | {"gross-3": "44.0", "shown": "1:400000 1:400000 1:4000"}


@pytest.fixture
def ids(sqlite_database: Database) -> Dock:
    return stored_dock(sqlite_database)


@pytest.fixture
def supervisor(sqlite_database: Database, ids: Dock) -> Visitor:
    return visitor(sqlite_database, Role.SUPERVISOR)


def consignments(database: Database) -> int:
    with database.reading() as session:
        return len(session.exec(select(Consignment)).all())


def docket_id(database: Database) -> int:
    with database.reading() as session:
        return session.exec(select(Docket.id)).first() or 0


def test_the_same_load_on_its_docket_is_asked_about_once(
    supervisor: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    supervisor.post("/dockets", truck_form(ids))
    address = f"/dockets/{docket_id(sqlite_database)}/consignments"
    answer = supervisor.post(address, truck_form(ids))
    page = parsed(answer)
    assert answer.status_code == 422
    said = "1042-1 has the same block and the same weights. Save again if this is another load."
    assert said in words(page, ".notice")
    assert consignments(sqlite_database) == 1
    assert supervisor.post(address, truck_form(ids, noticed=typed_in(page, "noticed"))).status_code == 303
    assert consignments(sqlite_database) == 2


def test_working_out_the_net_does_not_stand_for_having_been_asked(
    supervisor: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    supervisor.post("/dockets", truck_form(ids))
    address = f"/dockets/{docket_id(sqlite_database)}/consignments"
    page = parsed(supervisor.post(address, truck_form(ids, do="net")))
    assert page.select(".notice") == []
    assert supervisor.post(address, truck_form(ids, noticed=typed_in(page, "noticed"))).status_code == 422


@pytest.mark.parametrize(
    "changes",
    [
        {"gross_1": "441", "shown": "1:401000 4:1600000"},
        {"block": "another"},
    ],
)
def test_other_weights_or_another_block_are_another_load(
    supervisor: Visitor, ids: Dock, sqlite_database: Database, changes: dict[str, str]
) -> None:
    with sqlite_database.writing() as session:
        another = str(season.block(session, ids.grower, "Ridge 4"))
        session.commit()
    supervisor.post("/dockets", truck_form(ids))
    typed = truck_form(ids, **{name: another if value == "another" else value for name, value in changes.items()})
    assert supervisor.post(f"/dockets/{docket_id(sqlite_database)}/consignments", typed).status_code == 303


def test_a_voided_load_may_be_saved_anew(supervisor: Visitor, ids: Dock, sqlite_database: Database) -> None:
    supervisor.post("/dockets", truck_form(ids))
    supervisor.post("/consignments/1/voiding", {"reason": "wrong market"})
    answer = supervisor.post(f"/dockets/{docket_id(sqlite_database)}/consignments", truck_form(ids))
    assert answer.status_code == 303


@pytest.mark.parametrize(
    ("received", "status"), [("2026-01-14T04:20", 422), ("2026-01-14T04:21", 303), ("2026-01-14T02:20", 422)]
)
def test_the_same_pick_within_the_hour_on_another_docket(
    supervisor: Visitor, ids: Dock, sqlite_database: Database, received: str, status: int
) -> None:
    """Received at 03:20 first; other weights, as many bins."""
    supervisor.post("/dockets", truck_form(ids))
    weights = {"gross_1": "441", "shown": "1:401000 4:1600000"}
    answer = supervisor.post("/dockets", truck_form(ids, number="1043", received=received, **weights))
    assert answer.status_code == status
    if status == 422:
        said = "1042-1 has the same block, the same pick and as many bins, received within an hour of this."
        assert said in words(parsed(answer), ".notice")


def test_a_slipped_digit_is_marked_before_it_is_saved(
    supervisor: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    page = parsed(supervisor.post("/dockets", truck_form(ids) | SLIPPED | {"do": "net"}))
    assert words(page, "#net .odd") == "Bin 3: much lighter than the other bins: a part bin?"
    said = "Bin 3 is marked below as unlike the other bins. Save if what was typed is right."
    assert said in words(page, "#net .notice")
    assert one(page, ".button-row button.act").get_text(strip=True) == "Save"
    saved = supervisor.post("/dockets", truck_form(ids) | SLIPPED | {"noticed": typed_in(page, "noticed")})
    assert saved.status_code == 303


def test_saving_comes_back_once_where_the_mark_was_not_seen(
    supervisor: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    answer = supervisor.post("/dockets", truck_form(ids) | SLIPPED)
    page = parsed(answer)
    assert answer.status_code == 422
    assert "Bin 3 is marked below" in words(page, ".notice")
    assert consignments(sqlite_database) == 0
    again = truck_form(ids) | SLIPPED | {"noticed": typed_in(page, "noticed")}
    assert supervisor.post("/dockets", again).status_code == 303


def test_a_part_bin_that_is_ticked_is_not_marked(supervisor: Visitor, ids: Dock) -> None:
    typed = truck_form(ids) | SLIPPED | {"part-3": "yes"}
    assert supervisor.post("/dockets", typed).status_code == 303


def test_a_gross_over_what_is_usual_is_marked_where_nothing_else_came(
    supervisor: Visitor, ids: Dock, sqlite_database: Database
) -> None:
    with sqlite_database.writing() as session:
        season.consignment(session, ids.block, ids.market, number="1040", received_at=RECEIVED - timedelta(days=29))
        session.commit()
    alone = {"gross-2": "", "bins-2": "1", "labels-2": "", "part-2": "", "gross-1": "940", "do": "net"}
    page = parsed(supervisor.post("/dockets", truck_form(ids) | alone))
    marked = "much heavier than the Half-ton plastic bins of the last 30 days: a digit too many?"
    assert marked in words(page, "#net .odd")


def test_older_and_voided_bins_are_not_what_is_usual(supervisor: Visitor, ids: Dock, sqlite_database: Database) -> None:
    with sqlite_database.writing() as session:
        season.consignment(session, ids.block, ids.market, number="1039", received_at=RECEIVED - timedelta(days=31))
        void = season.consignment(session, ids.block, ids.market, number="1040", received_at=RECEIVED)
        session.commit()
    supervisor.post(f"/consignments/{void}/voiding", {"reason": "saved twice"})
    alone = {"gross-2": "", "bins-2": "1", "labels-2": "", "part-2": "", "gross-1": "940", "do": "net"}
    assert parsed(supervisor.post("/dockets", truck_form(ids) | alone)).select("#net .odd") == []
