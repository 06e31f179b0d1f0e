"""A run that packs a stored consignment, and trays weighed in it."""

from datetime import timedelta

from sqlmodel import Session

from shedgrade.actions import runs as actions
from shedgrade.actions.runs import StartFacts
from shedgrade.domain.people import Role
from shedgrade.domain.run.events import Break, Cell, Event, Finished, Kind, LineCleared, TrayWeighed
from shedgrade.storage import intake, runs
from shedgrade.storage.people import person as person_of
from tests.support import season

TARE_G = 400


def started(session: Session, consignment_id: int, tray_ids: tuple[int, ...], breaks: tuple[Break, ...] = ()) -> int:
    """A run begun an hour after the consignment came in; its id."""
    person = person_of(session, season.shed_person(session, "Line", Role.SUPERVISOR))
    whole = intake.consignment_for(session, person, consignment_id)
    facts = StartFacts(
        Kind.PACKING, ((consignment_id, 0),), whole.consignment.spec_version_id, tray_ids=tray_ids, breaks=breaks
    )
    return actions.start(session, facts, person, season.RECEIVED + timedelta(hours=1)).id or 0


def happens(session: Session, run_id: int, *events: Event) -> None:
    """Record what happens in a run."""
    person = person_of(session, season.shed_person(session, "Line", Role.SUPERVISOR))
    for event in events:
        actions.record(session, runs.run_for(session, person, run_id, lock=True), event, person.id)


def weighed(run_id: int, session: Session, nets_g: list[int], tray_id: int, count: int) -> None:
    """Trays weighed in the stretch that is packed now, of the spec's first class."""
    person = person_of(session, season.shed_person(session, "Line", Role.SUPERVISOR))
    state = runs.run_for(session, person, run_id).state
    cell = Cell(state.stretch.number, state.started.classes[0], tray_id, (count,))
    happens(
        session,
        run_id,
        *(TrayWeighed(state.stretch.began + timedelta(minutes=1), cell, net + TARE_G, TARE_G) for net in nets_g),
    )


def finished(session: Session, run_id: int) -> None:
    """The run is over."""
    late = season.RECEIVED + timedelta(days=1000)
    happens(session, run_id, LineCleared(late), Finished(late))
