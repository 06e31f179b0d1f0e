"""The demo season's runs of the packing line, event by event as a shed would enter them."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from random import Random
from typing import Any

from sqlmodel import Session

from shedgrade.actions import runs as actions
from shedgrade.actions.runs import StartFacts
from shedgrade.actions.shared_bins import open_shared_bin
from shedgrade.domain import entry
from shedgrade.domain.people import Person
from shedgrade.domain.run import events as say
from shedgrade.domain.run.events import Break, Cell, Event, Kind, Left, Place, Way, What
from shedgrade.domain.run.shares import Rule
from shedgrade.domain.trays.breaks import Packing, at_net_over_count
from shedgrade.domain.trays.fill_rule import never_short
from shedgrade.storage import intake, markets
from shedgrade.storage.runs import RunWhole, run_for

_TARE_G = 430
_TIPPING, _TABLE, _PACKING = "tipping", "sorting table", "packing"


@dataclass(slots=True)
class _Desk:
    """Enters one event after the other, as one person."""

    session: Session
    run: RunWhole
    person: Person

    def enter(self, event: Event) -> None:
        """One more event."""
        recorded = actions.record(self.session, self.run, event, self.person.id)
        self.run = recorded.run


def run_the_line(
    session: Session,
    told: Mapping[str, Any],
    consignment_id: int,
    begins: datetime,
    people: Mapping[str, Person],
    seed: str,
) -> int:
    """One run as the story tells it; gives its id."""
    supervisor = people["Line supervisor"]
    whole = intake.consignment_for(session, supervisor, consignment_id)
    (tray_id, tray), *_ = markets.market(session, whole.consignment.market_id).trays
    breaks = at_net_over_count(Packing.of(tray, never_short()))
    first = tuple(Break(tray_id, count, edge) for count, edge in zip(breaks.counts, breaks.edges_dg, strict=True))
    facts = StartFacts(Kind.PACKING, ((consignment_id, 0),), whole.consignment.spec_version_id, (tray_id,), first)
    row = actions.start(session, facts, supervisor, begins)
    desk = _Desk(session, run_for(session, supervisor, row.id or 0), supervisor)
    _stations(desk, people, begins)
    _pack(desk, told, consignment_id, tray_id, begins, Random(seed))
    return row.id or 0


def _stations(desk: _Desk, people: Mapping[str, Person], at: datetime) -> None:
    for name, station in (("Line supervisor", _TIPPING), ("Day grader", _TABLE), ("Night grader", _PACKING)):
        desk.enter(say.StationTaken(at, people[name].id, name, station))


def _pack(desk: _Desk, told: Mapping[str, Any], load_id: int, tray_id: int, begins: datetime, random: Random) -> None:
    """Bin by bin: tipped, packed into trays by count, some of them weighed; the rest weighed in at the outlets."""
    at = begins
    minutes = timedelta(minutes=told["minutes_a_bin"])
    for number in range(1, told["tipped"] + 1):
        at += minutes
        desk.enter(say.BinsTipped(at, load_id, 1))
        _trays(desk, told, tray_id, at, random)
        if number % told["sample_every"] == 1:
            desk.enter(say.SampleTaken(at + minutes / 4, 20, 20 * 430 + random.randrange(-400, 400)))
        if number == told.get("pause_after"):
            desk.enter(say.Paused(at + minutes / 3, told["pause_why"]))
            desk.enter(say.Resumed(at + minutes / 2))
        if number == told.get("breaks_after"):
            lower = tuple(replace(each, from_dg=each.from_dg - 40) for each in desk.run.state.stretch.breaks)
            desk.enter(say.BreaksChanged(at + minutes / 2, lower, told["breaks_why"]))
    if outlet := told.get("shared"):
        row = open_shared_bin(desk.session, outlet, told["shared_label"], Rule.NET, desk.person.id, at)
        desk.enter(say.SharedBinUsed(at, row.id or 0))
    for outlet, kg in told["outlets"].items():
        desk.enter(say.LooseWeighed(at + minutes, Place(Way.OUTLET, outlet), entry.mass(kg)))
    if told.get("finished"):
        desk.enter(say.LineCleared(at + 2 * minutes, (Left(What.LOOSE, Place(Way.OUTLET, "juice"), net_g=11_400),)))
        desk.enter(say.Finished(at + 2 * minutes))


def _trays(desk: _Desk, told: Mapping[str, Any], tray_id: int, at: datetime, random: Random) -> None:
    """The trays of one bin, and every so often one of a count on the check scale."""
    stretch = desk.run.state.stretch.number
    for count, share in told["trays_a_bin"].items():
        cell = Cell(stretch, "I", tray_id, (int(count),))
        trays = max(share + random.choice((-2, -1, 0, 0, 1, 2)), 1)
        desk.enter(say.TraysPacked(at + timedelta(minutes=1), cell, trays))
        if random.random() < told["weighed"]:
            over_g = round(random.gauss(told["over_g"], 90))
            gross_g = desk.run.state.started.trays[0].label_g + over_g + _TARE_G
            desk.enter(say.TrayWeighed(at + timedelta(minutes=2), cell, gross_g, _TARE_G))
