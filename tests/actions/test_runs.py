"""Runs on both databases: what is stored comes to what the events come to; what cannot be is refused, not stored."""

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as some
from sqlalchemy import event, text
from sqlalchemy.exc import OperationalError
from sqlmodel import Session, func, select

from shedgrade.actions.intake import void_consignment
from shedgrade.actions.runs import EntryKeyTakenError, StartFacts, record, start, take_back, void_run
from shedgrade.actions.shared_bins import BinWeight, open_shared_bin, weigh_shared_bin
from shedgrade.domain.people import Person, Role
from shedgrade.domain.run import events as say
from shedgrade.domain.run.balance import balance, by_load
from shedgrade.domain.run.events import Break, Event, Kind, Place, What
from shedgrade.domain.run.fold import fold
from shedgrade.domain.run.packed import Known, packed
from shedgrade.domain.run.refused import RefusedError
from shedgrade.domain.run.shares import Rule
from shedgrade.storage import quotes
from shedgrade.storage.database import Database
from shedgrade.storage.history import Actor, WrittenOnceError, act_as, changes_of
from shedgrade.storage.missing import MissingError
from shedgrade.storage.run_entries import entries, entry
from shedgrade.storage.runs import RunWhole, run_for, runs_for
from shedgrade.storage.shared_bins import open_shared_bins, shared_bin, shared_bins_of
from shedgrade.storage.stale import StaleError
from shedgrade.storage.tables import Consignment, RunEvent
from tests.support import season
from tests.support.runs import SIX, at
from tests.support.templates import PostgresTemplate

OUT = Place(say.Way.OUTLET, "processing")


class Line(NamedTuple):
    """Ids of two consignments (three bins of 400 kg; two bins, 500 001 g), the tray, the spec, and who packs."""

    first: int
    second: int
    tray: int
    spec: int
    person: Person
    grower: Person

    def cell(self, *counts: int, stretch: int = 1, class_id: str = "I") -> say.Cell:
        return say.Cell(stretch, class_id, self.tray, counts or (16,))

    @property
    def breaks(self) -> tuple[Break, ...]:
        return (Break(self.tray, 16, 4380), Break(self.tray, 18, 3890))

    def facts(self, **changes: object) -> StartFacts:
        facts = StartFacts(Kind.PACKING, ((self.first, 0),), self.spec, (self.tray,), self.breaks)
        return replace(facts, **changes)  # type: ignore[arg-type]


def line(session: Session) -> Line:
    grower = season.grower(session)
    tray, spec = season.tray_type(session), season.spec_version(session)
    market, block = season.market(session, spec, [tray]), season.block(session, grower)
    first = season.consignment(session, block, market, bins_net_g=[400_000] * 3, number="1042")
    second = season.consignment(session, block, market, bins_net_g=[250_000, 250_001], number="1043")
    person_id = season.shed_person(session, "Ada Thorne", Role.SUPERVISOR)
    act_as(session, Actor(person_id, "Line tablet", SIX))
    person = Person(person_id, "Ada Thorne", frozenset({Role.SUPERVISOR}))
    return Line(first, second, tray, spec, person, Person(99, "", frozenset({Role.GROWER}), grower))


def begun(session: Session, shed: Line, **changes: object) -> int:
    return start(session, shed.facts(**changes), shed.person, SIX).id or 0


def now(session: Session, shed: Line, run_id: int) -> RunWhole:
    session.flush()
    session.expire_all()
    return run_for(session, shed.person, run_id, lock=True)


def after(session: Session, shed: Line, run_id: int, happened: Sequence[Event]) -> RunWhole:
    """The run as it is loaded when these were recorded; each answer is held against it."""
    for each in happened:
        done = record(session, now(session, shed, run_id), each, shed.person.id)
        assert done.is_new
        assert done.run.state == now(session, shed, run_id).state
    return now(session, shed, run_id)


