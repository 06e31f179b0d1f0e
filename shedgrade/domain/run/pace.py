"""How fast bins are tipped, and about when the last one will be."""

from datetime import datetime, timedelta
from fractions import Fraction

from shedgrade.domain.run.state import RunState

_HOUR = timedelta(hours=1)


def worked(state: RunState, now: datetime) -> timedelta:
    """How long the line ran by ``now``: from the start to the end or the line cleared, without its pauses."""
    until = state.finished_at or state.cleared_at or now
    standing = max(until - state.paused_since, timedelta()) if state.paused_since else timedelta()
    return max(until - state.started.at - state.paused - standing, timedelta())


def bins_an_hour(state: RunState, now: datetime) -> Fraction | None:
    """Bins tipped over the time the line ran; None as long as nothing can be said."""
    ran = worked(state, now)
    if not state.bins_tipped or not ran:
        return None
    return Fraction(state.bins_tipped) * (_HOUR // timedelta.resolution) / (ran // timedelta.resolution)


def done_about(state: RunState, now: datetime) -> datetime | None:
    """When the last bin will have been tipped, if the line goes on at its pace so far and does not stand; None where
    nothing is left or nothing can be said."""
    pace = bins_an_hour(state, now)
    if pace is None or state.bins_left < 1 or state.cleared_at is not None or state.finished_at is not None:
        return None
    return now + timedelta(hours=float(state.bins_left / pace))
