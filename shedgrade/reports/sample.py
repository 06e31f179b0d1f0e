"""What a sample shows: its fruit graded one by one, and the tally beside them."""

from collections import Counter, OrderedDict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from sqlmodel import Session

from shedgrade.domain.grading.facts import Fruit, Load
from shedgrade.domain.grading.many.grading import grade_many
from shedgrade.domain.grading.one import borne_out, grade
from shedgrade.domain.grading.verdict import Verdict
from shedgrade.domain.sampling.question import Question
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.trays.counts import TrayType
from shedgrade.storage import loads, markets, specs
from shedgrade.storage.bench import BenchSample, MeasuredFruit
from shedgrade.storage.intake import ConsignmentWhole
from shedgrade.storage.many_fruit import sample_columns
from shedgrade.storage.samples import SampleLine, samples_of


@dataclass(frozen=True, slots=True)
class ConsignmentSamples:
    """The samples of a consignment as its page shows them, and what a new one can be counted for.

    ``trays`` are (id, name), the consignment's market's in their order.
    """

    consignment_id: int
    lines: tuple[SampleLine, ...]
    trays: tuple[tuple[int, str], ...]
    may_grade: bool

    @property
    def questions(self) -> list[tuple[str, str]]:
        """What a new sample can answer: value and word."""
        return [(each.value, each.label) for each in Question]


def consignment_samples(session: Session, whole: ConsignmentWhole, *, may_grade: bool) -> ConsignmentSamples:
    """The samples of a consignment, for its page."""
    trays = markets.market(session, whole.consignment.market_id).trays
    names = tuple((tray_id, tray.name) for tray_id, tray in trays)
    return ConsignmentSamples(whole.id, tuple(samples_of(session, whole.id)), names, may_grade)


@dataclass(frozen=True, slots=True)
class GradedRow:
    """One fruit of a sample with the opinion of the spec. A voided one is judged too: it stays to be seen."""

    measured: MeasuredFruit
    verdict: Verdict


@dataclass(frozen=True, slots=True)
class Tally:
    """The fruit that count, by class id (None makes no class) and by draw, as they stood after ``rows`` entries of
    which ``voided`` no longer counted. Facts never change, so these two say which state it is."""

    rows: int
    voided: int
    by_class: Mapping[str | None, int]
    by_draw: Mapping[int, int]

    @property
    def fruit(self) -> int:
        """Fruit that count."""
        return self.rows - self.voided

    @property
    def draws(self) -> int:
        """Draws with fruit that count."""
        return sum(1 for fruit in self.by_draw.values() if fruit)

    def plus(self, class_id: str | None, draw_id: int) -> "Tally":
        """The tally after one more fruit."""
        classes = {**self.by_class, class_id: self.by_class.get(class_id, 0) + 1}
        draws = {**self.by_draw, draw_id: self.by_draw.get(draw_id, 0) + 1}
        return Tally(self.rows + 1, self.voided, classes, draws)


class Rules(NamedTuple):
    """What the fruit of a sample are judged by: the consignment's spec version, the tray they are counted for, and what
    the fruit of the load share."""

    spec: Spec
    tray: TrayType | None
    load: Load


def judged(rules: Rules, fruit: Fruit, code: str | None) -> Verdict:
    """The verdict on a stored fruit; a size code that the spec does not give it is passed over."""
    return grade(rules.spec, fruit, rules.tray, borne_out(rules.spec, fruit, code, rules.load), rules.load)


def graded_rows(rules: Rules, fruit: Iterable[MeasuredFruit]) -> list[GradedRow]:
    """Measured fruit with their verdicts, in the order given."""
    return [GradedRow(each, judged(rules, each.fruit, each.size_code)) for each in fruit]


def rules_of(session: Session, sample: BenchSample) -> Rules:
    """What the fruit of a sample are judged by.

    Kept while nothing of it has changed: a published version never does, a tray row counts its changes, and so does
    what is shared by a load.
    """
    tray_id = sample.tray_type_id
    of_load = (sample.consignment_id, *sample.load_state)
    key = _key(session, sample.spec_version_id, tray_id or 0, sample.tray_version, *of_load)
    if key not in _rules:
        if len(_rules) >= _KEPT:
            _rules.clear()
        tray = None if tray_id is None else markets.tray_type(session, tray_id)
        load = loads.load_of(session, sample.consignment_id)
        _rules[key] = Rules(specs.spec_of(session, sample.spec_version_id), tray, load)
    return _rules[key]


_KEPT = 64
_rules: dict[tuple[object, ...], Rules] = {}
# The tally of the samples used last, by database and sample. Kept because a sample grows fruit by fruit and counting
# it anew would grade all of it each time; it is used only where it matches the state of the rows.
_tallies: OrderedDict[tuple[object, ...], Tally] = OrderedDict()


def tally_of(session: Session, sample: BenchSample, rules: Rules) -> Tally:
    """The tally of a sample as it stands; call it before anything of the sample is changed."""
    kept = _tallies.get(_key(session, sample.id, *sample.load_state))
    if kept is not None and (kept.rows, kept.voided) == (sample.fruit, sample.voided):
        return kept
    counted = _counted(session, sample, rules)
    keep_tally(session, sample, counted)
    return counted


def keep_tally(session: Session, sample: BenchSample, tally: Tally) -> None:
    """Remember a tally of what is committed; never of what may still be rolled back."""
    key = _key(session, sample.id, *sample.load_state)
    _tallies[key] = tally
    _tallies.move_to_end(key)
    while len(_tallies) > _KEPT:
        _tallies.popitem(last=False)


def _key(session: Session, *ids: int) -> tuple[object, ...]:
    url = session.get_bind().engine.url
    return url.host, url.port, url.database, *ids


def _counted(session: Session, sample: BenchSample, rules: Rules) -> Tally:
    found = sample_columns(session, sample.id, sample.looked_for)
    judged = grade_many(rules.spec, found.columns, load=rules.load)
    return Tally(found.rows, found.rows - len(judged), judged.by_class(), Counter(found.draw_ids))
