"""The plain sentence beside each mistake of a spec file fits what is wrong there."""

import pytest

from shedgrade.domain.spec.mistakes import Mistake, Wrong
from shedgrade.domain.spec.text import SpecMistakes, read_spec
from shedgrade.web.file_mistakes import plainly
from tests.support.whole_spec import QUELL, QUELL_SPEC

AREA, SHARE = 'to = "<= 3 cm2"', 'to = "<= 10 %"'
CIRCLES = '{ class = "I", to = "<= 2 circles'


@pytest.mark.parametrize(
    ("right", "wrong", "said"),
    [
        (AREA, 'to = "3 cm2"', "The figure does not say whether it is the most or the least."),
        (AREA, 'to = "<= three cm2"', "This amount cannot be read."),
        (AREA, 'to = "<= 3 cm"', "This amount cannot be read."),
        (AREA, 'to = "<= 4,5 cm2"', "This amount is not written as a spec file writes it."),
        (AREA, 'to = "up to 3 cm²"', "This amount is not written as a spec file writes it."),
        (AREA, 'to = "<= 3 mm"', "This amount is in a unit that does not fit"),
        (AREA, "to = 3", "What stands here does not fit."),
        (SHARE, 'to = "<= 110 %"', "This is more than the whole."),
        (SHARE, 'to = "<= 10"', "This is more than the whole."),
        ('take = "sum"', 'take = "summ"', "This word is not known here; it may be a slip of the pen."),
        ('take = "sum"', 'take = "window"', "This word is not known here. Write one of those"),
        ('take = "sum"\n', "", "Something that every spec must say is missing here."),
        ('crop = "quell"', 'crop = "quell', "Line 3 cannot be read:"),
        ('id = "II"', 'id = "I"', "This stands here already."),
        ('to = "<= 3 cm2"', 'to = "<= 3 cm2"\nrows = [{ to = "nil" }]', "This cannot stand beside what else"),
        (
            '{ class = "I", to = "<= 2 circles',
            '{ to = "any" },\n  { class = "I", to = "<= 2 circles',
            "No fruit ever comes",
        ),
    ],
)
def test_the_sentence_beside_a_mistake_is_about_it(right: str, wrong: str, said: str) -> None:
    assert right in QUELL_SPEC
    with pytest.raises(SpecMistakes) as caught:
        read_spec(QUELL_SPEC.replace(right, wrong, 1), {QUELL.id: QUELL})
    assert plainly(caught.value.mistakes[0]).startswith(said), caught.value.mistakes[0]


@pytest.mark.parametrize("sort", Wrong, ids=lambda sort: sort.name)
def test_there_is_a_sentence_for_every_sort_of_mistake(sort: Wrong) -> None:
    assert plainly(Mistake(7, "", "", "", sort=sort)).endswith(".")
