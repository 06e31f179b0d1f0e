"""What must hold of every lot, whatever its fruit."""

from fractions import Fraction
from itertools import chain
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st

from shedgrade.domain.grading.facts import Defect, Fruit
from shedgrade.domain.grading.lot_verdict import LotVerdict, Use
from shedgrade.domain.grading.one import grade
from shedgrade.domain.spec.library import standards
from shedgrade.domain.spec.tolerance import Basis
from tests.support.lots import FAIL, NUMBER, OPEN, PASS, WEIGHT, judged

UNECE = standards()["mango-unece-ffv45"]
GOOD = Fruit(3000)

Lots = list[tuple[Fruit, ...]]

_MARKS = st.sampled_from(
    [(), (Defect("sap-stain", 350),), (Defect("sap-stain", 600),), (Defect("rot"),), (Defect("misshape"),)]
)
_SURE = st.builds(Fruit, st.integers(2500, 3200), st.none(), _MARKS)
_UNSURE = st.builds(Fruit, st.integers(2500, 3200), st.none(), _MARKS, st.just(frozenset({"sap-stain", "misshape"})))
_LOTS = st.lists(st.lists(_SURE, min_size=1, max_size=30).map(tuple), min_size=1, max_size=4)
_OPEN_LOTS = st.lists(st.lists(_SURE | _UNSURE, min_size=1, max_size=15).map(tuple), min_size=1, max_size=3)
_BASIS = st.sampled_from([NUMBER, WEIGHT])


def _shares(verdict: LotVerdict) -> list[Use]:
    parts = (part for tolerance in verdict.tolerances for part in tolerance.part.every())
    return [use for use in chain.from_iterable(part.uses for part in parts) if use.package is None]


@settings(deadline=None)
@given(_LOTS, _BASIS, st.sampled_from(["Extra", "I", "II"]))
def test_a_good_fruit_more_never_makes_a_share_worse(packages: Lots, basis: Basis, class_id: str) -> None:
    before = judged(UNECE, class_id, *packages, basis=basis, code="A")
    after = judged(UNECE, class_id, *packages[:-1], (*packages[-1], GOOD), basis=basis, code="A")
    for use, then in zip(_shares(before), _shares(after), strict=True):
        assert then.share <= use.share
        assert then.answer is PASS or use.answer is FAIL


@settings(deadline=None)
@given(_LOTS, st.randoms(use_true_random=False))
def test_the_order_of_packages_and_of_their_fruit_does_not_matter_by_number(packages: Lots, random: Random) -> None:
    before = judged(UNECE, "I", *packages, code="A")
    shuffled = [tuple(random.sample(fruits, len(fruits))) for fruits in random.sample(packages, len(packages))]
    after = judged(UNECE, "I", *shuffled, code="A")
    assert (before.conforms, before.would_meet, before.by_class) == (after.conforms, after.would_meet, after.by_class)
    assert [(use.least, use.most, use.base) for use in _shares(before)] == [
        (use.least, use.most, use.base) for use in _shares(after)
    ]
    assert len(before.breakers) == len(after.breakers)


@settings(deadline=None)
@given(_OPEN_LOTS, _BASIS, st.data())
def test_looking_at_what_was_not_judged_never_overturns_an_answer(
    packages: Lots, basis: Basis, data: st.DataObject
) -> None:
    """What nobody looked at may be there or not; an answer given before holds either way."""
    before = judged(UNECE, "II", *packages, basis=basis, code="A")
    looked = [tuple(_looked_at(fruit, rot=data.draw(st.booleans())) for fruit in fruits) for fruits in packages]
    after = judged(UNECE, "II", *looked, basis=basis, code="A")
    assert after.conforms is not OPEN
    assert before.conforms in (OPEN, after.conforms)
    for use, then in zip(_shares(before), _shares(after), strict=True):
        assert use.least <= then.least == then.most <= use.most


def _looked_at(fruit: Fruit, *, rot: bool) -> Fruit:
    if fruit.looked_for is None:
        return fruit
    return Fruit(fruit.weight_dg, None, (*fruit.defects, *([Defect("rot")] if rot else [])))


@settings(deadline=None)
@given(_LOTS)
def test_the_shares_are_those_counted_by_grading_each_fruit_alone(packages: Lots) -> None:
    """Against the grader of single fruit: outside Class I, and outside Class II, of all."""
    classes = [grade(UNECE, fruit).class_id for fruits in packages for fruit in fruits]
    outer, inner = _shares(judged(UNECE, "I", *packages, code="A"))[:2]
    assert outer.share == Fraction(sum(each not in ("Extra", "I") for each in classes), len(classes))
    assert inner.share == Fraction(sum(each is None for each in classes), len(classes))


@settings(deadline=None)
@given(_LOTS, _BASIS)
def test_as_many_more_as_it_says_still_do_and_not_one_more(packages: Lots, basis: Basis) -> None:
    for use in _shares(judged(UNECE, "I", *packages, basis=basis, code="A")):
        assert use.room is not None
        allowed = use.allowed.high
        assert allowed is not None
        assert Fraction(use.most + use.room, use.base) <= allowed < Fraction(use.most + use.room + 1, use.base)
