"""Receiving fruit: what is stored, and what cannot be."""

from dataclasses import replace
from threading import Thread

import pytest
from sqlmodel import Session, func, select

from shedgrade.actions import intake as actions
from shedgrade.actions.intake import DocketFacts, TareFacts, WeighingFacts
from shedgrade.storage import intake
from shedgrade.storage.database import Database
from shedgrade.storage.tables import Bin, Consignment, Docket, EmptiesWeighing, Market, Tare, Weighing
from tests.support.intake import Dock, avocado_market, dock, dry_tare, facts
from tests.support.season import RECEIVED

TRUCK = DocketFacts("1042", "Old red", RECEIVED)
WET = TareFacts(RECEIVED.date(), 2, 84_000, wet=True)


def two_bins(session: Session, ids: Dock) -> intake.ConsignmentWhole:
    docket = actions.add_docket(session, TRUCK)
    received = facts(ids, WeighingFacts(2, ids.bin_type, ids.tare, 900_000))
    consignment = actions.add_consignment(session, docket.id or 0, received, ids.person)
    return intake.consignment_for(session, ids.supervisor, consignment.id or 0)


def rows(session: Session, table: type) -> int:
    return session.exec(select(func.count()).select_from(table)).one()


def test_a_consignment_is_stored_with_everything_said_of_it(database: Database) -> None:
    with database.writing() as session:
        ids = dock(session)
        docket = actions.add_docket(session, TRUCK)
        stored = actions.add_consignment(session, docket.id or 0, facts(ids), ids.person)
        session.commit()
    with database.reading() as session:
        row = session.get_one(Consignment, stored.id)
        assert (row.docket_id, row.line, row.block_id, row.market_id) == (docket.id, 1, ids.block, ids.market)
        assert (row.received_at, row.received_by_id, row.team) == (RECEIVED, ids.person, "Night team")
        assert (row.pulp_ddeg, row.grower_bins) == (264, 1)
        assert row.spec_version_id == session.get_one(Market, ids.market).spec_version_id


def test_the_spec_is_the_markets_of_the_day_whatever_it_takes_later(database: Database) -> None:
    with database.writing() as session:
        ids = dock(session)
        before = two_bins(session, ids).consignment.spec_version_id
        market = session.get_one(Market, ids.market)
        market.spec_version_id = session.get_one(Market, avocado_market(session)).spec_version_id
        session.flush()
        assert session.exec(select(Consignment.spec_version_id)).one() == before


def test_bins_are_numbered_through_and_carry_their_labels(database: Database) -> None:
    with database.writing() as session:
        ids = dock(session)
        docket = actions.add_docket(session, TRUCK)
        weighings = (
            WeighingFacts(2, ids.bin_type, ids.tare, 900_000, labels=("A", "B")),
            WeighingFacts(1, ids.bin_type, ids.tare, 300_000, part=True),
            WeighingFacts(2, ids.bin_type, ids.tare, 880_000, labels=("C",), part=True),
        )
        actions.add_consignment(session, docket.id or 0, facts(ids, *weighings), ids.person)
        bins = session.exec(select(Bin).order_by(Bin.number)).all()  # type: ignore[arg-type]
        lines = session.exec(select(Weighing.line, Weighing.gross_g).order_by(Weighing.line)).all()  # type: ignore[arg-type]
    assert [(each.number, each.label, each.part) for each in bins] == [
        (1, "A", False),
        (2, "B", False),
        (3, "", True),
        (4, "C", False),
        (5, "", True),
    ]
    assert lines == [(1, 900_000), (2, 300_000), (3, 880_000)]


def test_consignments_of_a_docket_get_the_next_line(database: Database) -> None:
    with database.writing() as session:
        ids = dock(session)
        docket = actions.add_docket(session, TRUCK)
        lines = [actions.add_consignment(session, docket.id or 0, facts(ids), ids.person).line for _ in range(3)]
    assert lines == [1, 2, 3]


def test_a_docket_number_is_given_once_and_the_refusal_names_the_other(database: Database) -> None:
    with database.writing() as session:
        first = actions.add_docket(session, TRUCK)
        with pytest.raises(actions.NumberTakenError, match="Docket 1042 is in the books already") as taken:
            actions.add_docket(session, replace(TRUCK, truck="Blue"))
        assert taken.value.docket_id == first.id
        assert rows(session, Docket) == 1


