"""The page on spec files: its examples are one crop and one spec, and it names every key that the reader knows."""

import re
from pathlib import Path

import pytest

from shedgrade.domain.crop import Measured, TakenOn
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
