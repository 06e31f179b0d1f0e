"""Every mistake is answered with its line, its key, what was found and what would be accepted; all of them at once."""

import pytest

from shedgrade.domain.spec.text import Mistake, SpecMistakes, read_crop, read_spec
from tests.support import spec_mistakes as table
from tests.support.whole_spec import QUELL, QUELL_CROP, QUELL_SPEC

IN_SPECS = [
    *(*table.HEAD, *table.SCALE, *table.SEVERITY, *table.MEASURE, *table.ROWS, *table.SETS, *table.TOLERANCES),
    *(*table.OUTLETS, *table.BOUNDS),
]


def mistakes_in(text: str) -> tuple[Mistake, ...]:
    with pytest.raises(SpecMistakes) as caught:
        read_spec(text, {QUELL.id: QUELL})
    return caught.value.mistakes


def check(text: str, mistakes: tuple[Mistake, ...], case: table.Case) -> None:
    _, _, on, key, found, accepted = case
    (one,) = [each for each in mistakes if each.key == key]
    assert on in text.splitlines()[one.line - 1]
    assert found in one.found
    assert accepted in one.accepted


@pytest.mark.parametrize("case", IN_SPECS, ids=lambda case: case[3])
def test_a_mistake_in_a_spec(case: table.Case) -> None:
    right, wrong = case[:2]
    assert right in QUELL_SPEC
    text = QUELL_SPEC.replace(right, wrong, 1)
    check(text, mistakes_in(text), case)


@pytest.mark.parametrize("case", table.CROP, ids=lambda case: case[3])
def test_a_mistake_in_a_crop(case: table.Case) -> None:
    right, wrong = case[:2]
    assert right in QUELL_CROP
    text = QUELL_CROP.replace(right, wrong, 1)
    with pytest.raises(SpecMistakes) as caught:
        read_crop(text)
    check(text, caught.value.mistakes, case)


def test_mistakes_far_apart_come_in_one_answer() -> None:
    cases = [table.SCALE[0], table.SEVERITY[4], table.MEASURE[4], table.ROWS[12], table.SETS[4], table.TOLERANCES[13]]
    text = QUELL_SPEC
    for right, wrong, *_ in cases:
        text = text.replace(right, wrong, 1)
    found = mistakes_in(text)
    assert {case[3] for case in cases} <= {each.key for each in found}
    assert [each.line for each in found] == sorted(each.line for each in found)


@pytest.mark.parametrize("case", table.BOUNDS, ids=lambda case: case[1])
def test_what_would_be_accepted_does_not_repeat_what_was_wrong(case: table.Case) -> None:
    (one,) = mistakes_in(QUELL_SPEC.replace(case[0], case[1], 1))
    assert one.found not in one.accepted


def test_a_ratio_is_no_share() -> None:
    spec = read_spec(QUELL_SPEC.replace('"ratio", to = ">= 20"', '"ratio", to = ">= 2100 %"', 1), {QUELL.id: QUELL})
    assert spec.limit("sugar").or_else[1].rows[0].to.low == 21


def test_an_unknown_crop_is_one_mistake_and_what_is_of_the_crop_is_not_held_against_it() -> None:
    (only,) = mistakes_in(QUELL_SPEC.replace('crop = "quell"', 'crop = "quall"'))
    assert only.key == "crop"
