"""From events to what they come to: ``step`` takes one event in, or refuses it in a sentence and changes nothing."""

from collections.abc import Iterable
from dataclasses import replace
from functools import singledispatch
from itertools import pairwise
from typing import Any

from shedgrade.domain.run import events as say
from shedgrade.domain.run.events import Event, Kind, Started
from shedgrade.domain.run.refused import RefusedError
from shedgrade.domain.run.shares import Rule
from shedgrade.domain.run.state import RunState, SampleMark, Station, Stretch
from shedgrade.domain.run.sums import added, refuse_place
from shedgrade.domain.run.trial import decided
from shedgrade.domain.units import say_weight

NOT_STARTED = "The run has not started. Start it first."
FINISHED = "The run is finished. Start another run for more fruit."


def fold(happened: Iterable[Event]) -> RunState:
    """What the events come to, in their order; RefusedError if one cannot follow those before it."""
    state = None
    for event in happened:
        state = step(state, event)
    if state is None:
        raise RefusedError(NOT_STARTED)
    return state


def step(state: RunState | None, event: Event) -> RunState:
    """The run after one more event; None is a run that has not started. RefusedError."""
    if isinstance(event, Started):
        return _begun(state, event)
    if state is None:
        raise RefusedError(NOT_STARTED)
    if state.finished_at is not None:
        raise RefusedError(FINISHED)
    if event.at < state.started.at:
        raise RefusedError("That is before the run started. Check the time.")
    return _after(event, state)


def _begun(state: RunState | None, event: Started) -> RunState:
    if state is not None:
        raise RefusedError("The run has started already.")
    if not event.loads:
        raise RefusedError("Choose at least one consignment to pack.")
    if len({load.id for load in event.loads}) != len(event.loads):
        raise RefusedError("A consignment is named twice. Name each once.")
    if event.kind is not Kind.SIZING and not event.trays:
        raise RefusedError("Choose at least one tray type to pack into.")
    if event.rule is Rule.PARTS and any(load.parts < 1 for load in event.loads):
        raise RefusedError("Say of each consignment which part of the run is its own.")
    _refuse_breaks(event.trays, event.breaks)
    return RunState(event, (Stretch(1, event.at, event.breaks),))


def _refuse_breaks(trays: tuple[say.Tray, ...], breaks: tuple[say.Break, ...]) -> None:
    """A higher count is of lighter fruit, in every tray type by itself."""
    names = {tray.id: tray.name for tray in trays}
    for tray_id in {each.tray_id for each in breaks}:
        if tray_id not in names:
            raise RefusedError("These breaks are for a tray type that the run does not pack.")
        mine = sorted((each for each in breaks if each.tray_id == tray_id), key=lambda each: each.count)
        if any(small.count == big.count for big, small in pairwise(mine)):
            raise RefusedError(f"{names[tray_id]}: each count has one break.")
        if any(each.count < 1 or each.from_dg < 1 for each in mine):
            raise RefusedError(f"{names[tray_id]}: counts and breaks are above nought.")
        for big, small in pairwise(mine):
            if small.from_dg >= big.from_dg:
                raise RefusedError(
                    f"{names[tray_id]}: count {small.count} has smaller fruit than count {big.count}, so its break "
                    f"is below {say_weight(big.from_dg)}."
                )


@singledispatch
def _after(event: Any, state: RunState) -> RunState:
    """An amount: added to what there was."""
    return added(event, state)


@_after.register
def _(event: say.TakenBack, state: RunState) -> RunState:
    after = added(event.what, state, sign=-1)
    if isinstance(event.what, say.SampleTaken):
        return replace(after, samples=tuple(each for each in state.samples if each.at != event.what.at))
    return after


@_after.register
def _(event: say.Paused, state: RunState) -> RunState:
    if state.paused_since is not None:
        raise RefusedError("The line is paused already.")
    return replace(state, paused_since=event.at)


@_after.register
def _(event: say.Resumed, state: RunState) -> RunState:
    if state.paused_since is None:
        raise RefusedError("The line is not paused.")
    if event.at < state.paused_since:
        raise RefusedError("That is before the line was paused. Check the time.")
    return replace(state, paused=state.paused + (event.at - state.paused_since), paused_since=None)


@_after.register
def _(event: say.BreaksChanged, state: RunState) -> RunState:
    _refuse_breaks(state.started.trays, event.breaks)
    if frozenset(event.breaks) == frozenset(state.stretch.breaks) and not decided(event.why):
        raise RefusedError("These are the breaks already in force.")
    stretch = Stretch(state.stretch.number + 1, event.at, event.breaks, event.why)
    return replace(state, stretches=(*state.stretches, stretch))


@_after.register
def _(event: say.BinsTipped, state: RunState) -> RunState:
    if state.paused_since is not None:
        raise RefusedError("The line is paused. Press Go on first.")
    return replace(added(event, state), cleared_at=None, left=())


@_after.register
def _(event: say.SampleTaken, state: RunState) -> RunState:
    mark = SampleMark(event.at, state.stretch.number, state.bins_tipped)
    return replace(added(event, state), samples=(*state.samples, mark))


@_after.register
def _(event: say.StationTaken, state: RunState) -> RunState:
    if not event.station.strip():
        raise RefusedError("Say which station.")
    if any((each.person_id, each.station) == (event.person_id, event.station) for each in state.standing):
        raise RefusedError(f"{event.person} stands at {event.station} already.")
    return replace(state, stations=(*state.stations, Station(event.person_id, event.person, event.station, event.at)))


@_after.register
def _(event: say.StationLeft, state: RunState) -> RunState:
    here = [each for each in state.standing if (each.person_id, each.station) == (event.person_id, event.station)]
    if not here:
        raise RefusedError(f"They do not stand at {event.station} now.")
    if event.at < here[0].since:
        raise RefusedError("That is before they came. Check the time.")
    return replace(
        state,
        stations=tuple(replace(each, until=event.at) if each == here[0] else each for each in state.stations),
    )


@_after.register
def _(event: say.LineCleared, state: RunState) -> RunState:
    for left in event.left:
        _refuse_left(left, state)
    return replace(state, cleared_at=event.at, left=event.left)


def _refuse_left(left: say.Left, state: RunState) -> None:
    if left.goes.way not in (say.Way.OUTLET, say.Way.CARRIED_OUT, say.Way.RERUN):
        raise RefusedError("Say where what is left goes: an outlet, the next run, or a re-run.")
    refuse_place(left.goes, state)
    if left.net_g is not None and left.net_g < 1:
        raise RefusedError("A weight is above 0 g.")
    if left.net_g is None and (left.fruit < 1 or left.count < 1 or state.tray(left.tray_id) is None):
        raise RefusedError(f"Weigh the {left.what}, or say how many fruit of which count they are.")


@_after.register
def _(event: say.Finished, state: RunState) -> RunState:
    if state.cleared_at is None:
        raise RefusedError("Clear the line first: say what is left on it and where it goes.")
    stations = tuple(replace(each, until=each.until or event.at) for each in state.stations)
    pause = event.at - state.paused_since if state.paused_since else None
    return replace(
        state,
        finished_at=event.at,
        stations=stations,
        paused=state.paused + pause if pause else state.paused,
        paused_since=None,
    )
