"""Amounts put in and taken back: one way for both, so that what is taken back is exactly what was put in."""

from collections.abc import Mapping
from dataclasses import replace
from functools import singledispatch
from typing import Any, TypeVar

from shedgrade.domain.run import events as say
from shedgrade.domain.run.refused import RefusedError
from shedgrade.domain.run.state import Handful, RunState, Tipped
from shedgrade.domain.run.tally import Tally, Weights

K = TypeVar("K")
LESS_THAN_NOTHING = "More would be taken back than was entered."
_STRETCH = "These breaks have not been in force in this run."


@singledispatch
def added(event: Any, state: RunState, sign: int = 1) -> RunState:
    """The run with the amount put in, or with ``sign`` -1 taken back. RefusedError if that cannot be."""
    raise TypeError(f"{event!r} is no amount: {sign} of it says nothing about {state!r}")


@added.register
def _(event: say.BinsTipped, state: RunState, sign: int = 1) -> RunState:
    load = state.load(event.load_id)
    if load is None:
        raise RefusedError("This consignment is not in the run.")
    if event.bins < 1 or (event.net_g is not None and event.net_g < 1):
        raise RefusedError("Tip at least one bin, with a weight above 0 g if it was weighed.")
    before = state.tipped.get(event.load_id, Tipped())
    weighed = event.net_g is not None
    after = Tipped(
        before.bins + sign * event.bins,
        before.weighed_bins + sign * event.bins * weighed,
        before.weighed_g + sign * (event.net_g or 0),
    )
    _refuse_negative(after.bins, after.weighed_bins, after.weighed_g, after.bins - after.weighed_bins)
    if sign > 0 and event.bins > (there := state.bins_left_of(load)):
        raise RefusedError(f"Of {load.name} {_bins(there)} left to tip.")
    return replace(state, tipped=_put(state.tipped, event.load_id, after, Tipped()))


@added.register
def _(event: say.TraysPacked, state: RunState, sign: int = 1) -> RunState:
    if event.trays < 1:
        raise RefusedError("Enter at least one tray.")
    label_g(event.cell, state)
    return counted(event.cell, Tally(event.trays), state, sign)


@added.register
def _(event: say.TrayWeighed, state: RunState, sign: int = 1) -> RunState:
    if event.tare_g < 0 or event.net_g < 1:
        raise RefusedError("The tray weighs more with its fruit than without: check both weights.")
    weights = Weights.of(event.net_g, label_g(event.cell, state))
    return counted(event.cell, Tally(0, weights), state, sign)


def label_g(cell: say.Cell, state: RunState) -> int:
    """What the label of such a tray says; RefusedError for a tray that this run cannot pack."""
    tray = state.tray(cell.tray_id)
    if state.started.kind is say.Kind.SIZING:
        raise RefusedError("A sizing pass fills bins, not trays.")
    if tray is None:
        raise RefusedError("The run does not pack this tray type.")
    if not 1 <= cell.stretch <= len(state.stretches):
        raise RefusedError(_STRETCH)
    if not cell.counts or list(cell.counts) != sorted(set(cell.counts)):
        raise RefusedError("Say the count of the tray, or its counts, each once and smallest first.")
    if not set(cell.counts) <= set(tray.counts):
        raise RefusedError(f"{tray.name} is packed in counts {', '.join(map(str, tray.counts))}.")
    if cell.class_id not in state.started.classes:
        raise RefusedError("Say the class of the tray: one of the spec that the run packs under.")
    return tray.label_g


def counted(cell: say.Cell, tally: Tally, state: RunState, sign: int = 1) -> RunState:
    """The run with these trays and check-weights more."""
    after = state.cells.get(cell, Tally()).plus(tally, sign)
    if after.trays < 0:
        raise RefusedError("More trays would be taken back than were packed.")
    _refuse_negative(after.weights.n, after.weights.total_g, after.weights.short)
    return replace(state, cells=_put(state.cells, cell, after, Tally()))


@added.register
def _(event: say.LooseWeighed, state: RunState, sign: int = 1) -> RunState:
    if event.net_g < 1:
        raise RefusedError("A weight is above 0 g.")
    if event.place.way is say.Way.SIZED and state.started.kind is not say.Kind.SIZING:
        raise RefusedError("Only a sizing pass fills bins by weight group.")
    refuse_place(event.place, state)
    after = state.loose.get(event.place, 0) + sign * event.net_g
    _refuse_negative(after)
    return replace(state, loose=_put(state.loose, event.place, after, 0))


def refuse_place(place: say.Place, state: RunState) -> None:
    """RefusedError for an outlet that the spec has not, or a weight group without a name."""
    if place.way is say.Way.OUTLET and place.name not in state.started.outlets:
        raise RefusedError("Say where the fruit went: one of the outlets of the spec that the run packs under.")
    if place.way is say.Way.SIZED and not place.name:
        raise RefusedError("Say which weight group is in the bin.")


@added.register
def _(event: say.SharedBinUsed, state: RunState, sign: int = 1) -> RunState:
    after = state.shared_bins.get(event.bin_id, 0) + sign
    _refuse_negative(after)
    return replace(state, shared_bins=_put(state.shared_bins, event.bin_id, after, 0))


@added.register
def _(event: say.SampleTaken, state: RunState, sign: int = 1) -> RunState:
    return _sampled(replace(state, taken=_handful(state.taken, event, sign)))


@added.register
def _(event: say.SampleReturned, state: RunState, sign: int = 1) -> RunState:
    return _sampled(replace(state, returned=_handful(state.returned, event, sign)))


def _handful(before: Handful, event: say.SampleTaken | say.SampleReturned, sign: int) -> Handful:
    if event.fruit < 1 or event.net_g < 1:
        raise RefusedError("Say how many fruit, and what they weigh together.")
    after = Handful(before.fruit + sign * event.fruit, before.net_g + sign * event.net_g)
    _refuse_negative(after.fruit, after.net_g)
    return after


def _sampled(state: RunState) -> RunState:
    if state.not_returned.fruit < 0 or state.not_returned.net_g < 0:
        raise RefusedError("More fruit would go back onto the line than was taken from it for samples.")
    return state


def _bins(there: int) -> str:
    return "1 bin is" if there == 1 else f"{there if there > 0 else 'no'} bins are"


def _refuse_negative(*amounts: int) -> None:
    if min(amounts) < 0:
        raise RefusedError(LESS_THAN_NOTHING)


def _put(amounts: Mapping[K, Any], key: K, after: Any, nothing: Any) -> dict[K, Any]:
    """The amounts with one changed; one that came to nothing is left out, as if it had never been."""
    changed = {**amounts, key: after}
    if after == nothing:
        del changed[key]
    return changed
