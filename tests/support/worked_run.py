"""The worked mass balance of the trade notes, 5.3, entered as a shed would: 20 bins, 8 000 kg net; 500 trays of the
best class at 7.15 kg measured, 300 of the next at 7.12 kg, label 7.0 kg; processing 1 750 kg, waste 420 kg."""

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from sqlmodel import Session

from shedgrade.actions.runs import StartFacts, record, start
from shedgrade.domain.people import Person, Role
from shedgrade.domain.run import events as say
from shedgrade.domain.run.events import Cell, Event, Kind, Place, Way
from shedgrade.domain.spec import library
from shedgrade.domain.spec.model import Spec
from shedgrade.storage.runs import RunWhole, run_for
from tests.support import season
from tests.support.runs import SIX, at

TARE_G = 500


class Worked(NamedTuple):
    """Ids of the run and what it packs, and who packs."""

    run: int
    load: int
    tray: int
    block: int
    market: int
    version: int
    person: Person


def spec_with_outlets() -> Spec:
    """The AGMARK grades with an outlet for processing and one for waste, neither packed."""
    spec = library.standards()["mango-agmark"]
    (first, *_) = spec.outlets
    processing = replace(first, id="processing", name="Processing", packed=False)
    waste = replace(first, id="waste", name="Waste", packed=False, takes=("too light",))
    return replace(spec, outlets=(waste, replace(processing, takes=("no class", "too heavy"))))


def begun(
    session: Session, *, bins: int = 20, net_g: int = 400_000, number: str = "1042", beside: Worked | None = None
) -> Worked:
    """The run just started, at six; ``beside`` is another one, of the same block and market."""
    if beside is None:
        tray, version = season.tray_type(session), season.spec_version(session, spec_with_outlets())
        market, block = season.market(session, version, [tray]), season.block(session, season.grower(session))
    else:
        tray, version, market, block = beside.tray, beside.version, beside.market, beside.block
    load = season.consignment(session, block, market, bins_net_g=[net_g] * bins, number=number)
    person = Person(season.shed_person(session, "Ada", Role.SUPERVISOR), "Ada", frozenset({Role.SUPERVISOR}))
    row = start(session, StartFacts(Kind.PACKING, ((load, 0),), version, (tray,)), person, SIX)
    return Worked(row.id or 0, load, tray, block, market, version, person)


def entered(session: Session, worked: Worked, happened: Sequence[Event]) -> RunWhole:
    """Enter these events one after the other."""
    for event in happened:
        record(session, run_for(session, worked.person, worked.run, lock=True), event, worked.person.id)
    return run_for(session, worked.person, worked.run)


def packed_as_worked(worked: Worked) -> list[Event]:
    """What happened, up to the last weighing."""
    best, second = (Cell(1, each, worked.tray, (16,)) for each in ("I", "II"))
    return [
        say.BinsTipped(at(1), worked.load, 20),
        say.TraysPacked(at(10), best, 500),
        say.TrayWeighed(at(11), best, 7_150 + TARE_G, TARE_G),
        say.TraysPacked(at(20), second, 300),
        say.TrayWeighed(at(21), second, 7_120 + TARE_G, TARE_G),
        say.LooseWeighed(at(30), Place(Way.OUTLET, "processing"), 1_750_000),
        say.LooseWeighed(at(31), Place(Way.OUTLET, "waste"), 420_000),
    ]