def a_day(shed: Line) -> list[Event]:
    """One of every event."""
    return [
        say.StationTaken(at(1), shed.person.id, "Ada Thorne", "bin tip"),
        say.BinsTipped(at(2), shed.first, 2),
        say.BinsTipped(at(3), shed.first, 1, 398_500),
        say.TraysPacked(at(10), shed.cell(), 30),
        say.TrayWeighed(at(11), shed.cell(), 7_650, 550),
        say.TrayWeighed(at(12), shed.cell(), 7_540, 550),
        say.SampleTaken(at(13), 10, 4_300),
        say.SampleReturned(at(14), 8, 3_400),
        say.Paused(at(20), "belt slipped"),
        say.Resumed(at(25)),
        say.BreaksChanged(at(30), (Break(shed.tray, 16, 4300),), "trays too heavy"),
        say.TraysPacked(at(31), shed.cell(stretch=2), 12),
        say.TraysPacked(at(32), shed.cell(16, 18, stretch=2), 1),
        say.LooseWeighed(at(40), OUT, 120_000),
        say.LooseWeighed(at(41), Place(say.Way.CARRIED_IN, run_id=1), 9_000),
        say.StationLeft(at(50), shed.person.id, "bin tip"),
        say.LineCleared(
            at(60),
            (
                say.Left(What.LUGS, Place(say.Way.RERUN), net_g=20_000),
                say.Left(What.PART_TRAY, Place(say.Way.CARRIED_OUT), fruit=5, tray_id=shed.tray, count=16),
            ),
        ),
        say.Finished(at(61)),
    ]


def test_what_is_stored_is_what_the_events_come_to(database: Database) -> None:
    with database.writing() as session:
        shed = line(session)
        run_id = begun(session, shed)
        run = after(session, shed, run_id, a_day(shed))
        session.commit()
    with database.reading() as session:
        again = run_for(session, shed.person, run_id)
        assert again.state == run.state == fold([run.state.started, *a_day(shed)])
        told = [each.event for each in reversed(entries(session, again, 50))]
        assert told == a_day(shed)
        assert [each.by.name for each in entries(session, again, 2)] == ["Ada Thorne"] * 2
        assert (again.started_by.name, again.row.finished_at, again.voided) == ("Ada Thorne", at(61), None)


def test_the_balance_of_a_stored_run(database: Database) -> None:
    with database.writing() as session:
        shed = line(session)
        state = after(session, shed, begun(session, shed), a_day(shed)).state
        found = balance(state)
    # Mean of 7 100 and 6 990 g is 7 045 g; the second stretch leans on it, the mixed tray stands at its label.
    assert packed(state).measured_g == 30 * 7_045 + 12 * 7_045 + 7_000
    assert packed(state).known is Known.ESTIMATED
    assert (found.received_g, found.storage_loss_g, found.samples_g) == (1_200_000, 1_500, 900)
    assert (found.carried_in_g, found.carried_out_g, found.outlets_g) == (9_000, 20_000 + 2_188, 120_000)
    assert len(found.provisional) == 1


def test_an_entry_is_taken_back_by_another_that_names_it(database: Database) -> None:
    with database.writing() as session:
        shed = line(session)
        run_id = begun(session, shed)
        run = after(
            session, shed, run_id, [say.BinsTipped(at(2), shed.first, 2), say.TraysPacked(at(3), shed.cell(), 5)]
        )
        assert take_back(session, run, 2, shed.person.id, at(4), trays=2).run.state.trays == 3
        with pytest.raises(RefusedError, match="Of these 5 trays 3 are left to take back"):
            take_back(session, now(session, shed, run_id), 2, shed.person.id, at(5), trays=4)
        take_back(session, now(session, shed, run_id), 2, shed.person.id, at(6))
        with pytest.raises(RefusedError, match="none is left to take back"):
            take_back(session, now(session, shed, run_id), 2, shed.person.id, at(7))
        take_back(session, now(session, shed, run_id), 1, shed.person.id, at(8))
        with pytest.raises(RefusedError, match="taken back already"):
            take_back(session, now(session, shed, run_id), 1, shed.person.id, at(9))
        with pytest.raises(RefusedError, match="Only what was counted or weighed"):
            take_back(session, now(session, shed, run_id), 3, shed.person.id, at(9))
        with pytest.raises(MissingError):
            take_back(session, now(session, shed, run_id), 99, shed.person.id, at(9))
        left = now(session, shed, run_id)
        assert left.state == fold([left.state.started])
        assert [(each.number, each.taken_back) for each in entries(session, left, 9)] == [
            (5, 0),
            (4, 0),
            (3, 0),
            (2, 5),
            (1, 1),
        ]
        assert entry(session, left, 3).event == say.TakenBack(at(4), 2, say.TraysPacked(at(3), shed.cell(), 2))


