"""Seeded fruit, loads and trays for any spec, with figures at and beside the ends of its bounds."""

from collections.abc import Sequence
from datetime import date, timedelta
from fractions import Fraction
from random import Random

import numpy as np
from numpy.typing import NDArray

from shedgrade.domain.bound import Bound
from shedgrade.domain.crop import DefectKind, TakenOn
from shedgrade.domain.grading.facts import Defect, Fruit, Load, MaturityFigure
from shedgrade.domain.grading.many.from_fruit import columns_of
from shedgrade.domain.grading.many.graded import Placing
from shedgrade.domain.grading.many.grading import grade_many
from shedgrade.domain.grading.many.sizes import MISFITS
from shedgrade.domain.grading.many.tables import NONE
from shedgrade.domain.grading.one import borne_out, grade
from shedgrade.domain.grading.plan import plan_for
from shedgrade.domain.grading.verdict import Verdict
from shedgrade.domain.spec.asked import asked
from shedgrade.domain.spec.measure import WEIGHT, Measure
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.trays.counts import Misfit, TrayType

TRAY = TrayType("7", "7 kg", 7000, (9, 10, 12, 14, 16, 18, 20, 22, 25), heaviest_dg=8200)
_MISFITS = {misfit: number for number, misfit in MISFITS.items()}


class Maker:
    """Fruit and loads for a spec, always the same for the same seed."""

    def __init__(self, spec: Spec, seed: int) -> None:
        self.spec = spec
        self.chance = Random(f"{spec.id} {seed}")
        limits = [way for limit in spec.limits for way in limit.ways]
        bounds = [(way.measure, row.to) for way in limits for row in way.rows]
        bounds += [(when.measure, when.bound) for way in limits for row in way.rows for when in row.when]
        bounds += [(severity.measure, step.to) for severity in spec.severities for step in severity.steps]
        self.near: dict[str, list[int]] = {}
        for measure, bound in bounds:
            for name in measure.of:
                self.near.setdefault(name, []).extend(_near(bound, _stored(spec, measure)))
        in_mass = spec.scale.count_in_g is not None
        sizes = [end for band in spec.scale.bands for end in _near(band.to, 1)] if not in_mass else []
        self.near.setdefault(spec.scale.of, []).extend(sizes)

    def fruit(self, number: int) -> list[Fruit]:
        return [self._one() for _ in range(number)]

    def codes(self, number: int) -> list[str | None]:
        names = [band.name for band in self.spec.scale.bands] or ["none such"]
        return [self.chance.choice([None, self.chance.choice(names)]) for _ in range(number)]

    def load(self) -> Load:
        """Everything said, or each thing with an even chance."""
        words, chance = asked(self.spec), self.chance
        tests = [each for each in self.spec.crop.measures if each.on is not TakenOn.FRUIT]
        return Load(
            variety=self._maybe(self.spec.crop.varieties),
            day=chance.choice([None, date(2026, 1, 1) + timedelta(days=chance.randrange(365))]),
            stage=self._maybe(words.stages),
            destination=self._maybe(words.destinations),
            grown_in=self._maybe(words.grown_in),
            presentation=self._maybe(words.presentations),
            tests=tuple(
                MaturityFigure(each.id, Fraction(self._figure(each.id, 3000), each.per_base), 10)
                for each in tests
                if chance.random() < 0.7
            ),
        )

    def _maybe(self, words: Sequence[str]) -> str | None:
        return self.chance.choice([None, *words, *words, "another"])

    def _figure(self, name: str, most: int) -> int:
        near = self.near.get(name)
        return self.chance.choice(near) if near and self.chance.random() < 0.6 else self.chance.randrange(most)

    def _one(self) -> Fruit:
        crop, chance = self.spec.crop, self.chance
        lightest, heaviest = crop.lightest_dg, crop.heaviest_dg or 20_000
        weight = self._figure(WEIGHT, 1) or chance.randint(lightest, heaviest)
        marks = [self._mark() for _ in range(chance.choice([0, 0, 1, 1, 2, 3, 5]))]
        kinds = [kind.id for kind in crop.kinds]
        taken = [each for each in crop.measures if each.on is TakenOn.FRUIT and chance.random() < 0.8]
        return Fruit(
            weight,
            chance.choice([None, *(stage.number for stage in crop.stages)]),
            tuple(marks),
            frozenset(chance.sample(kinds, chance.randint(0, len(kinds)))) if chance.random() < 0.2 else None,
            tuple((each.id, self._figure(each.id, 10_000 if each.per_base == 10_000 else 1500)) for each in taken),
        )

    def _mark(self) -> Defect:
        chance = self.chance
        kind: DefectKind = chance.choice(self.spec.crop.kinds)
        states = None
        if kind.states and chance.random() < 0.7:
            states = frozenset(chance.sample(kind.states, chance.randint(0, len(kind.states))))
        own, other = chance.random(), chance.random()
        return Defect(
            kind.id,
            self._figure(kind.id, 900) if own < 0.5 or other < 0.1 else None,
            min(self._figure(kind.id, 3000), 10_000) if 0.4 < own < 0.7 else None,
            self._figure(kind.id, 300) if other < 0.4 else None,
            chance.randint(0, 12) if other > 0.6 else None,
            states,
        )


