"""What a run's board shows: worked out from its sums, at the same cost with any number of trays."""

from dataclasses import dataclass
from datetime import date, datetime, tzinfo
from fractions import Fraction

from sqlmodel import Session

from shedgrade.domain.run.due import Due, SampleRules, samples_due
from shedgrade.domain.run.handover import hand_over
from shedgrade.domain.run.pace import bins_an_hour, done_about
from shedgrade.domain.run.packed import Packed, packed
from shedgrade.domain.run.state import RunState
from shedgrade.domain.settings import QC_BINS, QC_MINUTES
from shedgrade.storage import settings
from shedgrade.storage.runs import RunWhole
from shedgrade.storage.specs import spec_of


@dataclass(frozen=True, slots=True)
class RunBoard:
    """A run now. ``done_at`` and ``due`` are in UTC; ``bins_an_hour`` is counted, ``done_at`` goes on from it."""

    run: RunWhole
    packed: Packed
    bins_an_hour: Fraction | None
    done_at: datetime | None
    due: tuple[Due, ...]

    @property
    def state(self) -> RunState:
        """What the run has come to."""
        return self.run.state


def board_of(session: Session, run: RunWhole, now: datetime, today: date) -> RunBoard:
    """The board of a run; ``today`` is the shed's day, whose rules hold."""
    state = run.state
    due = samples_due(state, sample_rules(session, today), now)
    return RunBoard(run, packed(state), bins_an_hour(state, now), done_about(state, now), due)


def note_of(session: Session, run: RunWhole, now: datetime, today: date, zone: tzinfo) -> tuple[str, ...]:
    """The note to the next shift, sentence by sentence, in the shed's time and the names of the run's spec."""
    spec = spec_of(session, run.row.spec_version_id)
    names = {each.id: each.name for each in spec.outlets} | {each.id: each.name for each in spec.classes}
    return hand_over(run.state, sample_rules(session, today), now, zone, names)


def sample_rules(session: Session, day: date) -> SampleRules:
    """When samples of a running line are due, as the shed has it that day."""
    minutes = settings.in_force(session, QC_MINUTES, day)
    return SampleRules(every_minutes=minutes, every_bins=settings.in_force(session, QC_BINS, day))