def test_what_cannot_be_is_refused_and_not_stored(database: Database) -> None:
    with database.writing() as session:
        shed = line(session)
        run_id = begun(session, shed)
        with pytest.raises(RefusedError, match="3 bins are left to tip"):
            record(session, now(session, shed, run_id), say.BinsTipped(at(1), shed.first, 4), shed.person.id)
        with pytest.raises(RefusedError, match="not in the run"):
            record(session, now(session, shed, run_id), say.BinsTipped(at(1), shed.second, 1), shed.person.id)
        back = say.TakenBack(at(1), 1, say.TraysPacked(at(1), shed.cell()))
        with pytest.raises(TypeError, match="take_back"):
            record(session, now(session, shed, run_id), back, shed.person.id)
        assert session.exec(select(func.count()).select_from(RunEvent)).one() == 0


def test_a_tap_sent_twice_is_stored_once(database: Database) -> None:
    with database.writing() as session:
        shed = line(session)
        run_id = begun(session, shed)
        tap = say.TraysPacked(at(1), shed.cell(), 1)
        sent = [
            record(session, now(session, shed, run_id), replace(tap, at=at(minute)), shed.person.id, entry_key="tap 1")
            for minute in (1, 2)
        ]
        assert [(each.number, each.is_new, each.run.state.trays) for each in sent] == [(1, True, 1), (1, False, 1)]
        with pytest.raises(EntryKeyTakenError):
            record(session, now(session, shed, run_id), replace(tap, trays=2), shed.person.id, entry_key="tap 1")


def test_two_runs_of_one_consignment_share_its_bins_and_its_net(database: Database) -> None:
    with database.writing() as session:
        shed = line(session)
        one = after(session, shed, begun(session, shed), [say.BinsTipped(at(1), shed.first, 1)])
        other = begun(session, shed)
        with pytest.raises(RefusedError, match="2 bins are left to tip"):
            record(session, now(session, shed, other), say.BinsTipped(at(2), shed.first, 3), shed.person.id)
        after(session, shed, other, [say.BinsTipped(at(2), shed.first, 2)])
        states = [now(session, shed, run_id).state for run_id in (one.id, other)]
        assert [state.bins_left for state in states] == [0, 0]
        assert sum(balance(state).received_g for state in states) == 1_200_000
        assert void_run(session, now(session, shed, other), "wrong tablet", shed.person.id, at(3))
        assert now(session, shed, one.id).state.bins_left == 2
        with pytest.raises(RefusedError, match="was voided"):
            record(session, now(session, shed, other), say.Paused(at(4)), shed.person.id)
        assert (now(session, shed, other).voided or one).reason == "wrong tablet"  # type: ignore[union-attr]


def test_bins_taken_back_in_one_run_and_tipped_in_another_can_be_looked_at_in_both(database: Database) -> None:
    with database.writing() as session:
        shed = line(session)
        one, other, wrong = (begun(session, shed) for _ in range(3))
        after(session, shed, one, [say.BinsTipped(at(1), shed.first, 3)])
        take_back(session, now(session, shed, one), 1, shed.person.id, at(2))
        after(session, shed, wrong, [say.BinsTipped(at(3), shed.first, 3)])
        void_run(session, now(session, shed, wrong), "wrong tablet", shed.person.id, at(4))
        after(session, shed, other, [say.BinsTipped(at(5), shed.first, 3)])
        states = [now(session, shed, run_id).state for run_id in (one, other, wrong)]
        assert [(state.bins_tipped, state.bins_left) for state in states] == [(0, 0), (3, 0), (3, 0)]
        assert [balance(state).received_g for state in states[:2]] == [0, 1_200_000]


def test_a_combined_run_is_shared_by_what_was_declared(database: Database) -> None:
    with database.writing() as session:
        shed = line(session)
        loads = ((shed.second, 1), (shed.first, 2))
        run_id = begun(session, shed, loads=loads, rule=Rule.PARTS)
        happened: list[Event] = [
            say.BinsTipped(at(1), shed.first, 3),
            say.BinsTipped(at(1), shed.second, 2),
            say.LooseWeighed(at(2), OUT, 100_000),
        ]
        run = after(session, shed, run_id, happened)
        assert [whole.name for whole in run.loads] == ["1043-1", "1042-1"]
        parts = by_load(balance(run.state), run.state)
        assert {load: each.outlets_g for load, each in parts.items()} == {shed.second: 33_333, shed.first: 66_667}
        (head,) = runs_for(session, shed.person, consignment_id=shed.first, since=SIX, open_only=True)
        assert head.loads == ("1043-1", "1042-1")


