"""What happened in a run, entry by entry, in words."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import singledispatch
from typing import Any

from shedgrade.domain.people import Doer
from shedgrade.domain.run import events as say
from shedgrade.domain.run.events import Amount, Place, Way
from shedgrade.domain.run.state import RunState
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.units import digits, say_mass
from shedgrade.storage.run_entries import Entry
from shedgrade.web.run_cells import cell_words


@dataclass(frozen=True, slots=True)
class EntryLine:
    """One entry as it is read; ``left`` is how much of it can still be taken back, in trays or as a whole (1)."""

    number: int
    words: str
    at: datetime
    by: Doer
    taken_back: str
    left: int
    is_trays: bool


def entry_line(entry: Entry, state: RunState, spec: Spec) -> EntryLine:
    """An entry in words."""
    event = entry.event
    of = event.trays if isinstance(event, say.TraysPacked) else int(isinstance(event, Amount))
    left = of - entry.taken_back
    taken = ""
    if entry.taken_back:
        taken = "taken back" if left < 1 else f"{entry.taken_back} taken back"
    return EntryLine(
        entry.number,
        event_words(event, state, spec),
        event.at,
        entry.by,
        taken,
        left,
        isinstance(event, say.TraysPacked),
    )


def event_words(event: say.Event, state: RunState, spec: Spec) -> str:
    """What happened."""
    return str(_said(event, state, spec))


def place_words(place: Place, spec: Spec) -> str:
    """Where loose fruit came from or went to."""
    outlets = {each.id: each.name for each in spec.outlets}
    return _PLACES.get(place.way) or f"to {outlets.get(place.name, place.name).lower()}"


_PLACES: Mapping[Way, str] = {
    Way.CARRIED_IN: "carried in from the run before",
    Way.CARRIED_OUT: "carried out to the next run",
    Way.RERUN: "to be run again",
}


def _counted(number: int, word: str) -> str:
    return f"{digits(number)} {word}" if number == 1 else f"{digits(number)} {word}s"


@singledispatch
def _said(event: Any, state: RunState, spec: Spec) -> str:
    raise TypeError(f"nothing is said of {event!r} in {state.started.run_id} under {spec.id}")


@_said.register
def _(event: say.TraysPacked, state: RunState, spec: Spec) -> str:
    return f"{_counted(event.trays, 'tray')}: {cell_words(event.cell, state, spec)}"


@_said.register
def _(event: say.TrayWeighed, state: RunState, spec: Spec) -> str:
    return f"a tray weighed, {say_mass(event.net_g, 3, trim=True)} net: {cell_words(event.cell, state, spec)}"


@_said.register
def _(event: say.BinsTipped, state: RunState, spec: Spec) -> str:
    load = state.load(event.load_id)
    weighed = "" if event.net_g is None else f", weighed again at {say_mass(event.net_g)}"
    return f"{_counted(event.bins, 'bin')} of {load.name if load else spec.title} tipped{weighed}"


@_said.register
def _(event: say.LooseWeighed, state: RunState, spec: Spec) -> str:
    del state
    return f"{say_mass(event.net_g, 1, trim=True)} {place_words(event.place, spec)}"


@_said.register
def _(event: say.SharedBinUsed, state: RunState, spec: Spec) -> str:
    del event, state, spec
    return "fruit into a bin that other runs fill too"


@_said.register
def _(event: say.SampleTaken, state: RunState, spec: Spec) -> str:
    del state, spec
    return f"{digits(event.fruit)} fruit taken to be looked at, {say_mass(event.net_g, 2, trim=True)}"


@_said.register
def _(event: say.SampleReturned, state: RunState, spec: Spec) -> str:
    del state, spec
    return f"{digits(event.fruit)} fruit of samples put back, {say_mass(event.net_g, 2, trim=True)}"


@_said.register
def _(event: say.Paused, state: RunState, spec: Spec) -> str:
    del state, spec
    return f"the line stood still: {event.why}" if event.why else "the line stood still"


@_said.register
def _(event: say.Resumed, state: RunState, spec: Spec) -> str:
    del event, state, spec
    return "the line went on"


@_said.register
def _(event: say.BreaksChanged, state: RunState, spec: Spec) -> str:
    del state, spec
    return f"new breaks: {event.why}" if event.why else "new breaks"


@_said.register
def _(event: say.StationTaken, state: RunState, spec: Spec) -> str:
    del state, spec
    return f"{event.person} at {event.station}"


@_said.register
def _(event: say.StationLeft, state: RunState, spec: Spec) -> str:
    del spec
    names = {each.person_id: each.person for each in state.stations}
    return f"{names.get(event.person_id, 'somebody')} left {event.station}"


@_said.register
def _(event: say.LineCleared, state: RunState, spec: Spec) -> str:
    del state
    left = ", ".join(f"{each.what} {place_words(each.goes, spec)}" for each in event.left)
    return f"the line cleared: {left}" if left else "the line cleared, nothing was left on it"


@_said.register
def _(event: say.Finished, state: RunState, spec: Spec) -> str:
    del event, state, spec
    return "the run finished"


@_said.register
def _(event: say.TakenBack, state: RunState, spec: Spec) -> str:
    return f"taken back: {event_words(event.what, state, spec)}"
