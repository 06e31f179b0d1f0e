"""What must hold for any fruit under any spec that comes with the program."""

from dataclasses import replace
from fractions import Fraction
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedgrade.domain.crop import Measured
from shedgrade.domain.grading.facts import Load, MaturityFigure
from shedgrade.domain.grading.one import Defect, Fruit, Verdict, grade
from shedgrade.domain.grading.plan import plan_for
from shedgrade.domain.spec.library import crops, standards
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.text import read_spec
from tests.support.specs import MARKET

SPECS = [*standards().values(), read_spec(MARKET, crops())]
specs = st.sampled_from(SPECS)


FIGURES = {
    Measured.AREA: st.builds(lambda figure: {"area_mm2": figure}, st.integers(0, 1500)),
    Measured.SHARE: st.builds(lambda figure: {"share_bp": figure}, st.integers(0, 10_000)),
    Measured.LENGTH: st.builds(lambda figure: {"length_dmm": figure}, st.none() | st.integers(0, 500)),
    Measured.PLACES: st.builds(lambda figure: {"places": figure}, st.none() | st.integers(1, 20)),
    Measured.PRESENT: st.just({}),
}


@st.composite
def defects(draw: st.DrawFn, spec: Spec) -> Defect:
    kind = draw(st.sampled_from(spec.crop.kinds))
    states = st.none() | st.frozensets(st.sampled_from(kind.states)) if kind.states else st.none()
    return Defect(kind.id, states=draw(states), **draw(FIGURES[kind.measure]))


def defects_of(spec: Spec) -> st.SearchStrategy[Defect]:
    return defects(spec)


@st.composite
def graded(draw: st.DrawFn) -> tuple[Spec, Fruit]:
    spec = draw(specs)
    fruit = Fruit(
        draw(st.integers(500, 12_000)),
        draw(st.none() | st.integers(1, 6)),
        tuple(draw(st.lists(defects_of(spec), max_size=5))),
        draw(st.none() | st.frozensets(st.sampled_from([kind.id for kind in spec.crop.kinds]))),
    )
    return spec, fruit


def rank(spec: Spec, verdict: Verdict) -> int:
    """The place of the class, best first; what makes no class comes last."""
    ids = [each.id for each in spec.classes]
    return ids.index(verdict.class_id) if verdict.class_id is not None else len(ids)


@given(graded(), st.data())
def test_one_blemish_more_never_gives_a_better_class(case: tuple[Spec, Fruit], data: st.DataObject) -> None:
    spec, fruit = case
    more = replace(fruit, defects=(*fruit.defects, data.draw(defects_of(spec))))
    assert rank(spec, grade(spec, more)) >= rank(spec, grade(spec, fruit))


@given(graded(), st.integers(1, 1000), st.integers(0, 4))
def test_a_larger_blemish_never_gives_a_better_class(case: tuple[Spec, Fruit], grown: int, place: int) -> None:
    spec, fruit = case
    if place >= len(fruit.defects):
        return
    defect = fruit.defects[place]
    larger = replace(
        defect,
        area_mm2=None if defect.area_mm2 is None else defect.area_mm2 + grown,
        share_bp=None if defect.share_bp is None else min(10_000, defect.share_bp + grown),
    )
    defects = (*fruit.defects[:place], larger, *fruit.defects[place + 1 :])
    assert rank(spec, grade(spec, replace(fruit, defects=defects))) >= rank(spec, grade(spec, fruit))


@given(graded(), st.randoms(use_true_random=False))
def test_the_order_of_the_defects_does_not_matter(case: tuple[Spec, Fruit], chance: Random) -> None:
    spec, fruit = case
    shuffled = list(fruit.defects)
    chance.shuffle(shuffled)
    assert grade(spec, replace(fruit, defects=tuple(shuffled))) == grade(spec, fruit)


@given(graded())
def test_looking_for_less_never_hides_a_class_and_what_was_not_looked_for_is_listed(case: tuple[Spec, Fruit]) -> None:
    spec, fruit = case
    verdict = grade(spec, fruit)
    everything = grade(spec, replace(fruit, looked_for=None))
    assert verdict.class_id == everything.class_id
    assert {limit.limit_id for limit in everything.not_judged} <= {limit.limit_id for limit in verdict.not_judged}


@given(graded())
def test_every_class_missed_has_a_reason_and_no_class_has_an_outlet(case: tuple[Spec, Fruit]) -> None:
    spec, fruit = case
    verdict = grade(spec, fruit)
    missed = [each.id for each in spec.classes[: rank(spec, verdict)]]
    assert list(dict.fromkeys(reason.class_id for reason in verdict.reasons)) == missed
    assert all(not reason.allowed.allows(reason.value) or reason.at_least for reason in verdict.reasons)
    assert all(reason.says(spec).startswith("Not ") for reason in verdict.reasons)
    assert (verdict.class_id is None) == (verdict.outlet is not None)


@given(specs, st.integers(1, 30_000))
def test_the_plan_finds_the_same_sizes_as_the_scale(spec: Spec, weight_dg: int) -> None:
    assert plan_for(spec).codes(weight_dg) == spec.scale.codes(weight_dg)


# What else the specs of a crop ask to be taken, all of it good: stored whole numbers of the fruit, means of the load.
GOOD: dict[str, tuple[dict[str, int], dict[str, Fraction | int], str]] = {
    "apple": ({"diameter": 750, "good-colour": 9000, "lighter-colour": 0}, {"brix": 1300}, "Jonathan"),
    "avocado": ({"length": 1200, "width": 900}, {"dry-matter": Fraction(1, 4)}, "Hass"),
    "clementine": (
        {"diameter": 550, "colour-share": 10_000},
        {"juice": Fraction(1, 2), "sugar-acid": 10},
        "Clementine",
    ),
    "kiwifruit": (
        {"min-diameter": 500, "max-diameter": 550},
        {"brix": 700, "dry-matter": Fraction(4, 25), "firmness": 3},
        "Hayward",
    ),
    "mandarin": ({"diameter": 550, "colour-share": 10_000}, {"juice": Fraction(1, 2), "sugar-acid": 10}, "Satsuma"),
    "mango": ({}, {"dry-matter": Fraction(4, 25), "brix": 1500, "firmness": Fraction(5, 2)}, "Kensington Pride"),
    "orange": ({"diameter": 750, "green-share": 0}, {"juice": Fraction(1, 2)}, "Valencia"),
}


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.id)
def test_a_clean_well_coloured_full_size_fruit_makes_the_best_class(spec: Spec) -> None:
    measures, means, variety = GOOD[spec.crop.id]
    tests = tuple(MaturityFigure(each, Fraction(mean), 10) for each, mean in means.items())
    verdict = grade(
        spec, Fruit(4000, 4, measures=tuple(measures.items())), load=Load(variety, stage="packing", tests=tests)
    )
    assert verdict.class_id == spec.classes[0].id
    assert verdict.not_judged == ()
    assert verdict.packed
