"""What the next shift has to know, in plain sentences that follow from the run itself."""

from collections.abc import Mapping
from datetime import datetime, tzinfo

from shedgrade.domain.run.due import SampleRules, samples_due
from shedgrade.domain.run.events import Kind, Way
from shedgrade.domain.run.pace import bins_an_hour, done_about
from shedgrade.domain.run.state import RunState
from shedgrade.domain.units import digits, say_mass


def hand_over(
    state: RunState, rules: SampleRules, now: datetime, zone: tzinfo, names: Mapping[str, str]
) -> tuple[str, ...]:
    """The note, sentence by sentence; ``names`` say classes and outlets by their ids, times are the shed's."""
    clock = _Clock(zone)
    return (
        _head(state, clock),
        _bins(state, now, clock),
        *_trays(state, names),
        *_loose(state, names),
        *_samples(state, rules, now, clock),
        *_people(state, clock),
        *_line(state, names, clock),
    )


class _Clock:
    """Times of the day as they stand on the shed's own clock."""

    def __init__(self, zone: tzinfo) -> None:
        self._zone = zone

    def __call__(self, at: datetime) -> str:
        return f"{at.astimezone(self._zone):%H:%M}"


def _head(state: RunState, clock: _Clock) -> str:
    loads = " and ".join(load.name for load in state.loads)
    kind = {Kind.PACKING: "Packing", Kind.SIZING: "A sizing pass of", Kind.RERUN: "A re-run of"}[state.started.kind]
    stretch = state.stretch
    since = f"since {clock(state.started.at)}"
    if stretch.number == 1:
        return f"{kind} {loads} {since}."
    why = f" ({stretch.why})" if stretch.why else ""
    return f"{kind} {loads} {since}, with new breaks since {clock(stretch.began)}{why}: stretch {stretch.number}."


def _bins(state: RunState, now: datetime, clock: _Clock) -> str:
    said = f"{_count(state.bins_tipped, 'bin')} tipped, {digits(state.bins_left)} left"
    pace, done = bins_an_hour(state, now), done_about(state, now)
    if pace is not None:
        said += f"; {digits(pace, 1, trim=True)} an hour"
    return f"{said}, done about {clock(done)}." if done else f"{said}."


def _trays(state: RunState, names: Mapping[str, str]) -> list[str]:
    if not state.trays:
        return [] if state.started.kind is Kind.SIZING else ["No tray packed yet."]
    by_count = sorted(state.trays_by_count().items())
    parts = [
        f"{digits(trays)} of {names.get(class_id, class_id)} {'+'.join(map(str, counts))}"
        for (class_id, _, counts), trays in by_count
        if trays
    ]
    return [f"{_count(state.trays, 'tray')} packed: {', '.join(parts)}."]


def _loose(state: RunState, names: Mapping[str, str]) -> list[str]:
    outlets: dict[str, int] = {}
    for place, net_g in state.loose.items():
        if place.way is Way.OUTLET:
            outlets[place.name] = outlets.get(place.name, 0) + net_g
    said = [f"{names.get(name, name)} {say_mass(net_g, 1, trim=True)}" for name, net_g in outlets.items()]
    found = [f"Weighed in: {', '.join(said)}."] if said else []
    if state.shared_bins:
        found.append(f"{_count(len(state.shared_bins), 'outlet bin')} shared with other runs.")
    return found


def _samples(state: RunState, rules: SampleRules, now: datetime, clock: _Clock) -> list[str]:
    due = samples_due(state, rules, now)
    if pressing := [each.why for each in due if each.now]:
        return [f"A sample is due now: {pressing[0]}."]
    times = [each.at for each in due if each.at is not None]
    return [f"Next sample at {clock(min(times))}."] if times else []


def _people(state: RunState, clock: _Clock) -> list[str]:
    standing = [f"{each.person} at {each.station} since {clock(each.since)}" for each in state.standing]
    return [f"{', '.join(standing)}."] if standing else []


def _line(state: RunState, names: Mapping[str, str], clock: _Clock) -> list[str]:
    if state.paused_since is not None:
        return [f"The line stands since {clock(state.paused_since)}."]
    if state.cleared_at is None:
        return ["The line is not cleared."]
    left = [f"{each.what} to {_goes(each.goes.way, each.goes.name, names)}" for each in state.left]
    return [f"The line was cleared at {clock(state.cleared_at)}" + (f": {', '.join(left)}." if left else ".")]


def _goes(way: Way, name: str, names: Mapping[str, str]) -> str:
    return {Way.OUTLET: names.get(name, name), Way.RERUN: "a re-run"}.get(way, "the next run")


def _count(number: int, word: str) -> str:
    return f"{digits(number)} {word}" if number == 1 else f"{digits(number)} {word}s"
