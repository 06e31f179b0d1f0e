"""Avocado, quality tolerances: OECD brochure (UNECE FFV-42), as repeated by a trade page (second-hand).

By number or weight, of the lot. Extra 5 %, in it at most 0.5 % of Class II; Class I 10 %, in it at most 1 % worse than
Class II, below the minimum or decayed; Class II 10 %, in it at most 2 % decayed.

Readings: nothing below Class II is named for Extra, so none is allowed; number or weight is declared once for an
inspection, never the better of the two.
"""

import pytest

from shedgrade.domain.grading.facts import Defect, Fruit
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.spec.library import standards
from shedgrade.domain.spec.tolerance import Basis
from tests.support.lots import FAIL, NUMBER, PASS, WEIGHT, judged, lot

SPEC = standards()["avocado-trade-4kg"]
EXTRA = Fruit(2000)
ONE = Fruit(2000, defects=(Defect("corkiness", 300),))
TWO = Fruit(2000, defects=(Defect("corkiness", 500),))
BELOW = Fruit(2000, defects=(Defect("unhealed-wound"),))
DECAYED = Fruit(2000, defects=(Defect("rot"),))


@pytest.mark.parametrize(
    ("two", "decayed", "answer"),
    [
        (20, 0, PASS),  # 10.0 %
        (21, 0, FAIL),  # 10.5 %
        (18, 2, PASS),  # 10.0 %, 1.0 % of it decayed
        (17, 3, FAIL),  # 10.0 %, but 1.5 % of it decayed
    ],
)
def test_class_i_of_200_fruit(two: int, decayed: int, answer: Answer) -> None:
    fruits = lot((200 - two - decayed, ONE), (two, TWO), (decayed, DECAYED))
    assert judged(SPEC, "I", fruits).conforms is answer


@pytest.mark.parametrize(
    ("one", "two", "decayed", "answer"),
    [
        (18, 2, 0, PASS),  # 5.0 %, 0.5 % of it of Class II
        (17, 3, 0, FAIL),  # 0.75 %
        (0, 0, 1, FAIL),  # none below Class II, our reading
    ],
)
def test_extra_of_400_fruit(one: int, two: int, decayed: int, answer: Answer) -> None:
    fruits = lot((400 - one - two - decayed, EXTRA), (one, ONE), (two, TWO), (decayed, DECAYED))
    assert judged(SPEC, "Extra", fruits).conforms is answer


@pytest.mark.parametrize(("below", "decayed", "answer"), [(12, 3, PASS), (11, 4, FAIL)])
def test_class_ii_of_150_fruit(below: int, decayed: int, answer: Answer) -> None:
    """15 of 150 are 10.0 %; 3 decayed are 2.0 %, 4 are 2.67 %."""
    fruits = lot((150 - below - decayed, TWO), (below, BELOW), (decayed, DECAYED))
    assert judged(SPEC, "II", fruits).conforms is answer


@pytest.mark.parametrize(("basis", "answer"), [(NUMBER, PASS), (WEIGHT, FAIL)])
def test_the_basis_is_declared_once(basis: Basis, answer: Answer) -> None:
    """100 fruit of 22.0 kg, 10 of them of Class II, which weigh 2.42 kg: 10.0 % by number, 11.0 % by weight."""
    heavy = Fruit(2420, defects=(Defect("corkiness", 500),))
    light = Fruit(2175, defects=(Defect("corkiness", 300),))
    verdict = judged(SPEC, "I", lot((89, light), (1, Fruit(2225)), (10, heavy)), basis=basis)
    assert verdict.weight_dg == 220_000
    assert verdict.conforms is answer


@pytest.mark.parametrize(("two", "decayed", "answer"), [(1, 0, PASS), (2, 0, FAIL), (0, 1, FAIL)])
def test_one_tray_of_12_fruit(two: int, decayed: int, answer: Answer) -> None:
    """8.33 %, 16.67 %, 8.33 % decayed: one tray can never hold a decayed fruit within 1 %, so the lot is judged."""
    assert judged(SPEC, "I", lot((12 - two - decayed, ONE), (two, TWO), (decayed, DECAYED))).conforms is answer


def test_the_lot_counts_not_the_single_tray() -> None:
    """10 trays of 12, three fruit of Class II in one of them: 3 of 120 is 2.5 %, 3 of 12 would be 25 %."""
    trays = [lot((9, ONE), (3, TWO)), *[lot((12, ONE))] * 9]
    assert judged(SPEC, "I", *trays).conforms is PASS


@pytest.mark.parametrize(("of_code_22", "answer"), [(2, PASS), (3, FAIL)])
def test_the_neighbouring_size(of_code_22: int, answer: Answer) -> None:
    """A label of code 20, some fruit of 180 g, which is code 22; the 10 % is from memory, confirm against the text."""
    fruits = lot((20 - of_code_22, Fruit(2000)), (of_code_22, Fruit(1800)))
    assert judged(SPEC, "Extra", fruits, code="20").conforms is answer


@pytest.mark.parametrize(
    ("odd_g", "answer"), [(165, PASS), (164, FAIL), (175, PASS), (243, PASS), (244, FAIL), (227, PASS), (90, FAIL)]
)
def test_only_the_next_code_up_or_down_may_be_mixed_in(odd_g: int, answer: Answer) -> None:
    """A label of code 20, 184 to 217 g: one down is 22, from 165 g, one up is 18, to 243 g. That only the next may be
    mixed in is from memory, confirm against the text."""
    assert judged(SPEC, "Extra", lot((19, Fruit(2000)), (1, Fruit(odd_g * 10))), code="20").conforms is answer
