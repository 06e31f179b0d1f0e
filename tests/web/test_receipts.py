"""The receipt: everything a driver and a grower want on one sheet."""

from datetime import UTC, datetime

import pytest

from shedgrade.actions import intake as actions
from shedgrade.actions.intake import DocketFacts, TareFacts, WeighingFacts
from shedgrade.domain.people import Role
from shedgrade.storage import intake
from shedgrade.storage.database import Database
from shedgrade.web.pages import say_day
from tests.support import season
from tests.support.intake import Dock, facts, stored_dock
from tests.support.season import RECEIVED
from tests.support.visitor import one, parsed, visitor, words


@pytest.fixture
def ids(sqlite_database: Database) -> Dock:
    return stored_dock(sqlite_database)


def received(database: Database, ids: Dock, *, wet: bool = False) -> int:
    weighings = (
        WeighingFacts(1, ids.bin_type, ids.tare, 440_500, labels=("A1",)),
        WeighingFacts(3, ids.bin_type, ids.tare, 1_320_000, part=True),
    )
    with database.writing() as session:
        docket = actions.add_docket(session, DocketFacts("1042", "Old red", RECEIVED))
        key = actions.add_consignment(session, docket.id or 0, facts(ids, *weighings), ids.person).id or 0
        if wet:
            whole = intake.consignment_for(session, ids.supervisor, key)
            empties = TareFacts(RECEIVED.date(), 4, 179_000, wet=True)
            actions.weigh_empties(session, whole, ids.bin_type, empties, RECEIVED, ids.person)
        session.commit()
    return key


def test_the_sheet_says_everything(ids: Dock, sqlite_database: Database) -> None:
    key = received(sqlite_database, ids)
    page = parsed(
        visitor(sqlite_database, Role.SUPERVISOR, shed_name="Ninth Gate Shed").get(f"/consignments/{key}/receipt")
    )
    sheet = words(page, ".sheet")
    for said in [
        "Ninth Gate Shed, receipt 1042-1",
        "1 600.5 kg net received from Tallow Creek",
        "Docket 1042 Truck Old red Received Wed 14 Jan 2026, 03:20",
        "Grower Tallow Creek Block Ridge 3 Variety Calypso",
        "Picked from Wed 14 Jan 2026, 00:20 Picked to Wed 14 Jan 2026, 02:20 Picking team Night team",
        "Meant for Kestrow Markets Pulp temperature 26.4 °C Received by Dock",
        "Bin 1 A1 Half-ton plastic 440.5 kg 40.0 kg 400.5 kg",
        "Bins 2–4, bin 4 a part bin Half-ton plastic 1 320.0 kg 120.0 kg 1 200.0 kg",
        "Net, 4 bins 1 760.5 kg 160.0 kg 1 600.5 kg",
        "Tare of Half-ton plastic: 40.0 kg an empty weighed mean of 5 dry empties, Thu 1 Jan 2026",
        "The grower's own count was 1, 3 fewer than the shed's 4.",
        "For the shed Driver or grower Date",
        "Only a scale verified for trade may set a weight that fruit is paid by",
    ]:
        assert said in sheet


def test_wet_empties_are_a_line_and_both_nets_stand(ids: Dock, sqlite_database: Database) -> None:
    """Each of 4 bins is 4.75 kg heavier wet than dry: 19 kg."""
    key = received(sqlite_database, ids, wet=True)
    sheet = words(parsed(visitor(sqlite_database, Role.SUPERVISOR).get(f"/consignments/{key}/receipt")), ".sheet")
    assert "Net as received, 4 bins 1 760.5 kg 160.0 kg 1 600.5 kg" in sheet
    assert (
        "Wet empties weighed: Half-ton plastic, 4 for 179.0 kg on Wed 14 Jan 2026, taken for 4 bins −19.0 kg" in sheet
    )
    assert "Net now 1 581.5 kg" in sheet
    assert (
        "receipt 1042-1, net corrected on Wed 14 Jan 2026, 03:20; replaces the receipt of Wed 14 Jan 2026, 03:20"
        in sheet
    )


def test_the_sheet_says_when_it_was_printed_and_offers_to(ids: Dock, sqlite_database: Database) -> None:
    key = received(sqlite_database, ids)
    page = parsed(visitor(sqlite_database, Role.SUPERVISOR).get(f"/consignments/{key}/receipt"))
    assert f"Printed {say_day(datetime.now(UTC).date())}, " in words(page, ".sheet .facts")
    assert "corrected" not in words(page, ".sheet")
    assert one(page, "button[data-print]").has_attr("hidden")
    assert "browser's own menu" in one(page, "[data-print-hint]").get_text()


def test_growers_print_their_own_receipt_and_nobody_elses(ids: Dock, sqlite_database: Database) -> None:
    key = received(sqlite_database, ids)
    with sqlite_database.writing() as session:
        other = season.grower(session, "Second")
        session.commit()
    own = visitor(sqlite_database, Role.GROWER, grower_id=ids.grower)
    assert one(parsed(own.get(f"/consignments/{key}/receipt")), ".sheet")
    stranger = visitor(sqlite_database, Role.GROWER, grower_id=other)
    assert stranger.get(f"/consignments/{key}/receipt").status_code == 404


@pytest.mark.parametrize("key", ["4711", "0", "99999999999", "x"])
def test_an_unknown_consignment_has_no_receipt(sqlite_database: Database, key: str) -> None:
    assert visitor(sqlite_database, Role.SUPERVISOR).get(f"/consignments/{key}/receipt").status_code == 404
