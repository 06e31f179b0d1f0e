"""The net of a stored consignment, worked by hand."""

from sqlmodel import Session

from shedgrade.actions import intake as actions
from shedgrade.actions.intake import DocketFacts, TareFacts, WeighingFacts
from shedgrade.reports.net import exact_places, net_of, tares_used, weighed_bins
from shedgrade.storage import intake
from shedgrade.storage.database import Database
from tests.support.intake import Dock, dock, dry_tare, facts
from tests.support.season import RECEIVED


def received(session: Session, ids: Dock, *weighings: WeighingFacts) -> intake.ConsignmentWhole:
    docket = actions.add_docket(session, DocketFacts("1042", "", RECEIVED))
    consignment = actions.add_consignment(session, docket.id or 0, facts(ids, *weighings), ids.person)
    return intake.consignment_for(session, ids.supervisor, consignment.id or 0)


def test_single_and_grouped_weighings_add_up(database: Database) -> None:
    """440 - 40 = 400 kg; 1 760 - 4 × 40 = 1 600 kg."""
    with database.writing() as session:
        ids = dock(session)
        single = WeighingFacts(1, ids.bin_type, ids.tare, 440_000)
        whole = received(session, ids, single, WeighingFacts(4, ids.bin_type, ids.tare, 1_760_000, ("A",), part=True))
    net = net_of(whole)
    assert [line.net_g for line in net.groups] == [400_000, 1_600_000]
    assert (net.bins, net.gross_g, net.tare_g, net.net_g) == (5, 2_200_000, 200_000, 2_000_000)
    first, second = weighed_bins(whole, net)
    assert (first.words, first.part_words, first.labels) == ("Bin 1", "", ())
    assert (second.words, second.part_words, second.labels) == ("Bins 2–5", "bin 5 a part bin", ("A",))
    assert second.line is net.groups[1]
    assert [(tare.bin_type, tare.empties) for tare in tares_used(net)] == [("Half-ton plastic", 5)]


def test_each_bin_type_takes_its_own_tare_and_its_own_wet_correction(database: Database) -> None:
    """Crates of 2 kg: 3 of them weighed 62 kg, 56 kg net. Wet plastic is 3.5 kg heavier: 2 × 3.5 = 7 kg off."""
    with database.writing() as session:
        ids = dock(session)
        crate = actions.add_bin_type(session, "Crate").id or 0
        crate_tare = dry_tare(session, crate, ids.person, total_g=10_000)
        plastic = WeighingFacts(2, ids.bin_type, ids.tare, 880_000)
        whole = received(session, ids, plastic, WeighingFacts(3, crate, crate_tare, 62_000))
        wet = TareFacts(RECEIVED.date(), 2, 87_000, wet=True)
        actions.weigh_empties(session, whole, ids.bin_type, wet, RECEIVED, ids.person)
        whole = intake.consignment_for(session, ids.supervisor, whole.id)
    net = net_of(whole)
    assert [line.net_g for line in net.groups] == [800_000, 56_000]
    assert [(line.tare.bin_type, line.bins, line.correction_g) for line in net.wet] == [("Half-ton plastic", 2, -7_000)]
    assert (net.net_before_wet_g, net.correction_g, net.net_g) == (856_000, -7_000, 849_000)


def test_the_first_day_of_the_demo_takes_19_kg_off(database: Database) -> None:
    """Ten bins, each 1.9 kg heavier wet than dry."""
    with database.writing() as session:
        ids = dock(session)
        whole = received(session, ids, WeighingFacts(10, ids.bin_type, ids.tare, 4_400_000))
        wet = TareFacts(RECEIVED.date(), 10, 419_000, wet=True)
        actions.weigh_empties(session, whole, ids.bin_type, wet, RECEIVED, ids.person)
        whole = intake.consignment_for(session, ids.supervisor, whole.id)
    assert (net_of(whole).correction_g, net_of(whole).net_g) == (-19_000, 3_981_000)


def test_a_column_shows_as_many_decimals_as_add_up() -> None:
    assert exact_places([]) == 0
    assert exact_places([440_000, 1_000]) == 0
    assert exact_places([440_500, 1_000]) == 1
    assert exact_places([440_500, 38_333]) == 3
    assert exact_places([-18_970]) == 2
