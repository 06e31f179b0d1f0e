"""The same fruit under two specs: who moves, why, and what it is worth. Figures worked by hand."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shedgrade.domain.grading.facts import Defect, Fruit, Load
from shedgrade.domain.grading.many.graded import Placing
from shedgrade.domain.grading.what_if import StoredFruit, what_moves
from shedgrade.domain.spec.library import standards
from shedgrade.domain.spec.model import Spec
from tests.support.made_up import few, fruit, loads, specs
from tests.support.quell import limit, plain, quell


def scars(most: str, second: str = "<= 6 cm2") -> Spec:
    rows = f'[{{ class = "I", to = "{most}" }}, {{ class = "II", to = "{second}" }}]'
    return quell(limit(f'of = "scar"\ntake = "sum"\nby = "area"\nrows = {rows}', "scars"))


OLD, NEW = scars("<= 4 cm2"), scars("<= 3 cm2", "<= 5 cm2")
# In cm²: 1 stays I, 3.5 falls to II, 4.5 stays II, 5.5 falls out, 7 stays out.
FRUIT = [StoredFruit(Fruit(1000 + area, defects=(Defect("scar", area),))) for area in (100, 350, 450, 550, 700)]


def price(fruit: Fruit, placing: Placing) -> Fraction | None:
    """Two cents a gram for the first class, one for the second, nothing known for the rest."""
    cents = {"I": 2, "II": 1}.get(placing.class_id or "")
    return None if cents is None else Fraction(cents * fruit.weight_dg, 10)


def test_fruit_are_counted_by_class_before_and_after() -> None:
    found = what_moves(OLD, NEW, FRUIT)
    assert found.matrix == ((1, 1, 0), (0, 1, 1), (0, 0, 1))
    assert (found.fruit, found.better, found.worse) == (5, 0, 2)
    assert (found.share_before("I"), found.share_after("I")) == (Fraction(2, 5), Fraction(1, 5))
    assert (found.share_before(None), found.share_after(None)) == (Fraction(1, 5), Fraction(2, 5))
    assert found.share(found.worse) == Fraction(2, 5)


def test_who_moved_and_why() -> None:
    found = what_moves(OLD, NEW, FRUIT)
    assert [(each.place, plain(each.why)) for each in found.moved] == [
        (1, "scar 3.5 cm² is over 3 cm²"),
        (3, "scar 5.5 cm² is over 5 cm²"),
    ]


def test_what_is_gained_tells_what_stood_in_the_way() -> None:
    found = what_moves(NEW, OLD, FRUIT)
    assert found.better == len(found.moved) == 2
    assert plain(found.moved[1].why) == "before: scar 5.5 cm² is over 5 cm²"


def test_only_fruit_with_a_price_under_both_are_valued() -> None:
    """1.100 g x 2 + 1.350 x 2 + 1.450 x 1 against 1.100 x 2 + 1.350 x 1 + 1.450 x 1, in tenths of a gram over ten."""
    worth = what_moves(OLD, NEW, FRUIT, value=price).worth
    assert worth is not None
    assert [worth.before, worth.after, worth.gained] == [220 + 270 + 145, 220 + 135 + 145, -135]
    assert (worth.priced, worth.fruit) == (3, 5)


def test_what_could_not_be_judged_is_counted_on_both_sides() -> None:
    only_rot = quell(limit('of = "rot"\ntake = "present"\nto = "nil"'))
    unseen = [StoredFruit(Fruit(1000, looked_for=frozenset({"scar"})))]
    found = what_moves(OLD, only_rot, unseen)
    assert (found.unsure_before, found.unsure_after, found.moved) == (0, 1, ())


def test_no_fruit_is_no_share() -> None:
    found = what_moves(OLD, NEW, [])
    assert [found.fruit, found.share_after("I")] == [0, 0]
    assert found.worth is None


def test_specs_of_two_crops_are_refused() -> None:
    both = standards()
    with pytest.raises(ValueError, match="one spec is for Mango and the other for Avocado"):
        what_moves(both["mango-codex-cxs184"], both["avocado-trade-4kg"], [])


@few
@given(specs(), specs(), st.lists(st.tuples(fruit(), loads()), max_size=4))
def test_the_matrix_holds_every_fruit_once(before: Spec, after: Spec, drawn: list[tuple[Fruit, Load]]) -> None:
    found = what_moves(before, after, [StoredFruit(*each) for each in drawn])
    assert sum(map(sum, found.matrix)) == found.fruit == len(drawn)
    stay = sum(row[place] for place, row in enumerate(found.matrix))
    assert len(found.moved) == found.better + found.worse == found.fruit - stay
    assert all(each.why for each in found.moved)
    assert what_moves(before, before, [StoredFruit(*each) for each in drawn]).moved == ()


def test_specs_with_other_classes_are_told_apart_by_the_classes_both_have() -> None:
    """One class before, two after: from none into the second is better, from the first into the second worse, from
    the first into the first nothing."""
    one = replace(OLD, classes=OLD.classes[:1], limits=tuple(replace(each, rows=each.rows[:1]) for each in OLD.limits))
    found = what_moves(one, NEW, FRUIT)
    assert found.by_class == {("I", "I"): 1, ("I", "II"): 1, (None, "II"): 1, (None, None): 2}
    assert (found.better, found.worse) == (1, 1)
    back = what_moves(NEW, one, FRUIT)
    assert (back.better, back.worse) == (0, 1)
    assert len(back.moved) == 2