def test_a_bin_that_two_runs_fill_is_shared_when_it_is_weighed(database: Database) -> None:
    with database.writing() as session:
        shed = line(session)
        bin_id = open_shared_bin(session, "processing", "Bin 3", Rule.NET, shed.person.id, SIX).id or 0
        used = say.SharedBinUsed(at(9), bin_id)
        one = begun(session, shed)
        other = begun(session, shed, loads=((shed.second, 0),))
        after(session, shed, one, [say.BinsTipped(at(1), shed.first, 1), used])
        after(
            session,
            shed,
            other,
            [say.BinsTipped(at(1), shed.second, 2), used, say.LineCleared(at(9)), say.Finished(at(9))],
        )

        def balances() -> list[tuple[int, int]]:
            wholes = [now(session, shed, run_id) for run_id in (one, other)]
            found = [balance(each.state, shared_bins_of(session, shed.person, each)) for each in wholes]
            return [(each.outlets_g, len(each.provisional)) for each in found]

        assert balances() == [(0, 1), (0, 1)]
        assert [row.id for row in open_shared_bins(session)] == [bin_id]
        row = shared_bin(session, bin_id)
        weigh_shared_bin(session, row, BinWeight(400_000, 40_000), 1, shed.person.id, at(90))
        # 360 000 g by 400 000 : 500 001 g
        assert balances() == [(160_000, 0), (200_000, 0)]
        with pytest.raises(StaleError):
            weigh_shared_bin(session, row, BinWeight(410_000, 40_000), 1, shed.person.id, at(91))
        with pytest.raises(RefusedError, match="check both weights"):
            weigh_shared_bin(session, row, BinWeight(40_000, 40_000), 2, shed.person.id, at(91))
        with pytest.raises(RefusedError, match="by their net weight or by their bins"):
            open_shared_bin(session, "processing", "", Rule.PARTS, shed.person.id, SIX)
        with pytest.raises(MissingError):
            shared_bin(session, 99)
        assert open_shared_bins(session) == []


def test_a_run_is_not_started_with_what_cannot_be_packed_together(database: Database) -> None:
    with database.writing() as session:
        shed = line(session)
        with pytest.raises(RefusedError, match="at least one consignment"):
            begun(session, shed, loads=())
        with pytest.raises(MissingError):
            begun(session, shed, loads=((99, 0),))
        with pytest.raises(MissingError):
            begun(session, shed, tray_ids=(99,))
        hill = season.block(session, shed.grower.grower_id or 0, "Hill", "avocado")
        avocados = season.consignment(session, hill, 1, number="1044")
        with pytest.raises(RefusedError, match="one kind of fruit"):
            begun(session, shed, loads=((avocados, 0),))
        with pytest.raises(RefusedError, match="one kind of fruit, and these are avocado and mango"):
            begun(session, shed, loads=((shed.first, 0), (avocados, 0)))
        quotes.hold_still(session, [shed.first])
        row = session.get_one(Consignment, shed.first)
        void_consignment(session, row, "saved twice", shed.person.id, SIX, SIX.date())
        with pytest.raises(RefusedError, match="1042-1 was voided"):
            begun(session, shed)


def test_only_the_shed_sees_runs(database: Database) -> None:
    with database.writing() as session:
        shed = line(session)
        run_id = begun(session, shed)
        with pytest.raises(MissingError):
            run_for(session, shed.grower, run_id)
        with pytest.raises(MissingError):
            run_for(session, shed.person, 99)
        assert runs_for(session, shed.grower) == []
        with pytest.raises(MissingError):
            start(session, shed.facts(loads=((99, 0),)), shed.grower, SIX)


