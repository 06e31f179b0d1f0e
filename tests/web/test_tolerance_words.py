"""Tolerances and what they count, read as a person would say them."""

import re
from collections.abc import Iterator

import pytest

from shedgrade.domain.spec.library import standards
from shedgrade.web.tolerance_words import PartLine, set_lines, tolerance_lines
from tests.support.whole_spec import EVERYTHING


def plain(text: str) -> str:
    return text.replace("\N{NARROW NO-BREAK SPACE}", " ")


def every(part: PartLine) -> Iterator[str]:
    yield plain(part.says)
    for inner in part.within:
        yield from every(inner)


def said(spec_id: str) -> dict[str, list[str]]:
    return {
        each.name: list(every(each.part)) for each in tolerance_lines({**standards(), "whole": EVERYTHING}[spec_id])
    }


@pytest.mark.parametrize(
    ("spec_id", "name", "sentences"),
    [
        (
            "avocado-unece-ffv42",
            "quality, Extra Class",
            [
                "at most 5 % of a lot, by number or weight, may be below Extra Class",
                "at most 0.5 % of the whole lot may be below Class I",
                "none may be below Class II",
            ],
        ),
        (
            "avocado-trade-4kg",
            "size, all classes",
            [
                (
                    "at most 10 % of a lot, by number or weight, may be of another size than the label says; "
                    "even these must be of the next size up or down"
                )
            ],
        ),
        (
            "apple-agmark",
            "quality, Class I",
            [
                "at most 10 % of a lot, by number or weight, may be below Class I",
                "at most 1 % of the whole lot may have decay or internal breakdown",
            ],
        ),
        (
            "kiwifruit-eu",
            "quality, Class II",
            ["at most 10 % of each package, by number or weight, may be below Class II", "none may have rot"],
        ),
        (
            "kiwifruit-eu",
            "weight, all classes",
            [
                (
                    "at most 10 % of each package, by number or weight, may be under the least weight of the class; "
                    "even these must keep to the limit “weight of fruit taken in by the size tolerance”"
                )
            ],
        ),
        (
            "mango-us-2007",
            "US Fancy, by count",
            [
                "at most 10 % of a lot, by number, may be below the grade",
                "at most 5 % of the whole lot may have faults causing damage",
                "at most 2 % of the whole lot may have decay",
            ],
        ),
        ("mango-au-class1-2016", "major faults", ["at most 2 % of a lot, by number, may have a major fault"]),
    ],
)
def test_a_tolerance_of_a_standard(spec_id: str, name: str, sentences: list[str]) -> None:
    assert said(spec_id)[name] == sentences


def test_what_no_standard_asks() -> None:
    """A made-up spec with every key of the language: a number of fruit, a least share, more in a single package."""
    assert list(said("whole").values()) == [
        [
            (
                "at most 10 % of a lot, by number or weight, may be fruit of Class II or be worse than Class II; a "
                "single "
                "package may hold up to 2 times that; even these must keep to the limit “colour stage”"
            ),
            "at most 2 % of the whole lot may be worse than Class II; a single package may hold up to 1.5 times that",
            "none may be worse than Class II",
        ],
        [
            (
                "at most 1 fruit of each package, by number, may be other sizes; even these must be of the next "
                "size up or "
                "down and keep to the limit “weight of undersized fruit”"
            )
        ],
        ["at least 60 % of the sample, by weight, must be fruit of Class II"],
    ]


@pytest.mark.parametrize(
    ("spec_id", "name", "says"),
    [
        (
            "avocado-trade-4kg",
            "below Class II",
            (
                "fruit that break one of these limits for Class II: skin marks, spreading marks, marked bruises, "
                "shape; "
                "or are below the minimum requirements"
            ),
        ),
        (
            "avocado-trade-4kg",
            "below the minimum requirements",
            (
                "fruit that break one of these limits: rot, unhealed wounds, cold damage, pest damage, "
                "marks into the flesh, stalk length, torn stalk scar"
            ),
        ),
        ("apple-unece-ffv50", "under the least size", "fruit that break the limit of diameter"),
        ("mango-us-2007", "with faults causing damage", "fruit that break the limit of damage; or have decay"),
        ("mango-codex-cxs184", "with rot or marked bruises", "fruit that have any rot or marked bruise"),
        ("mango-codex-cxs184", "of another size than the label says", "fruit that are not of the size on the label"),
    ],
)
def test_a_set_of_a_standard(spec_id: str, name: str, says: str) -> None:
    assert {each.name: each.says for each in set_lines(standards()[spec_id])}[name] == says


@pytest.mark.parametrize("spec_id", standards())
def test_every_sentence_of_every_standard_has_its_verb_and_no_loose_preposition(spec_id: str) -> None:
    for sentence in (each for lines in said(spec_id).values() for each in lines):
        assert re.match(r"(at most [\d.]+ % of .+|none) may (be|have) \w", sentence)
        assert not re.search(r"\b(be|have|are|in) (with|in|below the limit)\b", sentence)
    for each in set_lines(standards()[spec_id]):
        assert re.match(r"fruit that (break|have any|are|do not make|make) ", each.says)
        assert not re.search(r"\b(are|in|have) (with|in)\b", each.says)
