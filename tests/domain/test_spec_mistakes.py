"""Every mistake is answered with its line, its key, what was found and what would be accepted; all of them at once."""

from copy import deepcopy
from typing import Any

import pytest

from shedgrade.domain.entry.bounds import Typed
from shedgrade.domain.spec.text import Mistake, SpecMistakes, read_crop, read_spec, read_tree, tree_of
from tests.support import spec_mistakes as table
from tests.support.whole_spec import QUELL, QUELL_CROP, QUELL_SPEC

IN_SPECS = [
    *(*table.HEAD, *table.SCALE, *table.SEVERITY, *table.MEASURE, *table.ROWS, *table.SETS, *table.TOLERANCES),
    *(*table.OUTLETS, *table.BOUNDS, *table.NEVER),
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


@pytest.mark.parametrize(
    "second",
    [
        '{ class = "II", to = ">= 60 g" }',
        '{ days = "10-31 to 02-28", to = ">= 60 g" }',
        '{ when = { width = ">= 40 mm" }, to = ">= 60 g" }',
        '{ when = { brix = "> 4 Brix" }, to = ">= 60 g" }',
        '{ variety = "Early Quell", stage = "retail", to = ">= 60 g" }',
    ],
)
def test_a_row_that_some_fruit_get_to_may_stand(second: str) -> None:
    right = '{ class = ["I", "II"], to = ">= 65 g" },'
    first = """
  { class = "I", to = ">= 65 g" },
  { days = "11-01 to 03-31", to = ">= 65 g" },
  { when = { width = "> 40 mm" }, to = ">= 65 g" },
  { variety = ["Early Quell", "Long Quell"], stage = "packing", to = ">= 65 g" },
  """
    spec = read_spec(QUELL_SPEC.replace(right, f"{first}{second},", 1), {QUELL.id: QUELL})
    assert len(spec.limit("least-weight").rows) == 6


@pytest.mark.parametrize(
    ("right", "steps"), [('"< 6"', '"<= 5"'), ('">= 6"', '"> 5 and < 9"'), ('"> 3 cm2"', '">= 3 cm2"')]
)
def test_steps_that_meet_have_no_gap(right: str, steps: str) -> None:
    assert read_spec(QUELL_SPEC.replace(right, steps, 1), {QUELL.id: QUELL}).severities


def test_a_ratio_is_no_share() -> None:
    spec = read_spec(QUELL_SPEC.replace('"ratio", to = ">= 20"', '"ratio", to = ">= 2100 %"', 1), {QUELL.id: QUELL})
    assert spec.limit("sugar").or_else[1].rows[0].to.low == 21


def test_an_unknown_crop_is_one_mistake_and_what_is_of_the_crop_is_not_held_against_it() -> None:
    (only,) = mistakes_in(QUELL_SPEC.replace('crop = "quell"', 'crop = "quall"'))
    assert only.key == "crop"


@pytest.mark.parametrize(
    ("typed", "offers"),
    [("3,000 g", ("3000 g", "3 g")), ("about 250 g", ("250 g",)), ("-", ()), ("at least 3 g", ()), ("much", ())],
)
def test_a_typed_figure_that_means_two_things_is_asked_about(typed: str, offers: tuple[str, ...]) -> None:
    tree: dict[str, Any] = deepcopy(tree_of(read_spec(QUELL_SPEC, {QUELL.id: QUELL})))
    skin = next(each for each in tree["limit"] if each["id"] == "skin")
    skin["as_on"] = {"of": "weight", "size": Typed(typed)}
    with pytest.raises(SpecMistakes) as caught:
        read_tree(tree, {QUELL.id: QUELL})
    (only,) = caught.value.mistakes
    assert (only.place[-2:], only.offers) == (("as_on", "size"), offers)
    for offer in offers:
        skin["as_on"] = {"of": "weight", "size": Typed(offer)}
        assert read_tree(tree, {QUELL.id: QUELL}).limit("skin").measure.as_on