def test_a_run_is_told_and_its_entries_are_never_changed(database: Database) -> None:
    with database.writing() as session:
        shed = line(session)
        run_id = begun(session, shed)
        after(session, shed, run_id, [say.LineCleared(at(1)), say.Finished(at(2))])
        session.flush()
        finished, begun_as = changes_of(session, [("run", run_id)])
        assert (begun_as.deed, begun_as.after["loads"], begun_as.after["tray_type_ids"]) == (
            "added",
            [shed.first],
            [shed.tray],
        )
        assert (finished.deed, set(finished.after)) == ("changed", {"finished_at"})
        row = session.exec(select(RunEvent)).first()
        assert row is not None
        row.name = "something else"
        session.add(row)
        with pytest.raises(WrittenOnceError):
            session.flush()


@settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=some.data())
def test_any_entries_come_to_the_same_stored_and_not(sqlite_database: Database, data: some.DataObject) -> None:
    with sqlite_database.writing() as session:
        shed = line(session)
        run_id = begun(session, shed)
        cells = some.builds(shed.cell, some.sampled_from([16, 18]), stretch=some.integers(1, 2))
        amounts = some.one_of(
            some.builds(say.TraysPacked, some.just(at(1)), cells, some.integers(1, 9)),
            some.builds(say.TrayWeighed, some.just(at(1)), cells, some.integers(7_000, 9_000), some.just(550)),
            some.builds(
                say.BinsTipped, some.just(at(1)), some.just(shed.first), some.just(1), some.none() | some.just(9)
            ),
            some.builds(say.SampleTaken, some.just(at(1)), some.just(2), some.just(900)),
            some.just(say.BreaksChanged(at(1), (Break(shed.tray, 16, 4000),))),
        )
        happened: list[Event] = []
        for each in data.draw(some.lists(amounts | some.integers(1, 12), max_size=12)):
            run = run_for(session, shed.person, run_id, lock=True)
            try:
                if isinstance(each, int):
                    number = take_back(session, run, each, shed.person.id, at(2)).number
                else:
                    number = record(session, run, each, shed.person.id).number
            except (RefusedError, MissingError):
                continue
            happened.append(entry(session, run_for(session, shed.person, run_id), number).event)
        stored = run_for(session, shed.person, run_id).state
        assert stored == fold([stored.started, *happened])
        session.rollback()


def test_of_two_servers_that_tip_the_same_bins_one_waits_for_the_other(postgres_template: PostgresTemplate) -> None:
    with postgres_template.copy() as database:
        with database.writing() as session:
            shed = line(session)
            one, other = begun(session, shed), begun(session, shed)
            session.commit()
        with database.writing() as first, database.writing() as second:
            run = run_for(first, shed.person, one, lock=True)
            second.execute(text("SET LOCAL lock_timeout = '200ms'"))
            with pytest.raises(OperationalError, match="lock timeout"):
                run_for(second, shed.person, other, lock=True)
            second.rollback()
            act_as(first, Actor(shed.person.id, "", SIX))
            record(first, run, say.BinsTipped(at(1), shed.first, 3), shed.person.id)
            first.commit()
            with pytest.raises(RefusedError, match="no bins are left"):
                record(
                    second,
                    run_for(second, shed.person, other, lock=True),
                    say.BinsTipped(at(1), shed.first, 1),
                    shed.person.id,
                )


def test_a_look_asks_as_much_and_reads_as_much_of_forty_trays_as_of_one(sqlite_database: Database) -> None:
    def asked(run_id: int) -> tuple[int, int]:
        """How many statements a look at a run takes, and how many entries it reads."""
        said: list[str] = []
        read: list[RunEvent] = []
        with sqlite_database.reading() as session:
            asking = (session.connection(), "before_cursor_execute", lambda *told: said.append(told[2]))
            reading = (RunEvent, "load", lambda row, _: read.append(row))
            event.listen(*asking)
            event.listen(*reading)
            run_for(session, shed.person, run_id)
            event.remove(*asking)
            event.remove(*reading)
        return len(said), len(read)

    with sqlite_database.writing() as session:
        shed = line(session)
        tapped = say.TraysPacked(at(2), shed.cell())
        tipped = say.BinsTipped(at(1), shed.first, 1)
        few, many = begun(session, shed), begun(session, shed)
        after(session, shed, few, [tipped, tapped])
        after(session, shed, many, [tipped, *[tapped] * 40])
        session.commit()
    assert asked(few) == asked(many)
    assert asked(many)[1] == 1
