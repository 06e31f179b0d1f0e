"""How the mix of classes of a run goes over time, and whether it drifts."""

from collections import OrderedDict
from dataclasses import dataclass, field
from datetime import datetime

from sqlmodel import Session

from shedgrade.domain.run.drift import BASE_PERIODS, PERIOD, Chart, Drift, Period, chart_of, drift_of, periods_of
from shedgrade.storage.run_mix import Mix, mix_of
from shedgrade.storage.runs import RunWhole

_MOST_RUNS = 64


@dataclass(slots=True)
class KeptMixes:
    """The class mix of the runs looked at last, as it was read: the next look reads on from there. Lost at a restart,
    it is read anew. Two looks at once both store what is right."""

    by_run: OrderedDict[int, Mix] = field(default_factory=OrderedDict)

    def read(self, session: Session, run_id: int) -> Mix:
        """The mix as it stands now."""
        mix = self.by_run[run_id] = mix_of(session, run_id, self.by_run.get(run_id, Mix()))
        self.by_run.move_to_end(run_id)
        while len(self.by_run) > _MOST_RUNS:
            self.by_run.popitem(last=False)
        return mix


@dataclass(frozen=True, slots=True)
class ClassMix:
    """The share of one class half hour by half hour; ``base`` of them came before any was judged, and made the chart.

    ``chart`` None: there are not yet enough half hours for a base."""

    class_id: str
    periods: tuple[Period, ...]
    base: int
    chart: Chart | None
    drift: Drift | None


def class_mixes(session: Session, kept: KeptMixes, run: RunWhole, now: datetime) -> tuple[ClassMix, ...]:
    """The classes that trays were packed of, in the order of the spec."""
    mix = kept.read(session, run.id)
    found = {class_id for counted in mix.trays.values() for class_id, trays in counted.items() if trays}
    ended = run.state.finished_at
    until = now if ended is None else ended + PERIOD
    return tuple(
        _of_class(class_id, periods_of(mix.trays, class_id.__eq__, until))
        for class_id in run.state.started.classes
        if class_id in found
    )


def _of_class(class_id: str, periods: tuple[Period, ...]) -> ClassMix:
    if len(periods) < BASE_PERIODS:
        return ClassMix(class_id, periods, len(periods), None, None)
    chart = chart_of(periods[:BASE_PERIODS])
    return ClassMix(class_id, periods, BASE_PERIODS, chart, drift_of(chart, periods[BASE_PERIODS:]))