def test_a_market_for_another_fruit_is_refused(database: Database) -> None:
    with database.writing() as session:
        ids = dock(session)
        docket = actions.add_docket(session, TRUCK)
        wrong = replace(facts(ids), market_id=avocado_market(session))
        with pytest.raises(actions.WrongFruitError, match="avocado"):
            actions.add_consignment(session, docket.id or 0, wrong, ids.person)
        assert rows(session, Consignment) == 0


@pytest.mark.parametrize("gross_g", [39_999, 40_000])
def test_bins_that_weigh_no_more_than_their_empties_are_refused(database: Database, gross_g: int) -> None:
    with database.writing() as session:
        ids = dock(session)
        docket = actions.add_docket(session, TRUCK)
        nothing = facts(ids, WeighingFacts(1, ids.bin_type, ids.tare, gross_g))
        with pytest.raises(ValueError, match="no more than the empties"):
            actions.add_consignment(session, docket.id or 0, nothing, ids.person)
        assert rows(session, Consignment) == 0


def test_a_consignment_without_bins_is_refused(database: Database) -> None:
    with database.writing() as session:
        ids = dock(session)
        docket = actions.add_docket(session, TRUCK)
        with pytest.raises(ValueError, match="at least one bin"):
            actions.add_consignment(session, docket.id or 0, replace(facts(ids), weighings=()), ids.person)


def test_wet_empties_are_kept_as_a_wet_tare_of_the_consignment(database: Database) -> None:
    with database.writing() as session:
        ids = dock(session)
        whole = two_bins(session, ids)
        stored = actions.weigh_empties(session, whole, ids.bin_type, WET, RECEIVED, ids.person)
        tare = session.get_one(Tare, stored.tare_id)
    assert (stored.consignment_id, stored.bin_type_id, stored.weighed_at) == (whole.id, ids.bin_type, RECEIVED)
    assert (tare.state, tare.empties, tare.total_g, tare.weighed_by_id) == ("wet", 2, 84_000, ids.person)


def test_wet_empties_of_a_type_are_weighed_once(database: Database) -> None:
    with database.writing() as session:
        ids = dock(session)
        whole = two_bins(session, ids)
        actions.weigh_empties(session, whole, ids.bin_type, WET, RECEIVED, ids.person)
        with pytest.raises(actions.AlreadyWeighedError, match="that weighing stands"):
            actions.weigh_empties(session, whole, ids.bin_type, WET, RECEIVED, ids.person)
        assert rows(session, EmptiesWeighing) == 1


def test_wet_empties_that_leave_no_fruit_are_refused(database: Database) -> None:
    with database.writing() as session:
        ids = dock(session)
        whole = two_bins(session, ids)
        heavy = replace(WET, total_g=900_000)
        with pytest.raises(actions.NothingLeftError, match="no fruit"):
            actions.weigh_empties(session, whole, ids.bin_type, heavy, RECEIVED, ids.person)
        assert rows(session, EmptiesWeighing) == 0


def test_wet_empties_of_a_type_that_did_not_come_are_refused(database: Database) -> None:
    with database.writing() as session:
        ids = dock(session)
        whole = two_bins(session, ids)
        crate = actions.add_bin_type(session, "Crate").id or 0
        dry_tare(session, crate, ids.person)
        with pytest.raises(actions.NothingLeftError, match="Crate"):
            actions.weigh_empties(session, whole, crate, WET, RECEIVED, ids.person)


def test_a_bin_types_name_is_given_once(database: Database) -> None:
    with database.writing() as session:
        dock(session)
        with pytest.raises(actions.NameTakenError, match="Half-ton plastic already"):
            actions.add_bin_type(session, "Half-ton plastic")


def test_nothing_is_committed_by_an_action(database: Database) -> None:
    with database.writing() as session:
        two_bins(session, dock(session))
    with database.reading() as session:
        assert rows(session, Consignment) == 0


def test_two_servers_on_one_docket_get_a_line_each(database: Database) -> None:
    """The second waits for the first on the locked docket (PostgreSQL) or on the whole file (SQLite)."""
    with database.writing() as session:
        ids = dock(session)
        docket_id = actions.add_docket(session, TRUCK).id or 0
        session.commit()

    def second_server() -> None:
        with database.writing() as session:
            actions.add_consignment(session, docket_id, facts(ids), ids.person)
            session.commit()

    second = Thread(target=second_server)
    with database.writing() as session:
        actions.add_consignment(session, docket_id, facts(ids), ids.person)
        second.start()
        second.join(0.3)
        assert second.is_alive()
        session.commit()
    second.join(5)
    with database.reading() as session:
        assert sorted(session.exec(select(Consignment.line))) == [1, 2]
