"""When the next sample for quality control is due."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from shedgrade.domain.run.state import RunState
from shedgrade.domain.units import say_minutes


@dataclass(frozen=True, slots=True)
class SampleRules:
    """When a sample is asked for; None leaves a rule out."""

    at_start: bool = True
    after_breaks: bool = True
    every_minutes: int | None = 30
    every_bins: int | None = None
    last_tray: bool = True


@dataclass(frozen=True, slots=True)
class Due:
    """A sample that is or will be asked for: from when on, None where bins and not time decide; and why."""

    why: str
    at: datetime | None
    now: bool


def samples_due(state: RunState, rules: SampleRules, now: datetime) -> tuple[Due, ...]:
    """What is asked for, the most pressing first. A paused or finished run asks for nothing; time that the line stood
    after the last sample counts as time all the same, since fruit lay on it."""
    if state.finished_at is not None or state.paused_since is not None:
        return ()
    asked = (_of_stretch(state, rules), _last(state, rules), *_every(state, rules, now))
    return tuple(sorted((each for each in asked if each), key=lambda due: not due.now))


def _of_stretch(state: RunState, rules: SampleRules) -> Due | None:
    stretch = state.stretch
    if any(each.stretch == stretch.number for each in state.samples):
        return None
    first = stretch.number == 1
    if not (rules.at_start if first else rules.after_breaks):
        return None
    return Due("the run has started" if first else "the breaks were changed", stretch.began, now=True)


def _last(state: RunState, rules: SampleRules) -> Due | None:
    """The last fruit are on the line when every bin is tipped."""
    if not rules.last_tray or not state.bins_tipped or state.bins_left > 0:
        return None
    seen = state.samples[-1].bins if state.samples else 0
    return Due("the last bin is tipped: sample the last tray", None, now=True) if seen < state.bins_tipped else None


def _every(state: RunState, rules: SampleRules, now: datetime) -> list[Due]:
    since, bins = state.started.at, 0
    if state.samples:
        since, bins = state.samples[-1].at, state.samples[-1].bins
    found = []
    if rules.every_minutes is not None:
        at = since + timedelta(minutes=rules.every_minutes)
        found.append(Due(f"one every {say_minutes(rules.every_minutes)}", at, now=at <= now))
    if rules.every_bins is not None:
        reached = state.bins_tipped - bins >= rules.every_bins
        every = "bin" if rules.every_bins == 1 else f"{rules.every_bins} bins"
        found.append(Due(f"one every {every}", None, now=reached))
    return found
