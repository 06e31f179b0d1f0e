"""Loading what came in: whole, each grower's own only; and what the database refuses of it."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from sqlalchemy import event
from sqlalchemy.exc import IntegrityError
from sqlmodel import Session

from shedgrade.actions import intake as actions
from shedgrade.actions.intake import DocketFacts, TareFacts, WeighingFacts
from shedgrade.domain.people import Doer, Person, Role
from shedgrade.storage import intake
from shedgrade.storage.database import Database
from shedgrade.storage.missing import MissingError
from shedgrade.storage.tables import Bin, EmptiesWeighing, Weighing
from tests.support import season
from tests.support.intake import Dock, dock, dry_tare, facts
from tests.support.season import RECEIVED, TARES_WEIGHED

STRANGER = Person(98, "Other grower", frozenset([Role.GROWER]), 12_345)
NOBODYS = Person(97, "Grower of nothing", frozenset([Role.GROWER]))


def received(session: Session, ids: Dock, *weighings: WeighingFacts, number: str = "1042", days: int = 0) -> int:
    moment = RECEIVED + timedelta(days=days)
    docket = actions.add_docket(session, DocketFacts(number, "Old red", moment))
    consignment = actions.add_consignment(session, docket.id or 0, facts(ids, *weighings), ids.person)
    consignment.received_at = moment
    session.flush()
    return consignment.id or 0


def test_a_consignment_comes_whole(database: Database) -> None:
    with database.writing() as session:
        ids = dock(session)
        together = WeighingFacts(3, ids.bin_type, ids.tare, 1_300_000, labels=("A1", "A2"), part=True)
        key = received(session, ids, WeighingFacts(1, ids.bin_type, ids.tare, 440_000), together)
        whole = intake.consignment_for(session, ids.supervisor, key)
    assert (whole.id, whole.name, whole.received_by) == (key, "1042-1", Doer("Dock"))
    assert (whole.docket.truck, whole.block.name, whole.grower.name) == ("Old red", "Ridge 3", "Tallow Creek")
    assert whole.market.id == ids.market
    assert [weighing.gross_g for weighing in whole.weighings] == [440_000, 1_300_000]
    assert [(each.number, each.label, each.part) for each in whole.bins_of(whole.weighings[1])] == [
        (2, "A1", False),
        (3, "A2", False),
        (4, "", True),
    ]
    assert [(group.bins, group.gross_g, int(group.tare.mean_g)) for group in whole.groups] == [
        (1, 440_000, 40_000),
        (3, 1_300_000, 40_000),
    ]
    assert whole.wet_tares == ()


def test_wet_empties_come_with_it(database: Database) -> None:
    with database.writing() as session:
        ids = dock(session)
        key = received(session, ids)
        whole = intake.consignment_for(session, ids.supervisor, key)
        wet = TareFacts(RECEIVED.date(), 1, 43_000, wet=True)
        actions.weigh_empties(session, whole, ids.bin_type, wet, RECEIVED, ids.person)
        whole = intake.consignment_for(session, ids.supervisor, key)
    assert [(tare.bin_type, int(tare.mean_g), tare.wet) for tare in whole.wet_tares] == [
        ("Half-ton plastic", 43_000, True)
    ]


def test_a_grower_gets_own_consignments_only(database: Database) -> None:
    with database.writing() as session:
        ids = dock(session)
        key = received(session, ids)
        assert intake.consignment_for(session, ids.grower_person, key).id == key
        assert [each.id for each in intake.consignments_for(session, ids.grower_person)] == [key]
        docket_id = intake.consignment_for(session, ids.grower_person, key).docket.id or 0
        assert len(intake.docket_for(session, ids.grower_person, docket_id).consignments) == 1
        for other in (STRANGER, NOBODYS):
            assert intake.consignments_for(session, other) == []
            with pytest.raises(MissingError):
                intake.consignment_for(session, other, key)
            with pytest.raises(MissingError):
                intake.docket_for(session, other, docket_id)


def test_a_shared_docket_shows_a_grower_only_their_part(database: Database) -> None:
    with database.writing() as session:
        ids = dock(session)
        mine = received(session, ids)
        docket_id = intake.consignment_for(session, ids.supervisor, mine).docket.id or 0
        other_block = season.block(session, season.grower(session, "Second"), "Far paddock")
        actions.add_consignment(session, docket_id, facts(ids._replace(block=other_block)), ids.person)
        everybody = intake.docket_for(session, ids.supervisor, docket_id)
        own = intake.docket_for(session, ids.grower_person, docket_id)
    assert [each.name for each in everybody.consignments] == ["1042-1", "1042-2"]
    assert [each.id for each in own.consignments] == [mine]


@pytest.mark.parametrize("load", [intake.consignment_for, intake.docket_for])
def test_what_is_not_there_is_missing(database: Database, load: Callable[[Session, Person, int], object]) -> None:
    with database.writing() as session:
        ids = dock(session)
        with pytest.raises(MissingError):
            load(session, ids.supervisor, 4711)
        with pytest.raises(MissingError):
            intake.bin_type(session, 4711)


def test_lists_come_newest_first_and_within_their_bounds(database: Database) -> None:
    with database.writing() as session:
        ids = dock(session)
        first, second, third = (received(session, ids, number=f"{day}", days=day) for day in range(3))

        def listed(**bounds: object) -> list[int]:
            found = intake.consignments_for(session, ids.supervisor, **bounds)  # type: ignore[arg-type]
            return [each.id for each in found]

        assert listed() == [third, second, first]
        assert listed(since=RECEIVED + timedelta(days=1)) == [third, second]
        assert listed(before=RECEIVED + timedelta(days=1)) == [first]
        assert listed(most=1) == [third]
        assert listed(block_id=ids.block) == [third, second, first]
        assert listed(block_id=ids.avocado_block) == []


def test_a_list_takes_as_many_queries_for_many_as_for_few(database: Database) -> None:
    with database.writing() as session:
        ids = dock(session)
        asked: list[str] = []
        event.listen(database.writer, "before_cursor_execute", lambda *heard: asked.append(heard[2]))
        counts = []
        for number in range(3):
            received(session, ids, number=f"{number}")
            asked.clear()
            intake.consignments_for(session, ids.supervisor)
            counts.append(len(asked))
    assert counts[0] == counts[2] <= 6


def test_the_latest_dry_tare_of_the_day_is_in_force(database: Database) -> None:
    with database.writing() as session:
        ids = dock(session)
        later = dry_tare(session, ids.bin_type, ids.person, TARES_WEIGHED + timedelta(days=5), 210_000)
        actions.add_tare(
            session, ids.bin_type, TareFacts(TARES_WEIGHED + timedelta(days=6), 5, 230_000, wet=True), ids.person
        )

        def in_force(day: date) -> dict[int, int | None]:
            return {key: tare.id for key, tare in intake.tares_in_force(session, day).items()}

        assert in_force(TARES_WEIGHED - timedelta(days=1)) == {}
        assert in_force(TARES_WEIGHED) == {ids.bin_type: ids.tare}
        assert in_force(TARES_WEIGHED + timedelta(days=4)) == {ids.bin_type: ids.tare}
        assert in_force(TARES_WEIGHED + timedelta(days=5)) == {ids.bin_type: later}
        assert in_force(TARES_WEIGHED + timedelta(days=9)) == {ids.bin_type: later}
        again = dry_tare(session, ids.bin_type, ids.person, TARES_WEIGHED + timedelta(days=5), 205_000)
        assert in_force(TARES_WEIGHED + timedelta(days=5)) == {ids.bin_type: again}


def test_bin_types_come_with_their_tares_but_not_with_wet_empties_of_consignments(database: Database) -> None:
    with database.writing() as session:
        ids = dock(session)
        whole = intake.consignment_for(session, ids.supervisor, received(session, ids))
        wet = TareFacts(RECEIVED.date(), 1, 43_000, wet=True)
        actions.weigh_empties(session, whole, ids.bin_type, wet, RECEIVED, ids.person)
        actions.add_bin_type(session, "Crate")
        crate, plastic = intake.bin_types_with_tares(session)
    assert (crate.bin_type.name, crate.tares) == ("Crate", ())
    assert [(each.row.id, int(each.mean.mean_g), each.weighed_by) for each in plastic.tares] == [
        (ids.tare, 40_000, "Dock")
    ]


def test_fruit_are_counted_by_consignment_without_the_voided(database: Database) -> None:
    with database.writing() as session:
        ids = dock(session)
        looked_at, untouched = received(session, ids), received(session, ids, number="2")
        draws = [
            season.draw(session, season.sample(session, looked_at, question=question))
            for question in ("intake", "reject belt")
        ]
        fruit = [season.fruit(session, draw, weight) for draw in draws for weight in (4000, 4100, 4200)]
        season.void(session, fruit[0])
        season.void(session, fruit[5])
        assert intake.fruit_counts(session, [looked_at, untouched]) == {looked_at: 4}


def a_bin(
    session: Session, ids: Dock, key: int, *, number: int = 50, on: int | None = None, bin_type: int | None = None
) -> Bin:
    """One more bin on the first weighing of a consignment, good unless told otherwise."""
    weighing = intake.consignment_for(session, ids.supervisor, key).weighings[0]
    return Bin(
        consignment_id=on or key,
        weighing_id=weighing.id or 0,
        number=number,
        bin_type_id=bin_type or ids.bin_type,
        tare_id=ids.tare,
    )


def test_the_database_refuses_a_bin_with_another_types_tare(database: Database) -> None:
    with database.writing() as session:
        ids = dock(session)
        key = received(session, ids)
        other = actions.add_bin_type(session, "Crate").id or 0
        session.add(a_bin(session, ids, key, bin_type=other))
        with pytest.raises(IntegrityError):
            session.flush()


def test_the_database_refuses_a_bin_on_another_consignments_weighing(database: Database) -> None:
    with database.writing() as session:
        ids = dock(session)
        first, second = received(session, ids), received(session, ids, number="2")
        session.add(a_bin(session, ids, first, on=second))
        with pytest.raises(IntegrityError):
            session.flush()


@pytest.mark.parametrize("twice", ["line", "number", "empties"])
def test_the_database_refuses_what_is_there_twice(database: Database, twice: str) -> None:
    with database.writing() as session:
        ids = dock(session)
        key = received(session, ids)
        row: Weighing | Bin | EmptiesWeighing
        if twice == "line":
            row = Weighing(consignment_id=key, line=1, gross_g=1)
        elif twice == "number":
            row = a_bin(session, ids, key, number=1)
        else:
            whole = intake.consignment_for(session, ids.supervisor, key)
            wet = TareFacts(RECEIVED.date(), 1, 43_000, wet=True)
            actions.weigh_empties(session, whole, ids.bin_type, wet, RECEIVED, ids.person)
            again = actions.add_tare(session, ids.bin_type, wet, ids.person)
            row = EmptiesWeighing(
                consignment_id=key, bin_type_id=ids.bin_type, tare_id=again.id or 0, weighed_at=RECEIVED
            )
        session.add(row)
        with pytest.raises(IntegrityError):
            session.flush()
