"""The page on spec files: its examples are one crop and one spec, and it names every key that the reader knows."""

import re
from pathlib import Path

import pytest

from shedgrade.domain.crop import Measured, TakenOn
from shedgrade.domain.grading.facts import Defect, Fruit
from shedgrade.domain.grading.holding import hold
from shedgrade.domain.grading.lot import Inspection, judge_lot
from shedgrade.domain.grading.plan import Answer
from shedgrade.domain.source import Mark
from shedgrade.domain.spec.limit import Level
from shedgrade.domain.spec.measure import By, Take
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.reading import Table
from shedgrade.domain.spec.scale import Rounding
from shedgrade.domain.spec.text import read_crop, read_spec, write_spec
from shedgrade.domain.spec.tolerance import Basis, Scope

TEXT = (Path(__file__).parents[1] / "DEVELOPERS.md").read_text("utf-8")
PAGE = TEXT.split("## A spec file, concept by concept\n")[1].split("\n## ")[0]
EXAMPLES = re.findall(r"^```toml (crop|spec|instead of \[scale\])\n(.*?)^```$", PAGE, re.DOTALL | re.MULTILINE)
CROP = "\n".join(text for what, text in EXAMPLES if what == "crop")
PARTS = [text for what, text in EXAMPLES if what == "spec"]


def spec_of(parts: list[str]) -> Spec:
    crop = read_crop(CROP)
    return read_spec("\n".join(parts), {crop.id: crop})


def test_every_example_is_marked_as_what_it_is() -> None:
    assert len(EXAMPLES) == len(re.findall(r"^```toml", PAGE, re.MULTILINE))
    assert len(PARTS) > 10


def test_the_examples_in_order_are_one_spec() -> None:
    spec = spec_of(PARTS)
    assert all((spec.severities, spec.sets, spec.tolerances, spec.scale.bands, spec.notes))
    assert spec_of([write_spec(spec)]) == spec


def test_the_other_examples_can_stand_instead() -> None:
    others = [text for what, text in EXAMPLES if what.startswith("instead")]
    assert others
    for other in others:
        assert spec_of([other if part.startswith("[scale]") else part for part in PARTS]).scale.count_in_g


@pytest.mark.parametrize(("small", "answer"), [(4, Answer.HOLDS), (5, Answer.BROKEN)])
def test_the_least_share_of_large_fruit_is_written_as_the_page_says(small: int, answer: Answer) -> None:
    fruit = [Fruit(1000, measures=(("diameter", 449 if number < small else 450),)) for number in range(10)]
    verdict = judge_lot(spec_of(PARTS), Inspection("I", None, Basis.NUMBER, (tuple(fruit),)))
    (large,) = [each for each in verdict.tolerances if each.tolerance.id == "mostly-large"]
    assert large.answer is answer


@pytest.mark.parametrize(("width_dmm", "answer"), [(1000, Answer.HOLDS), (630, Answer.BROKEN)])
def test_only_on_larger_fruit_is_written_as_the_page_says(width_dmm: int, answer: Answer) -> None:
    """9 cm2 on a fruit of 100 mm are as 3.6 cm2 on one of 63.5 mm."""
    fruit = Fruit(3000, defects=(Defect("scar", 900),), measures=(("diameter", width_dmm),))
    spec = spec_of(PARTS)
    assert hold(spec, spec.limit("scar-more-on-larger"), fruit, "I").answer is answer


def test_every_key_the_reader_knows_stands_on_the_page(monkeypatch: pytest.MonkeyPatch) -> None:
    known: set[str] = set()
    done = Table.done

    def noted(table: Table) -> None:
        if "when" not in table.place:
            known.update(table._asked)
        done(table)

    monkeypatch.setattr(Table, "done", noted)
    spec_of(PARTS)
    assert len(known) > 50
    assert {key for key in known if not re.search(rf"(`|^|[{{,\[(] ?){re.escape(key)}\b", PAGE, re.MULTILINE)} == set()


@pytest.mark.parametrize("words", [Measured, TakenOn, Mark, Level, By, Take, Rounding, Basis, Scope])
def test_every_word_a_key_may_have_stands_on_the_page(words: type) -> None:
    page = " ".join(PAGE.split())
    assert [word.value for word in words if f'"{word.value}"' not in page] == []  # type: ignore[attr-defined]
