"""What a spec may say and hardly means."""

from dataclasses import replace

import pytest

from shedgrade.domain.bound import Bound
from shedgrade.domain.source import Mark, Source
from shedgrade.domain.spec import library
from shedgrade.domain.spec.doubts import About, doubts
from shedgrade.domain.spec.model import Spec
from shedgrade.domain.spec.scale import Band, Rounding

OWN = Source("Own pack", "1", "", Mark.OUR_OWN)


def with_size(spec: Spec, name: str, to: str) -> Spec:
    """The spec with one size more at the end of its table."""
    band = Band(name, Bound.parse(to), OWN)
    return replace(spec, scale=replace(spec.scale, bands=(*spec.scale.bands, band)))


@pytest.fixture
def codex() -> Spec:
    """Codex for mangos: sizes A 200-350 g, B 351-550 g, C 551-800 g, and limits on marks by size."""
    return library.standards()["mango-codex-cxs184"]


def test_a_size_that_limits_by_size_forget_is_told(codex: Spec) -> None:
    told = doubts(with_size(codex, "BB", ">= 801 g and <= 900 g"))
    assert {each.about for each in told} == {About.LIMIT}
    assert {each.limit_id for each in told} == {"skin-marks"}
    (marks,) = (each.says for each in told if each.limit_id == "skin-marks")
    assert marks == ("Skin marks has no row for size BB in Class I or Class II: such fruit are never held against it.")


def test_a_limit_on_all_sizes_forgets_none(codex: Spec) -> None:
    rows = tuple(replace(row, sizes=()) for row in codex.limit("skin-marks").rows)
    limits = tuple(replace(each, rows=rows) if each.id == "skin-marks" else each for each in codex.limits)
    told = doubts(with_size(replace(codex, limits=limits), "BB", ">= 801 g and <= 900 g"))
    assert "skin-marks" not in {each.limit_id for each in told}


@pytest.mark.parametrize(
    ("to", "said"),
    [
        (">= 500 g and <= 540 g", ["Sizes B and BB overlap (from 500 g to 540 g): "]),
        (
            ">= 340 g and < 360 g",
            ["Sizes A and BB overlap (from 340 g to 350 g): ", "Sizes B and BB overlap (at least "],
        ),
        ("> 350 g and < 351 g", []),
        ("> 800 g", []),
        (">= 800 g", ["Sizes C and BB overlap (from 800 g to 800 g): "]),
    ],
)
def test_sizes_of_ones_own_that_overlap_are_told(codex: Spec, to: str, said: list[str]) -> None:
    told = [each.says for each in doubts(with_size(codex, "BB", to)) if each.about is About.SIZES]
    assert len(told) == len(said)
    for each, begins in zip(told, said, strict=True):
        assert each.replace("\N{NARROW NO-BREAK SPACE}", " ").startswith(begins)


def test_between_two_whole_grams_there_is_a_fruit_unless_the_table_rounds(codex: Spec) -> None:
    between = replace(codex, scale=replace(codex.scale, bands=(), rounding=Rounding.NONE))
    between = with_size(with_size(between, "A", "< 351 g"), "B", "> 350 g")
    assert [each.about for each in doubts(between) if "overlap" in each.says] == [About.SIZES]
    rounded = replace(between, scale=replace(between.scale, rounding=Rounding.HALF_UP_TO_THE_GRAM))
    assert not [each for each in doubts(rounded) if "overlap" in each.says]


def test_sizes_of_two_varieties_do_not_meet(codex: Spec) -> None:
    one, other = (Band(name, Bound.parse("< 300 g"), OWN, (name,)) for name in ("Ilka", "Tove"))
    apart = replace(codex, scale=replace(codex.scale, bands=(one, other)))
    assert not [each for each in doubts(apart) if each.about is About.SIZES]


@pytest.mark.parametrize("spec", library.standards().values(), ids=lambda spec: spec.id)
def test_a_published_text_means_what_it_says(spec: Spec) -> None:
    assert doubts(spec) == ()