def _stored(spec: Spec, measure: Measure) -> int:
    """How many stored whole numbers make a base unit of what is measured."""
    if measure.kinds:
        return 10_000 if measure.by is not None and measure.by.value == "share" else 1
    names = {each.id: each.per_base for each in spec.crop.measures}
    return names.get(measure.of[0], 1)


def _near(bound: Bound, per_base: int) -> list[int]:
    ends = [int(end * per_base) for end in (bound.low, bound.high) if end is not None]
    return [max(each, 1) for end in ends for each in (end - 1, end, end, end + 1)]


def assert_agree(
    spec: Spec,
    fruit: Sequence[Fruit],
    load: Load,
    tray: TrayType | None = None,
    codes: Sequence[str | None] = (),
) -> None:
    """The arrays say of every fruit what ``grade`` says of it, field by field."""
    columns = columns_of(fruit, codes)
    found = grade_many(spec, columns, tray, load)
    class_ids = [*(each.id for each in spec.classes), None]
    outlets = [*spec.outlets, None]
    names = [*found.codes, None]
    place, judged_as, count, outlet = (
        each.tolist() for each in (found.place, found.judged_as, found.count, found.outlet)
    )
    sizes, severities, by_code = found.size.tolist(), found.severities.T.tolist(), found.by_code.T.tolist()
    broken, unsure = _pairs(found.broken, len(fruit)), _pairs(found.unsure[None], len(fruit))
    has_code = found.has_code.T.tolist()
    assert len(found) == len(fruit)
    verdicts = []
    for number, one in enumerate(fruit):
        code = borne_out(spec, one, codes[number], load) if codes else None
        verdict = grade(spec, one, tray, code, load)
        verdicts.append(verdict)
        assert class_ids[place[number]] == verdict.class_id
        assert found.sizes[sizes[number]].codes == verdict.codes
        assert [name for name, has in zip(found.codes, has_code[number], strict=True) if has] == sorted(
            set(verdict.codes), key=found.codes.index
        )
        assert names[judged_as[number]] == verdict.judged_as
        assert count[number] == _count(verdict)
        assert (outlets[outlet[number]] if outlet[number] != NONE else None) == verdict.outlet
        by = {name: class_ids[of] for name, of in zip(found.codes, by_code[number], strict=True) if of != NONE}
        assert by == dict(verdict.by_code)
        assert [None if step == NONE else step for step in severities[number]] == [
            step for _, step, _ in verdict.severities
        ]
        assert broken[number] == [(class_ids.index(of.class_id), _limit(spec, of.limit_id)) for of in verdict.reasons]
        assert unsure[number] == [(0, _limit(spec, of.limit_id)) for of in verdict.not_judged]
    for number in range(0, len(fruit), max(len(fruit) // 60, 1)):
        assert found.verdict(number) == verdicts[number]
        verdict = verdicts[number]
        assert found.placing(number) == Placing(verdict.class_id, verdict.count, verdict.outlet)
        ways = [way for reason in verdicts[number].reasons for way in reason.ways]
        assert [tuple(each) for each in found.missed(number)] == [
            (way.class_id, way.limit_id, way.value, way.at_least, way.allowed) for way in ways
        ]


def assert_figures_agree(spec: Spec, fruit: Sequence[Fruit], load: Load) -> None:
    """Every figure that the plan needs is the same, taken from columns and from one fruit at a time."""
    plan = plan_for(spec, load)
    found = grade_many(spec, columns_of(fruit), None, load)
    taking = found.taking(0, len(fruit))
    seen = [plan.seen(one) for one in fruit]
    for place, taker in enumerate(plan.takers):
        figures = taking[place]
        for number, each in enumerate(seen):
            many, one = figures.at(number), taker.take(each)
            assert many.extent is one.extent
            assert Fraction(many.num, many.den) == Fraction(one.num, one.den)
            assert (many.most and Fraction(*many.most)) == (one.most and Fraction(*one.most))


def _count(verdict: Verdict) -> int:
    if verdict.count is None:
        return 0
    return verdict.count.count or _MISFITS[verdict.count.misfit or Misfit.TOO_LIGHT]


def _limit(spec: Spec, limit_id: str) -> int:
    return next(number for number, limit in enumerate(spec.limits) if limit.id == limit_id)


def _pairs(found: NDArray[np.bool_], length: int) -> list[list[tuple[int, int]]]:
    """For each fruit the (class, limit) pairs that are set, in order."""
    pairs: list[list[tuple[int, int]]] = [[] for _ in range(length)]
    for row, limit, number in np.argwhere(found).tolist():
        pairs[number].append((row, limit))
    return pairs
