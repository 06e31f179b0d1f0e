"""What must hold for any fruit under any spec, however made up."""

from dataclasses import replace
from fractions import Fraction
from random import Random

from hypothesis import given
from hypothesis import strategies as st

from shedgrade.domain.bound import Bound
from shedgrade.domain.grading.facts import Defect, Fruit, Load
from shedgrade.domain.grading.holding import Answer, hold
from shedgrade.domain.grading.one import grade
from shedgrade.domain.spec.limit import Limit, Way
from shedgrade.domain.spec.measure import Take
from shedgrade.domain.spec.model import Spec
from tests.support.made_up import few, fruit, loads, marks, specs


def most_allowed(spec: Spec) -> Spec:
    """The spec with upper ends alone, no switches and no limits on steps: the more there is, the worse."""
    return replace(spec, limits=tuple(_most(limit) for limit in spec.limits if _adds_up(limit)))


def _adds_up(limit: Limit) -> bool:
    return all(way.measure.take is not Take.SEVERITY for way in limit.ways)


def _most(limit: Limit) -> Limit:
    ways = [Way(way.measure, tuple(replace(row, to=_upper(row.to), when=()) for row in way.rows)) for way in limit.ways]
    return replace(limit, rows=ways[0].rows, or_else=tuple(ways[1:]))


def _upper(bound: Bound) -> Bound:
    return replace(bound, low=None, low_closed=True)


def rank(spec: Spec, class_id: str | None) -> int:
    ids = [each.id for each in spec.classes]
    return len(ids) if class_id is None else ids.index(class_id)


@few
@given(specs().map(most_allowed), fruit(), loads(), marks())
def test_one_mark_more_never_gives_a_better_class(spec: Spec, fruit: Fruit, load: Load, mark: Defect) -> None:
    more = replace(fruit, defects=(*fruit.defects, mark))
    before, after = (grade(spec, each, load=load).class_id for each in (fruit, more))
    assert rank(spec, after) >= rank(spec, before)


@few
@given(specs(), fruit(), loads(), st.randoms(use_true_random=False))
def test_the_order_of_the_marks_does_not_matter(spec: Spec, fruit: Fruit, load: Load, chance: Random) -> None:
    shuffled = list(fruit.defects)
    chance.shuffle(shuffled)
    assert grade(spec, replace(fruit, defects=tuple(shuffled)), load=load) == grade(spec, fruit, load=load)


@few
@given(specs(), fruit(), loads())
def test_the_class_given_is_the_best_of_its_codes(spec: Spec, fruit: Fruit, load: Load) -> None:
    verdict = grade(spec, fruit, load=load)
    if verdict.by_code:
        assert rank(spec, verdict.class_id) == min(rank(spec, class_id) for _, class_id in verdict.by_code)
        assert dict(verdict.by_code)[verdict.judged_as or ""] == verdict.class_id
    for code, class_id in verdict.by_code:
        assert grade(spec, fruit, code=code, load=load).class_id == class_id


@few
@given(specs(), fruit(), loads(), st.frozensets(st.sampled_from(["variety", "day", "stage", "tests"])))
def test_saying_more_of_a_load_never_overturns_an_answer(
    spec: Spec, fruit: Fruit, load: Load, unsaid: frozenset[str]
) -> None:
    less = replace(
        load,
        variety=None if "variety" in unsaid else load.variety,
        day=None if "day" in unsaid else load.day,
        stage=None if "stage" in unsaid else load.stage,
        tests=() if "tests" in unsaid else load.tests,
    )
    for limit in spec.limits:
        answer = hold(spec, limit, fruit, "I", "small", less).answer
        if answer is not Answer.NOT_JUDGED:
            assert hold(spec, limit, fruit, "I", "small", load).answer is answer


@few
@given(specs(), fruit(), loads())
def test_a_reason_never_shows_a_figure_that_is_allowed(spec: Spec, fruit: Fruit, load: Load) -> None:
    for reason in grade(spec, fruit, load=load).reasons:
        for way in reason.ways:
            assert not way.allowed.allows(way.value) or (way.at_least and way.allowed.high == way.value)
            assert isinstance(way.value, Fraction)
