"""The board and the balance of a stored run, by hand, on both databases."""

from collections.abc import Sequence
from datetime import UTC
from fractions import Fraction

from sqlmodel import Session

from shedgrade.actions.runs import StartFacts, record, start
from shedgrade.domain.people import Person, Role
from shedgrade.domain.run import events as say
from shedgrade.domain.run.balance import USUAL_CAUSES
from shedgrade.domain.run.events import Event, Kind, Place
from shedgrade.reports.run_balance import balance_of
from shedgrade.reports.run_board import board_of, note_of
from shedgrade.storage.database import Database
from shedgrade.storage.runs import RunWhole, run_for
from tests.support import season
from tests.support.runs import SIX, at

TODAY = SIX.date()


def packing(session: Session) -> tuple[Person, int, int, int]:
    """Who packs, and the ids of a run of two bins of 400 kg, its consignment, and its tray type of 7 kg."""
    tray, spec = season.tray_type(session), season.spec_version(session)
    market = season.market(session, spec, [tray])
    load = season.consignment(session, season.block(session, season.grower(session)), market)
    person = Person(season.shed_person(session, "Ada", Role.SUPERVISOR), "Ada", frozenset({Role.SUPERVISOR}))
    run = start(session, StartFacts(Kind.PACKING, ((load, 0),), spec, (tray,)), person, SIX)
    return person, run.id or 0, load, tray


def recorded(session: Session, person: Person, run_id: int, happened: Sequence[Event]) -> RunWhole:
    for event in happened:
        record(session, run_for(session, person, run_id, lock=True), event, person.id)
    return run_for(session, person, run_id)


def test_the_board_says_what_a_run_has_come_to(database: Database) -> None:
    with database.writing() as session:
        person, run_id, load, tray = packing(session)
        cell = say.Cell(1, "I", tray, (16,))
        happened: list[Event] = [
            say.BinsTipped(at(1), load, 1),
            say.TraysPacked(at(2), cell, 10),
            say.TrayWeighed(at(3), cell, 7_640, 500),
        ]
        run = recorded(session, person, run_id, happened)
        board = board_of(session, run, at(60), TODAY)
        note = note_of(session, run, at(60), TODAY, UTC)
    assert (board.state.bins_left, board.packed.measured_g, board.packed.giveaway) == (1, 71_400, Fraction(2, 100))
    assert (board.bins_an_hour, board.done_at) == (Fraction(1), at(120))
    assert [each.why for each in board.due if each.now] == [
        "the run has started",
        "one every 60\N{NARROW NO-BREAK SPACE}minutes",
    ]
    assert note[1:4] == (
        "1 bin tipped, 1 left; 1 an hour, done about 08:00.",
        "10 trays packed: 10 of Class I 16.",
        "A sample is due now: the run has started.",
    )


def test_a_balance_that_is_off_names_the_usual_causes(database: Database) -> None:
    with database.writing() as session:
        person, run_id, load, _ = packing(session)
        outlet = run_for(session, person, run_id).state.started.outlets[0]
        happened: list[Event] = [
            say.BinsTipped(at(1), load, 2),
            say.LooseWeighed(at(2), Place(say.Way.OUTLET, outlet), 783_999),
        ]
        off = balance_of(session, person, recorded(session, person, run_id, happened), TODAY)
        one_gram = say.LooseWeighed(at(3), Place(say.Way.OUTLET, outlet), 1)
        even = balance_of(session, person, recorded(session, person, run_id, [one_gram]), TODAY)
    assert (off.whole.unaccounted_g, off.causes) == (16_001, USUAL_CAUSES)
    assert (even.whole.unaccounted, even.most, even.causes) == (Fraction(2, 100), Fraction(2, 100), ())
    assert even.parts[load] == even.whole
